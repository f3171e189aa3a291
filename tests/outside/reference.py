"""Writes reference numbers computed by NumPy and SciPy, each beside the inputs it was computed from.

    python reference.py OUTPUT.json [--seed 20260314] [--draws 400000]

The Rust library is compared with this file; nothing in it comes from the Rust code. Numbers are written in full, so that
reading them back gives the same doubles. The same call always writes the same bytes on one machine. Sections:

filter        coefficients, response and filtered series of the zero-lag Butterworth filter (scipy.signal)
weights       the same filter as weights on the samples; variance left of correlated noise, by matrix and by simulation
angles        joint angles, inclinations and distances of random bodies, from image points and facing (numpy)
normal        tail of the normal and of the folded normal distribution (scipy.stats)
lines         least-squares lines and parabolas with their covariances (numpy.polyfit)
angle_noise   spread of an included angle when its three points are noisy, by simulation
gravity       spread of the acceleration of a fitted parabola, by simulation
bridge        cubic through two samples each side of a gap (scipy.interpolate)
series        percentiles, medians, linear resampling, unwrapping (numpy)
"""

import argparse
import json
import os
import sys

import numpy as np
import scipy
from scipy import interpolate, signal, stats

from conventions import cross, from_vertical, gym_plane, signed_angle, turn, unsigned_angle, unwrapped

DUAL_PASS = (2.0**0.5 - 1.0) ** 0.25  # 0.8022432629: Winter (2009) 4th ed. p. 69
PADDING = 9
CUTOFF_CAP = 0.4  # of the frame rate


def design(cutoff_hz, rate_hz):
    """Second-order Butterworth whose gain after two passes is 0.7071 at the cut-off; correction on the pre-warped value."""
    corrected = np.tan(np.pi * cutoff_hz / rate_hz) / DUAL_PASS
    return signal.butter(2, 2.0 / np.pi * np.arctan(corrected))


def smooth(b, a, series, axis=-1):
    return signal.filtfilt(b, a, series, axis=axis, padtype="odd", padlen=PADDING, method="pad")


def filters(random):
    designs, series = [], []
    for rate in (24.0, 25.0, 29.97, 30.0, 50.0, 60.0, 100.0, 120.0, 240.0):
        for asked in (4.0, 6.0, 10.0, 15.0):
            used = min(asked, CUTOFF_CAP * rate)
            b, a = design(used, rate)
            at = np.array([0.0, 0.25, 0.5, 1.0, 1.5, 2.0]) * used
            at = at[at < rate / 2]
            _, response = signal.freqz(b, a, worN=at, fs=rate)
            both_passes = np.abs(response) ** 2
            assert abs(both_passes[3] - 0.5**0.5) < 1e-12, (rate, asked)
            designs.append({
                "rate_hz": rate, "asked_cutoff_hz": asked, "cutoff_hz": used, "b": b.tolist(), "a": a.tolist(),
                "response_hz": at.tolist(), "gain_both_passes": both_passes.tolist(),
            })
            for length in (10, 11, 20, 120, 1000):
                if length == 1000 and asked != 10.0:
                    continue
                t = np.arange(length) / rate
                x = 700 + 300 * np.sin(2 * np.pi * 1.3 * t + random.uniform(0, 6)) + random.normal(0, 3, length)
                x += np.cumsum(random.normal(0, 2, length))
                series.append({
                    "rate_hz": rate, "cutoff_hz": used, "input": x.tolist(), "output": smooth(b, a, x).tolist(),
                })
    return {"padding_samples": PADDING, "designs": designs, "series": series}


def weights(random, draws):
    rows = []
    for rate, cutoff, length in ((60.0, 10.0, 40), (30.0, 10.0, 15), (240.0, 10.0, 60), (24.0, 9.6, 12)):
        b, a = design(cutoff, rate)
        matrix = smooth(b, a, np.eye(length), axis=0)  # row i: weights of every sample in the output at i
        distance = np.abs(np.subtract.outer(np.arange(length), np.arange(length)))
        # independent of the matrix: filter noise of that correlation, many times over
        for rho in (0.0, 0.3, 0.6, 0.9):
            by_matrix = np.einsum("ki,kj,ij->k", matrix, matrix, rho**distance)
            count = min(draws, 40000)
            noise = np.empty((count, length))
            noise[:, 0] = random.standard_normal(count)
            for i in range(1, length):
                noise[:, i] = rho * noise[:, i - 1] + np.sqrt(1 - rho**2) * random.standard_normal(count)
            by_simulation = smooth(b, a, noise, axis=1).var(axis=0)
            assert np.all(np.abs(by_simulation / by_matrix - 1) < 6 * np.sqrt(2 / count)), (rate, rho)
            rows.append({
                "rate_hz": rate, "cutoff_hz": cutoff, "length": length, "rho": rho,
                "variance_factor": by_matrix.tolist(), "simulated": by_simulation.tolist(), "draws": count,
            })
    return rows


def angles(random, count=400):
    """Random bodies of the points that an angle needs, 20 to 200 px between neighbours."""
    names = ["wrist", "elbow", "shoulder", "hip", "knee", "ankle", "toe", "ear", "nose", "other_hip", "other_ankle"]
    cases = []
    for k in range(count):
        direction = random.uniform(0, 2 * np.pi, len(names))
        if k % 2 == 0:  # half of the bodies nearly straight, the case that matters
            direction = random.uniform(0, 2 * np.pi) + random.normal(0, 0.25, len(names))
        length = random.uniform(20, 200, len(names))
        steps = np.stack([np.cos(direction), np.sin(direction)], axis=1) * length[:, None]
        image = dict(zip(names, random.uniform(300, 900, 2) + np.cumsum(steps, axis=0)))
        facing = "left" if k % 3 == 0 else "right"
        p = {name: gym_plane(point, facing) for name, point in image.items()}
        chord = p["wrist"] - p["ankle"]
        size = np.linalg.norm(chord)
        # ventral, positive, is clockwise of the direction from the feet to the hands overhead
        ventral = {name: -cross(chord, p[name] - p["ankle"]) / size for name in ("shoulder", "hip", "knee")}
        arm = p["elbow"] - p["shoulder"]
        legs = (p["ankle"] - p["hip"], p["other_ankle"] - p["other_hip"])
        value = {
            "shoulder": signed_angle("shoulder", p["hip"], p["shoulder"], p["elbow"]),
            "hip": signed_angle("hip", p["shoulder"], p["hip"], p["knee"]),
            "knee": signed_angle("knee", p["hip"], p["knee"], p["ankle"]),
            "ankle": signed_angle("ankle", p["knee"], p["ankle"], p["toe"]),
            "elbow": unsigned_angle(p["shoulder"], p["elbow"], p["wrist"]),
            "shoulder_unsigned": unsigned_angle(p["hip"], p["shoulder"], p["elbow"]),
            "hip_unsigned": unsigned_angle(p["shoulder"], p["hip"], p["knee"]),
            "knee_unsigned": unsigned_angle(p["hip"], p["knee"], p["ankle"]),
            "trunk_inclination": from_vertical(p["shoulder"] - p["hip"]),
            "body_line_lean": from_vertical(p["ankle"] - p["wrist"]),
            "leg_gap": unsigned_angle(legs[0], np.zeros(2), legs[1]),
            "body_line_straightness_percent": 100 * max(ventral.values(), key=abs) / size,
            "ear_offset": -cross(arm, p["ear"] - p["shoulder"]) / np.sum(arm * arm),
            "head_tilt": np.mod(turn(p["shoulder"] - p["hip"], p["nose"] - p["ear"], "clockwise"), 360.0),
        }
        cases.append({
            "facing": facing,
            "image": {name: point.tolist() for name, point in image.items()},
            "degrees": {name: float(v) for name, v in value.items()},
        })
    return cases


def normal(random):
    z = [0.0, 0.1, -0.5, 1.0, 1.2815515655446004, -1.6448536269514722, 2.0, -3.0, 5.0, -8.0]
    folded = []
    for _ in range(60):
        x, sd = random.uniform(0, 20), random.uniform(0.5, 10)
        limit = random.uniform(0, 30)
        shape = stats.foldnorm(x / sd, scale=sd)
        folded.append({
            "x": x, "sd": sd, "limit": limit, "above": float(shape.sf(limit)), "mean": float(shape.mean()),
            "sd_folded": float(shape.std()),
        })
    levels = [0.001, 0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95, 0.975, 0.999]
    return {
        "z": z, "below": stats.norm.cdf(z).tolist(), "above": stats.norm.sf(z).tolist(),
        "levels": levels, "quantile": stats.norm.ppf(levels).tolist(), "folded": folded,
    }


def lines(random):
    cases = []
    for degree in (1, 2):
        for count in (degree + 2, 5, 8, 30):
            for _ in range(5):
                t = np.sort(random.uniform(0, count / 60, count))
                y = random.normal(500, 100, count)
                sd = random.uniform(1, 4, count)
                found, covariance = np.polyfit(t, y, degree, w=1 / sd, cov="unscaled")
                plain = np.polyfit(t, y, degree)
                residual = y - np.polyval(plain, t)
                cases.append({
                    "degree": degree, "t": t.tolist(), "y": y.tolist(), "sd": sd.tolist(),
                    "weighted": found[::-1].tolist(), "weighted_covariance": covariance[::-1, ::-1].tolist(),
                    "plain": plain[::-1].tolist(), "residual_sum_of_squares": float(residual @ residual),
                })
    return {"note": "coefficients from the constant upward", "cases": cases}


def angle_noise(random, draws):
    """The table of published-values section 5.3, and rows with three different sds."""
    rows = []
    table = [
        (100, 100, 180, (2, 2, 2), 2.807), (100, 100, 90, (2, 2, 2), 2.292), (100, 100, 30, (2, 2, 2), 1.726),
        (120, 150, 170, (3, 3, 3), 3.156), (60, 90, 180, (2, 2, 2), 3.924), (120, 110, 180, (2, 2, 2), None),
        (120, 110, 180, (3, 3, 3), None), (110, 120, 180, (10.7, 7.9, 6.2), None), (150, 80, 120, (1, 4, 2), None),
    ]
    for a, c, degrees, (sa, sb, sc), published in table:
        theta = np.radians(degrees)
        first = np.array([a, 0.0]) + random.normal(0, sa, (draws, 2))
        vertex = random.normal(0, sb, (draws, 2))
        last = c * np.array([np.cos(theta), np.sin(theta)]) + random.normal(0, sc, (draws, 2))
        signed = np.mod(turn(first - vertex, last - vertex, "anticlockwise"), 360.0)
        unsigned = unsigned_angle(first, vertex, last)
        # first order, straight from the derivative of the two directions
        to_first = np.array([0.0, 1.0]) / a
        to_last = np.array([-np.sin(theta), np.cos(theta)]) / c
        first_order = np.sqrt(
            sa**2 * to_first @ to_first + sc**2 * to_last @ to_last + sb**2 * (to_first - to_last) @ (to_first - to_last)
        )
        rows.append({
            "a_px": a, "c_px": c, "degrees": degrees, "sd_px": [sa, sb, sc], "draws": draws,
            "first_order_sd": float(np.degrees(first_order)), "published_first_order_sd": published,
            "simulated_sd": float(signed.std()), "simulated_mean": float(signed.mean()),
            "unsigned_mean": float(unsigned.mean()), "unsigned_sd": float(unsigned.std()),
        })
    return rows


def gravity(random, draws):
    rows = []
    for count, rate, sd_m in ((6, 60, 1 / 350), (12, 60, 1 / 350), (5, 30, 0.004), (10, 30, 0.004), (24, 120, 0.003), (48, 240, 0.003)):
        n = count
        t = np.arange(n) / rate
        samples = -0.5 * 9.81 * t**2 + 2 * t + random.normal(0, sd_m, (min(draws, 200000), n))
        found = -2 * np.polyfit(t, samples.T, 2)[0]
        formula = 2 * sd_m * np.sqrt(180 / (n * (n**2 - 1) * (n**2 - 4))) * rate**2
        assert abs(found.std() / formula - 1) < 6 / np.sqrt(2 * len(samples)), (n, rate)
        rows.append({
            "frames": n, "rate_hz": rate, "sd_m": sd_m, "draws": len(samples), "formula_sd": float(formula),
            "simulated_sd": float(found.std()), "simulated_mean": float(found.mean()),
        })
    return rows


def bridge(random):
    cases = []
    for missing in (1, 2, 3, 4, 6, 10):
        for rate in (30.0, 60.0, 120.0):
            index = np.array([0, 1, missing + 2, missing + 3])
            t = index / rate
            jitter = random.uniform(-0.2, 0.2, 4) / rate if missing % 2 else 0.0  # half of them unevenly timed
            t = t + jitter
            y = random.normal(500, 80, 4)
            at = np.arange(2, missing + 2) / rate
            cases.append({
                "t": t.tolist(), "y": y.tolist(), "at": at.tolist(),
                "bridged": interpolate.KroghInterpolator(t, y)(at).tolist(),
            })
    return cases


def series(random):
    cases = []
    for count in (2, 5, 37, 120):
        t = np.cumsum(random.uniform(0.8, 1.3, count)) / 60
        y = random.normal(500, 80, count)
        step = np.median(np.diff(t))
        even = t[0] + step * np.arange(int(np.floor((t[-1] - t[0]) / step + 1e-9)) + 1)
        direction = np.cumsum(random.normal(8, 15, count))
        wrapped_series = np.mod(direction + 180, 360) - 180
        cases.append({
            "t": t.tolist(), "y": y.tolist(),
            "median": float(np.median(y)),
            "percentiles": {str(q): float(np.percentile(y, q, method="linear")) for q in (5, 10, 25, 50, 90, 95)},
            "median_interval": float(step), "even_t": even.tolist(), "resampled": np.interp(even, t, y).tolist(),
            "wrapped_deg": wrapped_series.tolist(), "unwrapped_deg": unwrapped(wrapped_series).tolist(),
        })
    return cases


def main():
    parser = argparse.ArgumentParser(description="reference numbers by NumPy and SciPy")
    parser.add_argument("output", help="JSON file to write")
    parser.add_argument("--seed", type=int, default=20260314)
    parser.add_argument("--draws", type=int, default=400000, help="of each simulation; default 400000")
    args = parser.parse_args()
    random = [np.random.default_rng([args.seed, k]) for k in range(9)]
    content = {
        "computed_by": f"NumPy {np.__version__}, SciPy {scipy.__version__}",
        "seed": args.seed,
        "filter": filters(random[0]),
        "weights": weights(random[1], args.draws),
        "angles": angles(random[2]),
        "normal": normal(random[3]),
        "lines": lines(random[4]),
        "angle_noise": angle_noise(random[5], args.draws),
        "gravity": gravity(random[6], args.draws),
        "bridge": bridge(random[7]),
        "series": series(random[8]),
    }
    os.makedirs(os.path.dirname(os.path.abspath(args.output)), exist_ok=True)
    with open(args.output + ".partial", "w", encoding="utf-8") as file:
        json.dump(content, file, allow_nan=False, separators=(",", ":"))
    os.replace(args.output + ".partial", args.output)
    print(f"reference numbers written to {args.output}", file=sys.stderr)


if __name__ == "__main__":
    main()

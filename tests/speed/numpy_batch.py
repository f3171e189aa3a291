"""What the batch does, written with NumPy, SciPy and the standard json module: the other side of the speed comparison.

    python numpy_batch.py FOLDER OUTPUT.csv [--rate 60] [--processes 1] [--parse-only] [--all-rows]

FOLDER holds COCO results lists (17 points). For each file: parse; follow one person; bridge short gaps; contacts, events and phases from raw points;
zero-lag Butterworth smoothing; joint angles, inclinations and centre of mass over time; values at events and over phases with a first-order standard
uncertainty; one CSV row per measure. Vectorised over frames and points; the usual way to write it, no tricks for speed. It does less than the
program: no swaps mended, one person, no Monte Carlo for extremes, no verdicts. --parse-only stops after json.load.
"""

import argparse
import csv
import functools
import json
import os
import sys
import time
from multiprocessing import Pool

import numpy as np
from scipy.signal import butter, filtfilt

NOSE, L_EYE, R_EYE, L_EAR, R_EAR, L_SHO, R_SHO, L_ELB, R_ELB, L_WRI, R_WRI, L_HIP, R_HIP, L_KNE, R_KNE, L_ANK, R_ANK = range(17)
SIDES = {
    "left": (L_EAR, L_SHO, L_ELB, L_WRI, L_HIP, L_KNE, L_ANK),
    "right": (R_EAR, R_SHO, R_ELB, R_WRI, R_HIP, R_KNE, R_ANK),
}
SIGMA = np.array([26, 25, 25, 35, 35, 79, 79, 72, 72, 62, 62, 107, 107, 87, 87, 89, 89]) / 1000
CUTOFF_HZ, DUAL_PASS = 10.0, 0.8022432629
BRIDGED_S, BOX_AREA, INVERTED = 0.10, 0.53, 1.5
SPEED, LOW, SURFACE = 1.0, 0.12, 0.25  # contact: leg lengths per second; leg lengths over the usual height; over the floor
# de Leva (1996), mean of the two sexes rounded: mass, centre from the first end
MASSES = [
    (.0681, .50, "head"), (.4301, .4046, "trunk"), (.0263, .5763, "upper_arm"), (.0150, .4567, "forearm"), (.0059, .0, "hand"),
    (.1447, .3854, "thigh"), (.0457, .4374, "shank"), (.0133, .0, "foot"),
]


# what a handspring is checked on: (measure, when)
CHECKED = {
    (measure, when)
    for when, measures in {
        "hand_placement": ["shoulder_opening", "elbow_angle", "head_tilt", "ear_offset", "trunk_inclination", "body_line_lean", "knee_angle"],
        "inverted": ["leg_gap", "shoulder_opening", "hip_angle", "body_line_straightness"],
        "hand_departure": ["shoulder_opening", "body_line_lean", "hip_angle", "leg_gap", "knee_angle"],
        "feet_touchdown": ["shoulder_opening", "landing_lean", "hip_lead", "knee_angle", "feet_apart", "leg_gap", "trunk_inclination"],
        "settled": ["landing_lean", "shoulder_opening", "hip_lead"],
        "support least": ["shoulder_opening", "elbow_angle", "knee_angle", "shoulder_height"],
        "support most": ["hip_angle", "shoulder_height", "body_line_straightness"],
        "flight least": ["hip_angle", "knee_angle", "head_tilt"],
        "flight most": ["hip_angle", "leg_gap"],
        "flight mean": ["hip_angle", "knee_angle"],
        "landing least": ["knee_angle", "shoulder_opening"],
    }.items()
    for measure in measures
}


def read(path):
    """Points (frames, 17, 2) with NaN where missing, and scores."""
    with open(path, encoding="utf-8") as file:
        people = json.load(file)
    best = {}
    for person in people:
        kept = best.get(person["image_id"])
        if kept is None or person["score"] > kept["score"]:
            best[person["image_id"]] = person
    flat = np.array([best[k]["keypoints"] for k in sorted(best)], dtype=float).reshape(len(best), 17, 3)
    points, scores = flat[..., :2].copy(), flat[..., 2]
    points[(flat == 0).all(axis=2)] = np.nan
    return points, scores


@functools.cache
def bridging_weights(length):
    """Weights of the two seen frames on each side of a gap in the cubic through them, one row a missing frame."""
    nodes = np.array([-2, -1, length, length + 1])
    return np.vander(np.arange(length), 4) @ np.linalg.inv(np.vander(nodes, 4))


def bridge(points, longest):
    """Fills gaps: short ones by the cubic, long ones and the ends by straight lines so that the filter can run."""
    n = len(points)
    filled = points.copy()
    missing = np.isnan(points[..., 0])
    for k in np.flatnonzero(missing.any(axis=0)):
        edges = np.flatnonzero(np.diff(missing[:, k].astype(int), prepend=0, append=0))
        long = False
        for start, end in zip(edges[::2], edges[1::2]):
            around = [start - 2, start - 1, end, end + 1]
            if end - start <= longest and start >= 2 and end + 1 < n and not missing[around, k].any():
                filled[start:end, k] = bridging_weights(end - start) @ points[around, k]
            else:
                long = True
        seen = np.flatnonzero(~np.isnan(filled[:, k, 0]))
        if long and len(seen):
            for axis in (0, 1):
                filled[:, k, axis] = np.interp(np.arange(n), seen, filled[seen, k, axis])
    return filled


def smooth(points, rate):
    cutoff = min(CUTOFF_HZ, 0.4 * rate)
    b, a = butter(2, 2 / np.pi * np.arctan(np.tan(np.pi * cutoff / rate) / DUAL_PASS))
    return filtfilt(b, a, points, axis=0, padtype="odd", padlen=9) if len(points) > 9 else points


def cross(u, v):
    return u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]


def dot(u, v):
    return (u * v).sum(axis=-1)


def turn(u, v, sense):
    return np.degrees(np.arctan2(sense * cross(u, v), dot(u, v)))


def included(a, b, c, sa, sb, sc, sense, least):
    """Angle at b from a to c and its first-order sd, degrees; sense 1 anticlockwise, -1 clockwise, 0 unsigned."""
    u, v = a - b, c - b
    angle = turn(u, v, sense or 1)
    angle = np.abs(angle) if sense == 0 else np.mod(angle - least, 360) + least
    uu, vv = dot(u, u), dot(v, v)
    variance = sa**2 / uu + sc**2 / vv + sb**2 * (1 / uu + 1 / vv - 2 * dot(u, v) / (uu * vv))
    return angle, np.degrees(np.sqrt(np.maximum(variance, 0)))


def from_vertical(low, high, s_low, s_high):
    d = high - low
    return np.degrees(np.arctan2(d[..., 0], d[..., 1])), np.degrees(np.sqrt(s_low**2 + s_high**2) / np.hypot(d[..., 0], d[..., 1]))


def centre_of_mass(p):
    """Whole-body centre of mass (frames, 2), hand mass at the wrist, foot mass at the ankle, head at the ears."""
    mid = lambda l, r: (p[:, l] + p[:, r]) / 2
    shoulders, hips, ears = mid(L_SHO, R_SHO), mid(L_HIP, R_HIP), mid(L_EAR, R_EAR)
    total, mass = np.zeros_like(shoulders), 0.0
    for fraction, share, segment in MASSES:
        if segment == "head":
            parts = [(ears, ears)]
        elif segment == "trunk":
            parts = [(shoulders, hips)]
        else:
            first, last = {
                "upper_arm": (1, 2), "forearm": (2, 3), "hand": (3, 3), "thigh": (4, 5), "shank": (5, 6), "foot": (6, 6)
            }[segment]
            parts = [(p[:, side[first]], p[:, side[last]]) for side in SIDES.values()]
        for start, end in parts:
            total += fraction * (start + share * (end - start))
            mass += fraction
    return total / mass


def runs(flags, longest_hole=2, shortest=3):
    """Stretches of true as (first, end), short holes closed, short stretches dropped."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    merged = []
    for start, end in zip(edges[::2], edges[1::2]):
        if merged and start - merged[-1][1] <= longest_hole:
            merged[-1][1] = end
        else:
            merged.append([start, end])
    return [(start, end) for start, end in merged if end - start >= shortest]


def speeds(p, rate):
    """Speed of each point from a line through three frames or as many as fit in 0.05 s."""
    half = max(1, int(round(0.025 * rate)))
    k = np.arange(-half, half + 1)
    weights = k / (k**2).sum() * rate
    padded = np.pad(p, ((half, half), (0, 0), (0, 0)), mode="edge")
    velocity = sum(w * padded[i:i + len(p)] for i, w in enumerate(weights))
    return np.linalg.norm(velocity, axis=2)


def refine(height, near, still_after, reach=4):
    """Frame of change by least squares over candidate frames: line, then still; or still, then parabola."""
    best, found = np.inf, near
    low, high = max(near - 2 * reach, 0), min(near + 2 * reach, len(height))
    for k in range(max(near - 3, low + 3), min(near + 4, high - 3)):
        before, after = height[low:k], height[k:high]
        moving, still = (before, after) if still_after else (after, before)
        x = np.arange(len(moving))
        line = np.polyval(np.polyfit(x, moving, 1 if still_after else 2), x)
        cost = ((moving - line) ** 2).sum() + ((still - still.mean()) ** 2).sum()
        if cost < best:
            best, found = cost, k
    return found


def find_events(p, rate, trunk):
    """Frames of the events, from raw points; a dict without those that were not found."""
    hips, ankles, wrists = (p[:, l] / 2 + p[:, r] / 2 for l, r in ((L_HIP, R_HIP), (L_ANK, R_ANK), (L_WRI, R_WRI)))
    leg = np.median(np.linalg.norm(p[:, L_HIP] - p[:, L_KNE], axis=1) + np.linalg.norm(p[:, L_KNE] - p[:, L_ANK], axis=1))
    speed = speeds(p, rate) / leg
    floor = np.percentile(p[:, [L_ANK, R_ANK], 1], 5)
    contact = {}
    for k in (L_WRI, R_WRI, L_ANK, R_ANK):
        usual = np.percentile(p[:, k, 1], 5)
        down = (speed[:, k] < SPEED) & (p[:, k, 1] < usual + LOW * leg)
        if usual > floor + SURFACE * leg:
            down[:] = False
        if k in (L_WRI, R_WRI):
            down &= np.abs(trunk) > 75
        contact[k] = runs(down)
    events = {}
    hands = sorted((run, k) for k in (L_WRI, R_WRI) for run in contact[k])
    if not hands:
        return events, contact, leg, floor
    (start, _), first_hand = hands[0]
    placed = refine(p[:, first_hand, 1], start, True)
    last_end, last_hand = max((run[1], k) for run, k in hands)
    left = refine(p[:, last_hand, 1], last_end, False)
    events["hand_placement"], events["hand_departure"] = placed, left
    feet = [(run, k) for k in (L_ANK, R_ANK) for run in contact[k]]
    before = [(run[1], run[0], k) for run, k in feet if run[0] < placed]
    if before:
        end, start, foot = max(before)
        events["push_off_foot_leaves"] = refine(p[:, foot, 1], end, False) if end < len(p) else end
        if start > 0:
            events["push_off_foot_down"] = refine(p[:, foot, 1], start, True)
        events["push_off_foot"] = foot
    after = [(run[0], k) for run, k in feet if run[0] > placed + 2 and run[0] >= left - 3]
    if after:
        start, foot = min(after)
        events["feet_touchdown"] = refine(p[:, foot, 1], start, True)
    over = (hips - wrists)[:, 0]
    passes = [k for k in range(placed + 1, len(p)) if over[k - 1] < 0 <= over[k]]
    if passes:
        events["inverted"] = passes[0]
    gap = np.abs(turn(p[:, L_ANK] - p[:, L_HIP], p[:, R_ANK] - p[:, R_HIP], 1))
    wide = np.flatnonzero(gap[placed:left] > 15)
    if len(wide) and wide[-1] + 1 < left - placed:
        events["legs_together"] = placed + wide[-1] + 1
    return events, contact, leg, floor


def facing(p):
    """1 facing right, -1 facing left: nose before ears, knees before the line from hip to ankle."""
    nose = np.nanmean(turn(np.nanmean(p[:, [L_SHO, R_SHO]], axis=1) - np.nanmean(p[:, [L_HIP, R_HIP]], axis=1),
                           p[:, NOSE] - np.nanmean(p[:, [L_EAR, R_EAR]], axis=1), 1))
    knees = np.nanmean([turn(p[:, k] - p[:, h], p[:, a] - p[:, k], 1) for h, k, a in ((L_HIP, L_KNE, L_ANK), (R_HIP, R_KNE, R_ANK))])
    return 1 if nose + knees > 0 else -1  # y down: clockwise turns are positive


def measure(name, points, rate, all_rows):
    """Rows of one attempt."""
    raw = bridge(points, int(round(BRIDGED_S * rate)))
    toward = facing(raw)
    flip = np.array([toward, -1.0])
    raw = raw * flip
    p = smooth(np.nan_to_num(raw), rate)
    box = (np.nanmax(points, axis=1) - np.nanmin(points, axis=1)).prod(axis=1)
    sd = np.broadcast_to(SIGMA * np.sqrt(BOX_AREA * np.median(box)) / np.sqrt(2), p.shape[:2]).copy()
    shoulders, hips = (p[:, L_SHO] + p[:, R_SHO]) / 2, (p[:, L_HIP] + p[:, R_HIP]) / 2
    s_sho, s_hip = np.hypot(sd[:, L_SHO], sd[:, R_SHO]) / 2, np.hypot(sd[:, L_HIP], sd[:, R_HIP]) / 2
    trunk, _ = from_vertical(hips, shoulders, s_hip, s_sho)
    sd[np.abs(trunk) > 90] *= INVERTED
    s_sho, s_hip = np.hypot(sd[:, L_SHO], sd[:, R_SHO]) / 2, np.hypot(sd[:, L_HIP], sd[:, R_HIP]) / 2
    events, contact, leg, floor = find_events(raw, rate, trunk)
    trunk, trunk_sd = from_vertical(hips, shoulders, s_hip, s_sho)
    trunk = np.degrees(np.unwrap(np.radians(trunk)))

    series = {("trunk_inclination", ""): (trunk, trunk_sd, "deg")}
    for side, (ear, sho, elb, wri, hip, kne, ank) in SIDES.items():
        s = lambda k: sd[:, k]
        for joint, a, b, c, sense, least in (
            ("shoulder_opening", hip, sho, elb, 1, -90), ("hip_angle", sho, hip, kne, -1, 0),
            ("knee_angle", hip, kne, ank, 1, 0), ("elbow_angle", sho, elb, wri, 0, 0),
        ):
            series[joint, side] = (*included(p[:, a], p[:, b], p[:, c], s(a), s(b), s(c), sense, least), "deg")
        chord = p[:, wri] - p[:, ank]
        size = np.linalg.norm(chord, axis=1)
        aside = np.stack([-cross(chord, p[:, k] - p[:, ank]) / size for k in (sho, hip, kne)])
        worst = np.abs(aside).argmax(axis=0)
        series["body_line_straightness", side] = (
            100 * np.take_along_axis(aside, worst[None], 0)[0] / size, 100 * np.sqrt(1.5) * sd[:, hip] / size, "%")
        arm = p[:, elb] - p[:, sho]
        series["ear_offset", side] = (
            -cross(arm, p[:, ear] - p[:, sho]) / dot(arm, arm), np.hypot(sd[:, ear], sd[:, sho]) / np.sqrt(dot(arm, arm)), "ratio")
    wrists, ankles = (p[:, L_WRI] + p[:, R_WRI]) / 2, (p[:, L_ANK] + p[:, R_ANK]) / 2
    s_wri, s_ank = np.hypot(sd[:, L_WRI], sd[:, R_WRI]) / 2, np.hypot(sd[:, L_ANK], sd[:, R_ANK]) / 2
    series["body_line_lean", ""] = (*from_vertical(wrists, ankles, s_wri, s_ank), "deg")
    legs = p[:, L_ANK] - p[:, L_HIP], p[:, R_ANK] - p[:, R_HIP]
    series["leg_gap", ""] = (
        np.abs(turn(*legs, 1)),
        np.degrees(np.sqrt(sum((sd[:, h]**2 + sd[:, a]**2) / dot(v, v) for v, h, a in zip(legs, (L_HIP, R_HIP), (L_ANK, R_ANK))))), "deg")
    ears = (p[:, L_EAR] + p[:, R_EAR]) / 2
    head = p[:, NOSE] - ears
    s_ear = np.hypot(sd[:, L_EAR], sd[:, R_EAR]) / 2
    series["head_tilt", ""] = (
        np.mod(turn(shoulders - hips, head, -1), 360), np.hypot(np.degrees(np.hypot(sd[:, NOSE], s_ear) / np.linalg.norm(head, axis=1)), trunk_sd), "deg")
    mass = centre_of_mass(p)
    s_mass = 0.35 * s_hip
    series["landing_lean", ""] = (*from_vertical(ankles, mass, s_ank, s_mass), "deg")
    series["hip_lead", ""] = ((hips - ankles)[:, 0] / leg, np.hypot(s_hip, s_ank) / leg, "leg lengths")
    series["ankle_lead", ""] = ((ankles - hips)[:, 0] / leg, np.hypot(s_hip, s_ank) / leg, "leg lengths")
    series["feet_apart", ""] = (
        np.linalg.norm(p[:, L_ANK] - p[:, R_ANK], axis=1) / leg, np.hypot(sd[:, L_ANK], sd[:, R_ANK]) / leg, "leg lengths")
    series["shoulder_height", ""] = ((shoulders[:, 1] - floor) / leg, np.hypot(s_sho, s_wri) / leg, "leg lengths")

    if "feet_touchdown" in events:  # settled: first 0.10 s with the lean slower than 30 degrees per second
        slow = np.abs(np.gradient(series["landing_lean", ""][0]) * rate) < 30
        need = max(1, int(round(0.1 * rate)))
        start = events["feet_touchdown"]
        held = [k for k in range(start, len(p) - need + 1) if slow[k:k + need].all()]
        if held:
            events["settled"] = held[0]

    rows = []
    event_sd = np.hypot(1 / (rate * np.sqrt(12)), 0.02)
    instants = {k: v for k, v in events.items() if k != "push_off_foot"}
    for event, frame in instants.items():
        rows.append((name, "time", "", event, f"{(frame - 0.5) / rate:.5f}", "s", f"{event_sd:.5f}"))

    # all series side by side: (frames, series)
    values = np.stack([entry[0] for entry in series.values()], axis=1)
    sds = np.stack([entry[1] for entry in series.values()], axis=1)
    slopes = np.gradient(values, axis=0) * rate

    def add(when, value, sd):
        wanted = CHECKED if not all_rows else None
        for (quantity, side), (_, _, unit), v, s in zip(series, series.values(), value.tolist(), sd.tolist()):
            if wanted is None or (quantity, when) in wanted:
                rows.append((name, quantity, side, when, f"{v:.5f}", unit, f"{s:.5f}"))

    for event, frame in instants.items():  # midway between the frame and the one before
        low, high = max(frame - 1, 0), min(frame, len(p) - 1)
        value, s, slope = ((y[low] + y[high]) / 2 for y in (values, sds, slopes))
        add(event, value, np.hypot(s, slope * event_sd))
    column = np.arange(values.shape[1])
    for phase, start, end in (
        ("entry", "push_off_foot_down", "hand_placement"), ("support", "hand_placement", "hand_departure"),
        ("flight", "hand_departure", "feet_touchdown"), ("landing", "feet_touchdown", "settled"),
    ):
        if start in instants and end in instants and instants[end] > instants[start]:
            part, s = values[instants[start]:instants[end]], sds[instants[start]:instants[end]]
            least, most = part.argmin(axis=0), part.argmax(axis=0)
            add(phase + " least", part[least, column], s[least, column])
            add(phase + " most", part[most, column], s[most, column])
            add(phase + " mean", part.mean(axis=0), np.sqrt((s**2).mean(axis=0)))
    once = {}
    if "hand_placement" in events:
        down = slice(events["hand_placement"], max(events["hand_departure"], events["hand_placement"] + 1))
        hand_x = [np.median(p[down, k, 0]) for k in (L_WRI, R_WRI)]
        once["support_time"] = ((events["hand_departure"] - events["hand_placement"]) / rate, "s", np.sqrt(2) * event_sd)
        once["hand_stagger"] = (abs(hand_x[0] - hand_x[1]) / leg, "leg lengths", np.hypot(sd[0, L_WRI], sd[0, R_WRI]) / leg)
        if "push_off_foot" in events:
            foot = events["push_off_foot"]
            stood = [run for run in contact[foot] if run[0] < events["hand_placement"]]
            foot_x = np.median(p[stood[-1][0]:stood[-1][1], foot, 0])
            other = R_ANK if foot == L_ANK else L_ANK
            s = np.hypot(sd[0, foot], np.hypot(sd[0, L_WRI], sd[0, R_WRI]) / 2) / leg
            once["hand_to_foot_distance"] = ((np.mean(hand_x) - foot_x) / leg, "leg lengths", s)
            if "push_off_foot_down" in events:
                once["lunge_length"] = (
                    (foot_x - p[events["push_off_foot_down"], other, 0]) / leg, "leg lengths", np.hypot(sd[0, foot], sd[0, other]) / leg)
        if "feet_touchdown" in events:
            once["flight_time"] = ((events["feet_touchdown"] - events["hand_departure"]) / rate, "s", np.sqrt(2) * event_sd)
            flight = np.arange(events["hand_departure"], events["feet_touchdown"])
            if len(flight) >= 5:
                g_px = -2 * np.polyfit(flight / rate, mass[flight, 1], 2)[0]
                n = len(flight)
                s = 2 * s_mass.mean() * np.sqrt(180 / (n * (n**2 - 1) * (n**2 - 4))) * rate**2
                once["flight_gravity"] = (g_px, "px/s2", s)
        for quantity, until in (("legs_together_before_departure", "hand_departure"), ("legs_together_before_inverted", "inverted")):
            if "legs_together" in events and until in events:
                once[quantity] = ((events[until] - events["legs_together"]) / rate, "s", np.sqrt(2) * event_sd)
    rows.extend((name, quantity, "", "once", f"{v:.5f}", unit, f"{s:.5f}") for quantity, (v, unit, s) in once.items())
    return rows


def one_file(job):
    path, rate, parse_only, all_rows = job
    name = os.path.basename(path)
    try:
        if parse_only:
            with open(path, encoding="utf-8") as file:
                json.load(file)
            return []
        points, _ = read(path)
        return measure(name, points, rate, all_rows)
    except (OSError, ValueError, KeyError, IndexError) as error:
        return [(name, "error", "", "", type(error).__name__, str(error), "")]


def main():
    parser = argparse.ArgumentParser(description="the batch in NumPy, to compare speed with")
    parser.add_argument("folder")
    parser.add_argument("output", help="CSV file to write")
    parser.add_argument("--rate", type=float, default=60.0, help="frames per second; default 60")
    parser.add_argument("--processes", type=int, default=1, help="default 1")
    parser.add_argument("--all-rows", action="store_true", help="every measure at every event and phase, not only what is checked")
    parser.add_argument("--parse-only", action="store_true", help="only read the JSON")
    args = parser.parse_args()
    began = time.perf_counter()
    names = sorted(n for n in os.listdir(args.folder) if n.endswith(".json"))
    jobs = [(os.path.join(args.folder, n), args.rate, args.parse_only, args.all_rows) for n in names]
    errors = count = 0
    with open(args.output, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["file", "measure", "side", "when", "value", "unit", "sd"])
        if args.processes > 1:
            with Pool(args.processes) as pool:
                for rows in pool.imap(one_file, jobs, chunksize=16):
                    writer.writerows(rows)
                    count, errors = count + len(rows), errors + (bool(rows) and rows[0][1] == "error")
        else:
            for rows in map(one_file, jobs):
                writer.writerows(rows)
                count, errors = count + len(rows), errors + (bool(rows) and rows[0][1] == "error")
    seconds = time.perf_counter() - began
    print(json.dumps({
        "files": len(jobs), "errors": errors, "rows": count, "processes": args.processes, "parse_only": args.parse_only,
        "seconds": round(seconds, 3), "files_per_s": round(len(jobs) / seconds, 1),
    }), file=sys.stderr)


if __name__ == "__main__":
    main()

"""Writes a folder of synthetic attempts to time the batch with: COCO results lists, 17 points, one person, 60 frames per second.

    python make_batch.py OUTPUT_FOLDER [--files 10000] [--frames 120] [--seed 1]

Synthetic: a planar stick figure does a front handspring. It is good enough to make the programs do all of their work (feet and hands stay
where they are put, the hips fall with gravity in the flight), and no more: no truth is written and no result may be drawn from it.
OUTPUT_FOLDER/attempts holds the files, OUTPUT_FOLDER/ABOUT.txt says what they are. The same call always writes the same bytes.
"""

import argparse
import os
import sys
import time

import numpy as np
from scipy.interpolate import PchipInterpolator

RATE_HZ = 60.0
NOISE_PX = 2.0
DROPPED = 0.02  # share of points that are missing, written as 0, 0, 0
GROUP = 250  # attempts computed at once
G = 9.81
STATURE_M = 1.40
THIGH, SHANK, TRUNK, UPPER_ARM, FOREARM, HEAD = (STATURE_M * f for f in (0.245, 0.246, 0.288, 0.186, 0.146, 0.11))
LEG = THIGH + SHANK
ANKLE_HEIGHT = 0.07
WRIST_HEIGHT = 0.06
FEET_DOWN, PLACED, LEFT_FLOOR, LANDED, END = 0.35, 0.70, 0.93, 1.15, 2.0  # s: lunge, hands, block, feet
TOLD = (
    "Synthetic attempts to time programs with: a planar stick figure with noise, not a recording of anybody.\n"
    "{files} files, {frames} frames each, 60 per second, seed {seed}.\n"
)


def direction(degrees):
    """Unit vector at an angle from straight up, positive ahead."""
    radians = np.radians(degrees)
    return np.stack([np.sin(radians), np.cos(radians)], axis=-1)


def spread(random, count, mean, sd):
    return mean + sd * random.standard_normal((count, 1))


def through(keys, values, t):
    """Smooth curves, one a row, through values (attempts, keys) at the key times, read at `t`."""
    return PchipInterpolator(keys, values, axis=1)(t)


def keyed(random, count, means, sd):
    return np.asarray(means) + sd * random.standard_normal((count, len(means)))


def step(t, start, end):
    """0 before start, 1 after end, smooth between."""
    x = np.clip((t - start) / (end - start), 0, 1)
    return x * x * (3 - 2 * x)


def polar(vector):
    """Length and angle from straight up, degrees."""
    return np.linalg.norm(vector, axis=-1), np.degrees(np.arctan2(vector[..., 0], vector[..., 1]))


def knee(hip, ankle):
    """Knee of a leg whose hip and ankle are given: it bends to the front of the body."""
    span = ankle - hip
    size = np.clip(np.linalg.norm(span, axis=-1), 1e-6, LEG * 0.9999)
    along = (THIGH**2 - SHANK**2 + size**2) / (2 * size)
    aside = np.sqrt(np.maximum(THIGH**2 - along**2, 0.0))
    unit = span / np.linalg.norm(span, axis=-1, keepdims=True)
    front = np.stack([-unit[..., 1], unit[..., 0]], axis=-1)
    return hip + along[..., None] * unit + aside[..., None] * front


def swing(t, start, end, first, last, stops=True):
    """Leg that moves freely from one hip-to-ankle vector to another; `stops` at the end, or is stopped by the floor."""
    r0, a0 = polar(first)
    r1, a1 = polar(last)
    a1 = a0 + np.mod(a1 - a0, 360.0)  # always turns forward
    x = np.clip((t - start) / (end - start), 0, 1)
    share = step(t, start, end) if stops else x * x * (3 - x) / 2
    r = r0[:, None] + (r1 - r0)[:, None] * share
    a = a0[:, None] + (a1 - a0)[:, None] * share
    return r[..., None] * direction(a)


def handsprings(random, count, t):
    """Points of `count` attempts in m, X ahead, Y up: name -> (attempts, frames, 2)."""
    keys = [0.0, FEET_DOWN, 0.5, PLACED, 0.82, LEFT_FLOOR, LANDED, 1.4, END]
    trunk_keys = keyed(random, count, [0, 15, 60, 130, 178, 200, 345, 357, 360], [2, 2, 4, 2, 3, 3, 4, 2, 1])
    trunk = through(keys, trunk_keys, t)
    opening = through(keys, keyed(random, count, [170, 165, 165, 168, 172, 170, 165, 165, 170], 4), t)
    bend = np.abs(through(keys, keyed(random, count, [8, 8, 8, 8, 12, 8, 8, 8, 8], 3), t))
    arm = trunk + 180 - opening
    shoulder_of_hip = TRUNK * direction(trunk)
    elbow_of_hip = shoulder_of_hip + UPPER_ARM * direction(arm)
    wrist_of_hip = elbow_of_hip + FOREARM * direction(arm - bend)

    def at(series, instant):
        k = int(np.searchsorted(t, instant))
        return series[:, min(k, series.shape[1] - 1)]

    # hands stay where they are put; that gives the hips during the support
    hands = np.concatenate([spread(random, count, 0.95, 0.04), np.full((count, 1), WRIST_HEIGHT)], axis=1)
    over_hands = hands[:, None] - wrist_of_hip
    foot = np.array([0.0, ANKLE_HEIGHT])
    rear = np.array([-0.5, ANKLE_HEIGHT])
    # entry: hips travel from over the rear foot to where the hands will want them
    stand = rear + np.array([0.0, LEG * 0.985])
    lunge = np.array([-0.18, ANKLE_HEIGHT + 0.60])
    placed = at(over_hands, PLACED)
    hip_keys = np.stack(
        [np.broadcast_to(stand, (count, 2)), np.broadcast_to(lunge, (count, 2)), placed], axis=1
    )
    entry = PchipInterpolator([0.0, FEET_DOWN, PLACED], hip_keys, axis=1)(np.minimum(t, PLACED))
    # landing: hips stand up over the feet
    left_floor = at(over_hands, LEFT_FLOOR)
    legs_at_landing = LEG * 0.97 * direction(spread(random, count, 184, 4))[:, 0]
    flight_s = LANDED - LEFT_FLOOR
    rise = (ANKLE_HEIGHT - legs_at_landing[:, 1] - left_floor[:, 1] + G * flight_s**2 / 2) / flight_s
    ahead = spread(random, count, 2.0, 0.15)[:, 0]
    since = np.clip(t - LEFT_FLOOR, 0, flight_s)
    flight = np.stack(
        [
            left_floor[:, :1] + ahead[:, None] * since,
            left_floor[:, 1:] + rise[:, None] * since - G * since**2 / 2,
        ],
        axis=-1,
    )
    landing_foot = flight[:, -1] + legs_at_landing
    stands = landing_foot + np.stack([spread(random, count, 0.02, 0.02)[:, 0], np.full(count, LEG * 0.985)], axis=1)
    dip = landing_foot + np.stack([spread(random, count, 0.05, 0.02)[:, 0], np.full(count, LEG * 0.93)], axis=1)
    landing = PchipInterpolator(
        [LANDED, LANDED + 0.15, LANDED + 0.5, END + 0.1], np.stack([flight[:, -1], dip, stands, stands], axis=1), axis=1
    )(np.clip(t, LANDED, END))
    phase = np.searchsorted([PLACED, LEFT_FLOOR, LANDED], t, side="right")
    hip = np.choose(phase[None, :, None], [entry, over_hands, flight, landing])

    # legs
    up = LEG * 0.985 * direction(spread(random, count, 20, 5))[:, 0]
    kick = LEG * 0.98 * direction(spread(random, count, -40, 6))[:, 0]
    entry_front = np.where(
        (t < FEET_DOWN)[None, :, None],
        rear + (foot - rear) * step(t, 0.05, FEET_DOWN)[:, None]
        + np.stack([0 * t, 0.15 * np.sin(np.pi * np.clip((t - 0.05) / (FEET_DOWN - 0.05), 0, 1))], axis=-1),
        foot,
    ) + 0 * hip
    together = 0.88
    push_free = swing(t, PLACED, together, foot - at(hip, PLACED), up)
    swing_free = swing(t, FEET_DOWN, PLACED, rear - at(hip, FEET_DOWN), kick)
    swing_over = swing(t, PLACED, together, kick, up)
    both = swing(t, together, LANDED, up, legs_at_landing, stops=False)
    down = landing_foot[:, None] + 0 * hip
    push_ankle = np.choose(
        np.searchsorted([PLACED, together, LANDED], t, side="right")[None, :, None],
        [entry_front, hip + push_free, hip + both, down],
    )
    swing_ankle = np.choose(
        np.searchsorted([FEET_DOWN, PLACED, together, LANDED], t, side="right")[None, :, None],
        [rear + 0 * hip, hip + swing_free, hip + swing_over, hip + both, down],
    )
    shoulder = hip + shoulder_of_hip
    ear = shoulder + HEAD * direction(trunk + 4)
    nose = ear + 0.5 * HEAD * direction(trunk + 92)
    eye = ear + 0.42 * HEAD * direction(trunk + 70)
    return {
        "nose": nose, "left_eye": eye, "right_eye": eye, "left_ear": ear, "right_ear": ear,
        "left_shoulder": shoulder, "right_shoulder": shoulder,
        "left_elbow": hip + elbow_of_hip, "right_elbow": hip + elbow_of_hip,
        "left_wrist": hip + wrist_of_hip, "right_wrist": hip + wrist_of_hip,
        "left_hip": hip, "right_hip": hip,
        "left_knee": knee(hip, push_ankle), "right_knee": knee(hip, swing_ankle),
        "left_ankle": push_ankle, "right_ankle": swing_ankle,
    }


def filmed(random, points, count):
    """Points in px as (attempts, frames, 17, 2), and scores (attempts, frames, 17)."""
    world = np.stack(list(points.values()), axis=2)
    right = np.array([name.startswith("right") for name in points])
    world = world + right[:, None] * np.array([0.02, 0.01])  # the far side, seen a little higher and ahead
    px_per_m = random.uniform(260, 360, (count, 1, 1))
    mirror = np.where(random.random((count, 1, 1)) < 0.5, -1.0, 1.0)
    middle = (world[..., 0].min(axis=(1, 2)) + world[..., 0].max(axis=(1, 2)))[:, None, None] / 2
    x = 960 + mirror * px_per_m * (world[..., 0] - middle)
    y = 900 - px_per_m * world[..., 1]
    image = np.stack([x, y], axis=-1)
    image += random.normal(0, NOISE_PX, image.shape)
    scores = random.uniform(0.6, 0.98, image.shape[:3])
    gone = random.random(scores.shape) < DROPPED
    image[gone] = 0.0
    scores[gone] = 0.0
    return image, scores


def main():
    parser = argparse.ArgumentParser(description="synthetic attempts to time the batch with")
    parser.add_argument("output", help="folder to write to; made when it is not there")
    parser.add_argument("--files", type=int, default=10000)
    parser.add_argument("--frames", type=int, default=120)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    folder = os.path.join(args.output, "attempts")
    os.makedirs(folder, exist_ok=True)
    with open(os.path.join(args.output, "ABOUT.txt"), "w", encoding="utf-8") as file:
        file.write(TOLD.format(files=args.files, frames=args.frames, seed=args.seed))
    began = time.perf_counter()
    t = np.minimum(np.arange(args.frames) / RATE_HZ, END)
    # every number that can occur, written once: two decimals of a px, three of a score
    px = [f"{k / 100:.2f}" for k in range(-100000, 300001)]
    score = [f"{k / 1000:.3f}" for k in range(1001)]
    heads = [f'{{"image_id":{k + 1},"category_id":1,"keypoints":[' for k in range(args.frames)]
    size = 0
    for first in range(0, args.files, GROUP):
        count = min(GROUP, args.files - first)
        random = np.random.default_rng([args.seed, first])
        image, scores = filmed(random, handsprings(random, count, t), count)
        hundredths = np.clip(np.rint(image * 100), -100000, 300000).astype(int) + 100000
        thousandths = np.rint(scores * 1000).astype(int)
        for k in range(count):
            xs, ys = hundredths[k, :, :, 0].tolist(), hundredths[k, :, :, 1].tolist()
            vs = thousandths[k].tolist()
            people = []
            for head, x, y, v in zip(heads, xs, ys, vs):
                triples = ",".join([f"{px[a]},{px[b]},{score[c]}" for a, b, c in zip(x, y, v)])
                people.append(f'{head}{triples}],"score":{score[sum(v) // len(v)]}}}')
            text = "[" + ",\n".join(people) + "]\n"
            size += len(text)
            path = os.path.join(folder, f"synthetic-{first + k + 1:05d}.json")
            with open(path, "w", encoding="ascii") as file:
                file.write(text)
    seconds = time.perf_counter() - began
    print(f"{args.files} files, {size / 1e6:.1f} MB, written to {folder} in {seconds:.1f} s", file=sys.stderr)


if __name__ == "__main__":
    main()

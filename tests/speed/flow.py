"""Points followed by this program beside OpenCV's pyramidal optical flow, in turn on the same frames and points.

    python flow.py FLOW CLIP... [--rounds 5] [--every 15]

FLOW: the built example `flow` of crates/track. CLIP: a film of tests/film/render.sh, its truth and story beside it. The joints
in sight in every fifteenth frame are followed to the next such frame, without any correction; what they are off by then, as a
share of stature, is the drift. Frames are decoded beforehand; both run on one core and go there and back (2 px), with windows of
15 px, 3 scales, up to 30 rounds. From Python OpenCV makes its scales anew for each call, four times a frame where once is enough;
`anew` is this program made to do the same. Needs numpy and opencv-python-headless.
"""

import argparse
import json
import pathlib
import subprocess
import tempfile
import time

import cv2
import numpy as np

cv2.setNumThreads(1)


def decoded(path):
    film = cv2.VideoCapture(str(path))
    frames = []
    while (got := film.read())[0]:
        frames.append(cv2.cvtColor(got[1], cv2.COLOR_BGR2GRAY))
    return np.stack(frames)


def clicks_of(path, every):
    truth = json.loads(path.with_suffix("").with_suffix(".truth.json").read_text())
    story = json.loads(path.with_suffix("").with_suffix(".story.json").read_text())["attempts"][0]
    given = truth["given"]
    stature = given["stature_m"] / given["metres_per_px"]
    places = [frame["points"] for frame in truth["frames"]]
    clicks = []
    for at in range(0, len(places), every):
        seen = [place if mark == "p" else None for place, mark in zip(places[at], story["seen"][at])]
        clicks.append({"frame": at + story["first_frame"], "places": seen})
    return clicks, places, story, stature


def opencv(frames, clicks, pair):
    options = {"winSize": (15, 15), "maxLevel": 2, "criteria": (3, 30, 0.01)}
    found = []
    for this, following in pair:
        points = np.array([place for place in this["places"] if place], np.float32).reshape(-1, 1, 2) - 0.5
        before = frames[this["frame"]]
        for at in range(this["frame"] + 1, following["frame"] + 1):
            now = frames[at]
            there, seen, _ = cv2.calcOpticalFlowPyrLK(before, now, points, points.copy(), flags=4, **options)
            back, home, _ = cv2.calcOpticalFlowPyrLK(now, before, there, points.copy(), flags=4, **options)
            good = (seen & home).ravel().astype(bool) & (np.linalg.norm(back - points, axis=2).ravel() < 2)
            points = np.where(good[:, None, None], there, points)
            before = now
        ends = iter(points.reshape(-1, 2) + 0.5)
        found.append([next(ends).tolist() if place else None for place in this["places"]])
    return found


def drift(ends, clicks, places, story, stature):
    off = []
    for end, following in zip(ends, clicks[1:]):
        at = following["frame"] - story["first_frame"]
        for landmark, place in enumerate(end):
            if place and story["seen"][at][landmark] == "p":
                off.append(np.hypot(*np.subtract(place, places[at][landmark])) / stature)
    return np.array(off)


def main():
    options = argparse.ArgumentParser()
    options.add_argument("flow")
    options.add_argument("clips", nargs="+", type=pathlib.Path)
    options.add_argument("--rounds", type=int, default=5)
    options.add_argument("--every", type=int, default=15)
    given = options.parse_args()
    for path in given.clips:
        frames = decoded(path)
        clicks, places, story, stature = clicks_of(path, given.every)
        pair = list(zip(clicks, clicks[1:]))
        stretch = clicks[-1]["frame"] - clicks[0]["frame"]
        seconds = {"opencv": [], "anew": [], "points": [], "limbs": []}
        with tempfile.TemporaryDirectory() as folder:
            raw, asked = f"{folder}/frames", f"{folder}/clicks.json"
            frames.tofile(raw)
            pathlib.Path(asked).write_text(json.dumps({"clicks": clicks}))
            height, width = frames.shape[1:]
            ends = {}
            for _ in range(given.rounds):
                start = time.perf_counter()
                ends["opencv"] = opencv(frames, clicks, pair)
                seconds["opencv"].append(time.perf_counter() - start)
                for way in ("anew", "points", "limbs"):
                    command = [given.flow, raw, str(width), str(height), "60", asked, way.upper()]
                    told = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
                    seconds[way].append(told["seconds"])
                    ends[way] = [part[-1] for part in told["found"]]
        for way, took in seconds.items():
            off = 100 * drift(ends[way], clicks, places, story, stature)
            print(
                f"{path.stem:8} {way:7} {1000 * np.median(took) / stretch:7.2f} ms a frame ({1000 * min(took) / stretch:.2f} to "
                f"{1000 * max(took) / stretch:.2f}); drift of {len(off)} points, % of stature: median {np.median(off):.2f}, "
                f"90th percentile {np.percentile(off, 90):.2f}; within 2 %: {100 * np.mean(off < 2):.0f} %"
            )


if __name__ == "__main__":
    main()

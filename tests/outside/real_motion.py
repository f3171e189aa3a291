"""Writes attempt files derived from motion capture of real people, with the true angles beside each.

    python real_motion.py OUTPUT_FOLDER [--clips cartwheel,roll] [--views side-6m] [--rates 60,original]
                          [--noise-px 3 --seed 1] [--sd-px 0.5]

For each clip, rate and camera: CLIP.RATE.VIEW.json, an attempt file as the program reads it, and CLIP.RATE.VIEW.truth.json.
`index.json` lists them. The people are real, recorded by motion capture; the cameras are invented. The figure has no ears,
nose, heels, toes or fingers: these points are left out. Nothing is written outside OUTPUT_FOLDER; the same call always writes the same bytes.
"""

import argparse
import json
import os
import sys
import zlib

import numpy as np

from camera import PICTURE, VIEWS, aim
from conventions import from_vertical, gym_plane, signed_angle, unsigned_angle, unwrapped
from figure import Figure, NAMES, motion_files, pose, read_motion

CYCLES = {"walk": 3, "run": 2}
ORIGIN = (
    "derived from motion capture of a real person (motion {name} of the PyPI package pybullet 3.2.7, posed by that "
    "library's kinematics); not synthetic motion; the camera is invented: {view}"
)
RAYS = {
    "shoulder": ("hip", "shoulder", "elbow"),
    "elbow": ("shoulder", "elbow", "wrist"),
    "hip": ("shoulder", "hip", "knee"),
    "knee": ("hip", "knee", "ankle"),
}
DECIMALS_PX = 5


def rounded(values, digits):
    """Nested lists of plain floats, rounded."""
    return (np.round(np.asarray(values, dtype=float), digits) + 0.0).tolist()


def pick(points, landmark):
    return points[:, NAMES.index(landmark)]


def middle(points, joint):
    return (pick(points, f"left_{joint}") + pick(points, f"right_{joint}")) / 2


def angles(points, angle_of):
    """`angle_of(joint, start, vertex, end)` of each joint on each side."""
    return {
        f"{side}_{joint}": rounded(angle_of(joint, *(pick(points, f"{side}_{ray}") for ray in rays)), 6)
        for side in ("left", "right")
        for joint, rays in RAYS.items()
    }


def plane_angle(joint, start, vertex, end):
    """The form in which the program reports a joint: signed, the elbow unsigned."""
    if joint == "elbow":
        return unsigned_angle(start, vertex, end)
    return signed_angle(joint, start, vertex, end)


def facing_words(camera, ahead):
    """How the athlete faces in the picture when upright."""
    along, out = ahead @ camera.right, -(ahead @ camera.toward)
    if abs(along) >= abs(out):
        return "right" if along > 0 else "left"
    return "toward the camera" if out > 0 else "away from the camera"


def truth(posed, camera, image, words):
    """Everything known about a clip: in space, and in the plane of the picture."""
    joints = posed.joints
    sideways = words in ("right", "left")
    gym = gym_plane(image, words if sideways else "right")
    legs = [pick(gym, f"{side}_ankle") - pick(gym, f"{side}_hip") for side in ("left", "right")]
    lean = from_vertical(middle(gym, "ankle") - middle(gym, "wrist"))
    trunk = unwrapped(from_vertical(middle(gym, "shoulder") - middle(gym, "hip")))
    centre = posed.masses_centre
    return {
        "facing": {
            "when_upright": words,
            "pelvis_front_along_picture_x": rounded(posed.pelvis[:, :, 0] @ camera.right, 6),
            "pelvis_front_toward_camera": rounded(-(posed.pelvis[:, :, 0] @ camera.toward), 6),
        },
        "space": {
            "note": "degrees, 0 to 180, from the library's world joint positions",
            "angles_deg": angles(joints, lambda joint, *rays: unsigned_angle(*rays)),
            "height_m": {
                name: rounded(pick(joints, name)[:, 1], 6)
                for name in NAMES
                if name.endswith(("wrist", "ankle"))
            },
            "joints_m": {name: rounded(pick(joints, name), 6) for name in NAMES},
            "mass_centre_m": rounded(centre, 6),
        },
        "picture": {
            "note": "degrees; gym plane with X the way the athlete faces when upright"
            if sideways
            else "degrees; athlete seen from the front: no signed angles, inclinations positive to the right of the picture",
            "signed_deg": angles(gym, plane_angle) if sideways else None,
            "unsigned_deg": angles(gym, lambda joint, *rays: unsigned_angle(*rays)),
            "trunk_inclination_deg": rounded(trunk, 6),
            "body_line_lean_deg": rounded(lean, 6),
            "leg_gap_deg": rounded(unsigned_angle(legs[0], np.zeros_like(legs[0]), legs[1]), 6),
        },
        "camera": {
            "px_per_m": round(camera.px_per_m, 6),
            "distance_m": round(camera.distance_m, 6),
            "floor_y_px": round(float(camera.project(np.array([camera.centre[0], 0.0, camera.centre[2]]))[1]), 6),
        },
    }


def check_hinges(name, posed):
    """The file's own knee and elbow values must be the included angles of the world positions, side by side."""
    for hinge, expected in posed.hinges.items():
        side, joint = hinge.split("_")
        rays = (pick(posed.joints, f"{side}_{ray}") for ray in RAYS[joint])
        worst = np.abs(unsigned_angle(*rays) - expected).max()
        if worst > 1e-3:
            sys.exit(f"{name}: {hinge} differs from the file's own value by {worst:.4f} degrees")


def attempt(posed, rate_hz, image, camera, words, args, seed, floor_y):
    """The attempt file. Facing is left out on purpose: the program has to find it or be told."""
    if args.noise_px > 0:
        random = np.random.default_rng([args.seed, seed])
        image = image + random.normal(0.0, args.noise_px, image.shape)
    content = {
        "format": "springline-attempt",
        "version": 1,
        "synthetic": False,
        "note": words,
        "picture": {"width": PICTURE[0], "height": PICTURE[1]},
        "layout": f"named-{len(NAMES)}",
        "points": NAMES,
        "sd": {"kind": "given", "px": args.noise_px or args.sd_px},
        "error": {"kind": "independent"},
        "given": {
            "floor_line": [[0.0, floor_y], [float(PICTURE[0]), floor_y]],
            "floor_line_sd_px": 1.0,
        },
    }
    if args.noise_px > 0:
        content["note"] += f"; noise of {args.noise_px} px added"
        content["seed"] = args.seed
    if rate_hz is not None:
        content["rate_hz"] = round(float(rate_hz), 6)
    content["frames"] = [
        {"t": t, "points": points}
        for t, points in zip(rounded(posed.times, 6), rounded(image, DECIMALS_PX))
    ]
    return content


def write(folder, name, content):
    path = os.path.join(folder, name)
    with open(path + ".partial", "w", encoding="utf-8") as file:
        json.dump(content, file, separators=(",", ":"), allow_nan=False)
    os.replace(path + ".partial", path)


def arguments():
    parser = argparse.ArgumentParser(description="attempt files from motion capture, with the truth beside")
    parser.add_argument("output", help="folder to write to; made when it is not there")
    parser.add_argument("--clips", help="names with commas between; default: all")
    parser.add_argument("--views", help="names with commas between; default: all")
    parser.add_argument("--rates", default="60,original", help="frames per second, or original; default: 60,original")
    parser.add_argument("--noise-px", type=float, default=0.0, help="sd of seeded noise added to each coordinate")
    parser.add_argument("--sd-px", type=float, default=0.5, help="sd stated in the file when no noise is added")
    parser.add_argument("--seed", type=int, default=1)
    return parser.parse_args()


def chosen(wanted, known, what):
    """The known names that were asked for, in the known order."""
    if wanted is None:
        return list(known)
    wanted = wanted.split(",")
    unknown = [name for name in wanted if name not in known]
    if unknown:
        sys.exit(f"unknown {what}: {', '.join(unknown)}; there are: {', '.join(known)}")
    return [name for name in known if name in wanted]


def main():
    args = arguments()
    files = motion_files()
    views = {view.name: view for view in VIEWS}
    clips = chosen(args.clips, files, "clip")
    views = [views[name] for name in chosen(args.views, views, "view")]
    os.makedirs(args.output, exist_ok=True)
    figure = Figure()
    index = []
    for name in clips:
        motion = read_motion(name, files[name], CYCLES.get(name, 1))
        for rate in args.rates.split(","):
            if rate == "original":
                posed, rate_hz = pose(figure, motion), motion.rate_hz
            else:
                rate_hz = float(rate)
                count = int(np.floor(motion.times[-1] * rate_hz + 1e-9)) + 1
                posed = pose(figure, motion, np.arange(count) / rate_hz)
            check_hinges(name, posed)
            for view in views:
                camera = aim(view, posed.joints, posed.ahead())
                image = camera.project(posed.joints)
                words = facing_words(camera, posed.ahead())
                note = ORIGIN.format(name=name, view=view.words)
                stem = f"{name}.{rate}.{view.name}"
                known = truth(posed, camera, image, words)
                floor_y = known["camera"]["floor_y_px"]
                seed = zlib.crc32(stem.encode())
                write(args.output, f"{stem}.json", attempt(posed, rate_hz, image, camera, note, args, seed, floor_y))
                write(args.output, f"{stem}.truth.json", {"note": note, "clip": name, "times_s": rounded(posed.times, 6), **known})
                index.append({
                    "file": f"{stem}.json", "truth": f"{stem}.truth.json", "clip": name, "view": view.name, "rate": rate,
                    "rate_hz": rate_hz and round(float(rate_hz), 6), "frames": len(posed.times),
                    "seconds": round(float(posed.times[-1]), 6), "facing": words, "cycles": CYCLES.get(name, 1),
                    "px_per_m": round(camera.px_per_m, 6),
                })
    figure.close()
    write(args.output, "index.json", index)
    print(f"{len(index)} attempts from {len(clips)} motions written to {args.output}", file=sys.stderr)


if __name__ == "__main__":
    main()

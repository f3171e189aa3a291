"""Motion capture of real people, posed by the library that carries it.

The PyPI wheel `pybullet` holds motion files (`data/motions/humanoid3d_*.txt`) and a humanoid figure. Each line of a
file is: seconds to the next line, root position (3), root rotation (4), then the rotations of chest (4), neck (4), right
hip (4), right knee (1), right ankle (4), right shoulder (4), right elbow (1) and the same five of the left. Quaternions are
stored w first; Y is up; the figure faces +X with its right side toward +Z. The order is that of
`pybullet_envs/deep_mimic/env/humanoid_pose_interpolator.py` in the same wheel. World positions of the joints come from the
library's own forward kinematics, not from ours.

The motions folder has no licence file of its own, so nothing derived from it is kept in this repository.
"""

import contextlib
import json
import os
import sys
from dataclasses import dataclass

import numpy as np
import pybullet
import pybullet_data

SCALE = 0.25  # as in the library's own examples: the figure is drawn four times life size

# link number in the figure, first column of its rotation in a line of the file, columns
ROTATIONS = [
    (1, 8, 4), (2, 12, 4),
    (3, 16, 4), (4, 20, 1), (5, 21, 4), (6, 25, 4), (7, 29, 1),
    (9, 30, 4), (10, 34, 1), (11, 35, 4), (12, 39, 4), (13, 43, 1),
]
COLUMNS = 44

# our landmark: link whose frame sits at that joint
LANDMARKS = {
    "left_shoulder": 12, "right_shoulder": 6,
    "left_elbow": 13, "right_elbow": 7,
    "left_wrist": 14, "right_wrist": 8,
    "left_hip": 9, "right_hip": 3,
    "left_knee": 10, "right_knee": 4,
    "left_ankle": 11, "right_ankle": 5,
}
NAMES = list(LANDMARKS)
LINK_NAMES = {
    1: "chest", 2: "neck", 3: "right_hip", 4: "right_knee", 5: "right_ankle", 6: "right_shoulder", 7: "right_elbow",
    8: "right_wrist", 9: "left_hip", 10: "left_knee", 11: "left_ankle", 12: "left_shoulder", 13: "left_elbow",
    14: "left_wrist",
}
# a joint that is a hinge in the file: its value says the included angle without any kinematics
HINGES = {"right_knee": 20, "left_knee": 34, "right_elbow": 29, "left_elbow": 43}


@dataclass
class Motion:
    """One motion file."""

    name: str
    times: np.ndarray  # s, of each line
    lines: np.ndarray  # as read
    wraps: bool

    @property
    def rate_hz(self):
        """Lines per second when they are evenly spaced to 1 %, else None."""
        steps = np.diff(self.times)
        return 1.0 / np.median(steps) if np.all(np.abs(steps / np.median(steps) - 1) < 0.01) else None


@dataclass
class Posed:
    """World positions of one clip."""

    times: np.ndarray  # s
    joints: np.ndarray  # frames, landmarks in the order of NAMES, (x, y, z) in m, Y up
    pelvis: np.ndarray  # frames, 3, 3: columns are the pelvis's ahead, up and right
    hinges: dict  # name: included angle as the file's own hinge value says, degrees
    masses_centre: np.ndarray  # frames, 3: centre of the figure's own link masses, m

    def ahead(self):
        """The way the athlete faces when upright: level, square to the pelvis's own right, in the first upright frame.

        Upright is within 30 degrees; a motion that never is (crawling) takes its first frame.
        """
        upright = self.pelvis[:, 1, 1] > np.cos(np.radians(30.0))
        frame = int(np.argmax(upright)) if upright.any() else 0
        ahead = np.cross([0.0, 1.0, 0.0], self.pelvis[frame, :, 2])
        return ahead / np.linalg.norm(ahead)


def motion_files():
    """Name and path of every motion of a person, sorted."""
    folder = os.path.join(pybullet_data.getDataPath(), "data", "motions")
    found = [f for f in os.listdir(folder) if f.startswith("humanoid3d_") and f.endswith(".txt")]
    return {f[len("humanoid3d_"):-len(".txt")]: os.path.join(folder, f) for f in sorted(found)}


def read_motion(name, path, cycles=1):
    """Reads a motion file; `cycles` above 1 repeats a motion that wraps, moved on by its own travel along the floor."""
    with open(path, encoding="utf-8") as file:
        content = json.load(file)
    lines = np.array(content["Frames"], dtype=float)
    if lines.shape[1] != COLUMNS:
        raise ValueError(f"{path}: {lines.shape[1]} columns, expected {COLUMNS}")
    # some lines hold quaternions up to 40 % from unit length, which would stretch the figure
    for _, column, count in [(0, 4, 4), *ROTATIONS]:
        if count == 4:
            lines[:, column:column + 4] /= np.linalg.norm(lines[:, column:column + 4], axis=1, keepdims=True)
    wraps = content.get("Loop") == "wrap"
    if cycles > 1:
        if not wraps:
            raise ValueError(f"{path}: does not wrap, cannot be repeated")
        travel = lines[-1, 1:4] - lines[0, 1:4]
        travel[1] = 0.0
        parts = []
        for cycle in range(cycles):
            part = lines[(1 if cycle else 0):].copy()
            part[:, 1:4] += cycle * travel
            if cycle:  # the last line of a cycle and the first of the next are the same instant
                parts[-1][-1, 0] = lines[0, 0]
            parts.append(part)
        lines = np.concatenate(parts)
    times = np.concatenate([[0.0], np.cumsum(lines[:-1, 0])])
    return Motion(name, times, lines, wraps)


def quaternion(line, column):
    """The library wants w last; the file has it first."""
    return [line[column + 1], line[column + 2], line[column + 3], line[column]]


@contextlib.contextmanager
def quiet():
    """Sends what the library's C code prints to nowhere: it warns of default axes of joints that have none."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


class Figure:
    """The humanoid of the library, without any window."""

    def __init__(self):
        self.client = pybullet.connect(pybullet.DIRECT)
        path = os.path.join(pybullet_data.getDataPath(), "humanoid", "humanoid.urdf")
        with quiet():
            self.body = pybullet.loadURDF(
                path, [0, 0, 0], globalScaling=SCALE, flags=pybullet.URDF_MAINTAIN_LINK_ORDER, physicsClientId=self.client
            )
        for link, expected in LINK_NAMES.items():
            found = pybullet.getJointInfo(self.body, link, physicsClientId=self.client)[12].decode()
            if found != expected:
                raise ValueError(f"{path}: link {link} is {found}, expected {expected}")
        links = range(pybullet.getNumJoints(self.body, physicsClientId=self.client))
        self.masses = np.array(
            [pybullet.getDynamicsInfo(self.body, link, physicsClientId=self.client)[0] for link in links]
        )

    def close(self):
        pybullet.disconnect(self.client)

    def set_pose(self, line, following=None, share=0.0):
        """Poses the figure at `line`, or at a share of the way to the `following` line, rotations turned by slerp."""

        def rotation(column, count):
            if count == 1:
                value = line[column] if following is None else line[column] + share * (following[column] - line[column])
                return [value]
            if following is None:
                return quaternion(line, column)
            return pybullet.getQuaternionSlerp(quaternion(line, column), quaternion(following, column), share)

        position = line[1:4] if following is None else line[1:4] + share * (following[1:4] - line[1:4])
        pybullet.resetBasePositionAndOrientation(self.body, position, rotation(4, 4), physicsClientId=self.client)
        for link, column, count in ROTATIONS:
            pybullet.resetJointStateMultiDof(self.body, link, rotation(column, count), physicsClientId=self.client)

    def world(self):
        """Joint positions in the order of NAMES, the axes of the pelvis, and the centre of the link masses."""
        links = range(len(self.masses))
        states = pybullet.getLinkStates(self.body, list(links), computeForwardKinematics=1, physicsClientId=self.client)
        joints = [states[LANDMARKS[name]][4] for name in NAMES]
        pelvis = np.array(pybullet.getMatrixFromQuaternion(states[0][5])).reshape(3, 3)
        centres = np.array([state[0] for state in states])
        return np.array(joints), pelvis, self.masses @ centres / self.masses.sum()


def pose(figure, motion, times=None):
    """World positions at the motion's own times, or at `times` (within the motion)."""
    lines = motion.lines
    own = times is None
    times = motion.times if own else np.asarray(times)
    joints, pelvis, centres, hinges = [], [], [], {name: [] for name in HINGES}
    for k, t in enumerate(times):
        if own:
            figure.set_pose(lines[k])
            share, at, then = 0.0, lines[k], lines[k]
        else:
            i = min(max(int(np.searchsorted(motion.times, t, side="right")) - 1, 0), len(lines) - 2)
            share = min((t - motion.times[i]) / (motion.times[i + 1] - motion.times[i]), 1.0)
            at, then = lines[i], lines[i + 1]
            figure.set_pose(at, then, share)
        points, axes, centre = figure.world()
        joints.append(points)
        pelvis.append(axes)
        centres.append(centre)
        for name, column in HINGES.items():
            bend = at[column] + share * (then[column] - at[column])
            hinges[name].append(180.0 - abs((np.degrees(bend) + 180.0) % 360.0 - 180.0))
    return Posed(
        times, np.array(joints), np.array(pelvis), {name: np.array(v) for name, v in hinges.items()}, np.array(centres)
    )

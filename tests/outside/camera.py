"""Invented pinhole cameras that look at a posed figure: level, on a tripod, not moving."""

from dataclasses import dataclass

import numpy as np

PICTURE = (1920, 1080)
PX_PER_M = 350.0  # in the plane through the middle of the clip
NEAREST_M = 1.0  # nothing of the body may come nearer to the lens than this


@dataclass(frozen=True)
class View:
    """Where a camera stands, seen from the middle of the clip."""

    name: str
    bearing_deg: float  # 0: square to the side, on the athlete's right; 90: in front
    distance_m: float
    words: str


VIEWS = [
    View("side-far", 0.0, 1000.0, "square to the side, on the athlete's right, from 1 km: parallel rays to within 0.1 %"),
    View("side-6m", 0.0, 6.0, "square to the side, on the athlete's right, from 6 m"),
    View("side-left-6m", 180.0, 6.0, "square to the side, on the athlete's left, from 6 m"),
    View("yaw15-6m", 15.0, 6.0, "turned 15 degrees from square toward the athlete's front, from 6 m"),
    View("yaw30-6m", 30.0, 6.0, "turned 30 degrees from square toward the athlete's front, from 6 m"),
    View("front-6m", 90.0, 6.0, "in front of the athlete, from 6 m"),
    View("front-far", 90.0, 1000.0, "in front of the athlete, from 1 km: parallel rays to within 0.1 %"),
]


@dataclass
class Camera:
    """A pinhole camera, its axis horizontal."""

    centre: np.ndarray  # world point in the middle of the picture
    toward: np.ndarray  # unit vector along the axis, into the scene
    right: np.ndarray  # unit vector to the right of the picture
    distance_m: float
    px_per_m: float  # in the plane through `centre`

    def project(self, points):
        """World points (.., 3) to px (.., 2), x right, y down."""
        relative = points - self.centre
        depth = self.distance_m + relative @ self.toward
        scale = self.px_per_m * self.distance_m / depth
        x = PICTURE[0] / 2 + scale * (relative @ self.right)
        y = PICTURE[1] / 2 - scale * relative[..., 1]
        return np.stack([x, y], axis=-1)


def aim(view, joints, ahead):
    """Sets up a view for a clip: aimed at its middle, the scale lowered when the motion would leave the picture.

    `ahead` is the level unit vector along which the athlete faces when upright.
    """
    right_of_athlete = np.cross(ahead, [0.0, 1.0, 0.0])
    bearing = np.radians(view.bearing_deg)
    out = np.cos(bearing) * right_of_athlete + np.sin(bearing) * ahead  # from the clip to the camera
    low, high = joints.min(axis=(0, 1)), joints.max(axis=(0, 1))
    centre = (low + high) / 2
    centre[1] = 1.0
    toward = -out
    right = np.cross(toward, [0.0, 1.0, 0.0])
    nearest = ((joints - centre) @ toward).min()
    distance = max(view.distance_m, NEAREST_M - nearest)
    camera = Camera(centre, toward, right, distance, PX_PER_M)
    offset = np.abs(camera.project(joints) - np.array(PICTURE) / 2).max(axis=(0, 1))
    camera.px_per_m *= min(1.0, *(0.96 * np.array(PICTURE) / 2 / offset))
    return camera

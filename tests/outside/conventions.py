"""The angle conventions of the program, written a second time with NumPy.

Nothing here is shared with the Rust code: the two are compared with each other. All functions work on arrays
whose last axis is (x, y), in the *gym plane*: X the way the athlete faces when upright, Y up. Degrees out.
"""

import numpy as np

# joint: the ray that the angle starts at, the vertex, the ray that it ends at, sense, least value of the branch
SIGNED = {
    "shoulder": ("hip", "shoulder", "elbow", "anticlockwise", -90.0),
    "hip": ("shoulder", "hip", "knee", "clockwise", 0.0),
    "knee": ("hip", "knee", "ankle", "anticlockwise", 0.0),
    "ankle": ("knee", "ankle", "toe", "clockwise", 0.0),
}


def cross(u, v):
    """z component of the cross product of plane vectors: positive when `v` lies anticlockwise of `u`."""
    return u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]


def turn(u, v, sense):
    """Angle in (-180, 180] through which `u` turns to reach `v`, positive in the given sense."""
    side = cross(u, v) if sense == "anticlockwise" else cross(v, u)
    return np.degrees(np.arctan2(side, np.sum(u * v, axis=-1)))


def wrapped(angle, least):
    """The same direction in [least, least + 360); the shoulder's branch takes its upper end instead."""
    if least == 0.0:
        return np.mod(angle, 360.0)
    # (least, least + 360]
    return least + 360.0 - np.mod(least + 360.0 - angle, 360.0)


def signed_angle(joint, start, vertex, end):
    """Shoulder opening, hip, knee or ankle angle with its sign: bent and past straight are told apart."""
    _, _, _, sense, least = SIGNED[joint]
    return wrapped(turn(start - vertex, end - vertex, sense), least)


def unsigned_angle(start, vertex, end):
    """Included angle 0 to 180, in the plane or in space."""
    u, v = start - vertex, end - vertex
    if u.shape[-1] == 2:
        size = np.abs(cross(u, v))
    else:
        size = np.linalg.norm(np.cross(u, v), axis=-1)
    return np.degrees(np.arctan2(size, np.sum(u * v, axis=-1)))


def from_vertical(vector):
    """Angle of a vector from straight up, positive toward +X, in (-180, 180]."""
    return np.degrees(np.arctan2(vector[..., 0], vector[..., 1]))


def unwrapped(angles):
    """A series of degrees without jumps: a full turn forward adds 360."""
    return np.degrees(np.unwrap(np.radians(angles)))


def gym_plane(image, facing):
    """Image plane (x right, y down) to gym plane, floor level: y flipped, mirrored when facing left."""
    mirror = {"right": 1.0, "left": -1.0}[facing]
    return np.stack([mirror * image[..., 0], -image[..., 1]], axis=-1)

"""Rotations and directions: small helpers on (3,) vectors and (3, 3) matrices."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]


def unit(vector: Vector) -> Vector:
    """The same direction with length 1."""
    direction: Vector = np.asarray(vector, np.float64) / np.linalg.norm(vector)
    return direction


def square_to(vector: Vector, axis: Vector) -> Vector:
    """Unit part of ``vector`` at right angles to the unit ``axis``."""
    return unit(vector - np.dot(vector, axis) * axis)


def frame(z: Vector, x: Vector) -> Matrix:
    """Right-handed frame, columns x, y, z: ``z`` kept, ``x`` made square to it."""
    third = unit(z)
    first = square_to(np.asarray(x, np.float64), third)
    return np.stack([first, cross(third, first), third], axis=1)


def cross(first: Vector, second: Vector) -> Vector:
    """Cross product of two (3,) vectors; numpy's general one takes ten times as long."""
    a, b = first, second
    return np.array(
        [
            a[1] * b[2] - a[2] * b[1],
            a[2] * b[0] - a[0] * b[2],
            a[0] * b[1] - a[1] * b[0],
        ]
    )


def about(axis: Vector, angle_rad: float) -> Matrix:
    """Rotation about a unit axis, right-hand rule (Rodrigues' formula)."""
    x, y, z = axis
    sine, cosine = np.sin(angle_rad), np.cos(angle_rad)
    rest = 1.0 - cosine
    return np.array(
        [
            [cosine + x * x * rest, x * y * rest - z * sine, x * z * rest + y * sine],
            [y * x * rest + z * sine, cosine + y * y * rest, y * z * rest - x * sine],
            [z * x * rest - y * sine, z * y * rest + x * sine, cosine + z * z * rest],
        ]
    )


def between(first: Matrix, second: Matrix, share: float) -> Matrix:
    """The rotation a ``share`` of the way from ``first`` to ``second``, by the shorter arc."""
    step = Rotation.from_matrix(second @ first.T).as_rotvec()
    turn: Matrix = Rotation.from_rotvec(step * share).as_matrix() @ first
    return turn


def twist_about(turn: Matrix, axis: Vector) -> float:
    """How far ``turn`` twists about the unit ``axis``, radians in (-pi, pi] (swing-twist split)."""
    x, y, z, w = Rotation.from_matrix(turn).as_quat()
    along = float(np.dot([x, y, z], axis))
    angle = 2.0 * np.arctan2(along, w)
    return float((angle + np.pi) % (2.0 * np.pi) - np.pi)


def two_bones(
    start: Vector, end: Vector, first_m: float, second_m: float, pole: Vector
) -> tuple[Vector, Vector]:
    """Middle joint of a two-bone limb and the unit hinge axis ``cross(first, second)``.

    ``pole``: the way the middle joint points. A target out of reach is met by a limb stretched
    straight to it: the caller keeps targets within reach.
    """
    span = end - start
    distance = float(np.linalg.norm(span))
    along = span / distance
    aside = square_to(pole, along)
    to_foot = (distance**2 + first_m**2 - second_m**2) / (2.0 * distance)
    height = np.sqrt(max(first_m**2 - to_foot**2, 0.0))
    middle = start + to_foot * along + height * aside
    return middle, cross(aside, along)

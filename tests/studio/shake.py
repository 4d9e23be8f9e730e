"""A hand's unsteadiness as a smooth function of time: rotations only, the lens stays in its place.

Each of three angles is a sum of sines whose frequencies and phases come from the clip's seed, so any
instant can be asked for in any order and always gives the same answer.
"""

import math

import numpy as np

from tests.studio.pose import Array

_SINES = 6
_SLOWEST_HZ, _FASTEST_HZ = 0.25, 7.0
# A hand turns about the line of sight less than it drifts across it.
_SHARE = np.array([1.0, 1.0, 0.6])


class Shake:
    """Rotation of a hand-held camera. ``size_deg``: one sigma of yaw and of pitch; roll has 0.6 of it."""

    def __init__(self, size_deg: float, seed: int) -> None:
        random = np.random.default_rng([seed, 0x5A])
        steps = (np.arange(_SINES) + random.uniform(0.1, 0.9, (3, _SINES))) / _SINES
        self._hz = _SLOWEST_HZ * (_FASTEST_HZ / _SLOWEST_HZ) ** steps
        self._phase = random.uniform(0.0, 2.0 * math.pi, (3, _SINES))
        # Speed, not only place, stays finite: the faster the tremor the smaller.
        weight = self._hz**-0.8
        rms = np.sqrt((weight**2).sum(axis=1, keepdims=True) / 2.0)
        self._size = np.radians(size_deg) * _SHARE[:, None] * weight / rms

    @property
    def bound_rad(self) -> Array:
        """(3,) angles that yaw, pitch and roll never pass, radians."""
        bound: Array = np.abs(self._size).sum(axis=1)
        return bound

    def angles(self, time_s: float) -> Array:
        """(3,) yaw to the right, pitch down and roll of the lens, radians."""
        swing = np.sin(2.0 * math.pi * self._hz * time_s + self._phase)
        turned: Array = (self._size * swing).sum(axis=1)
        return turned

    def rotation(self, time_s: float) -> Array:
        """(3, 3) matrix that turns the still camera's (right, down, sight) coordinates into the
        shaken camera's.
        """
        yaw, pitch, roll = self.angles(time_s)
        return _about_sight(roll) @ _about_right(pitch) @ _about_down(yaw)


def _about_down(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, 0.0, -s], [0.0, 1.0, 0.0], [s, 0.0, c]])


def _about_right(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])


def _about_sight(angle: float) -> Array:
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]])

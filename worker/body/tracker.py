"""Follow one person from frame to frame, and repeat a frame to learn how repeatable it is."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import LandmarkNetwork
from worker.body.points import BodyPoints, find_points

PERSON_MIN = 0.5
"""Below this the network itself says the crop holds no person: keep looking where it was."""
_SIZE_STEP = 0.25
"""Share of a new crop size taken over in one step: a raised club or blur must not pump the crop."""
_JITTER = ((0.0, 0.0, 1.0, 0.0), (0.015, -0.01, 1.04, 0.03), (-0.015, 0.01, 0.97, -0.03))
"""Shifts (shares of the side), growth and turn (radians) of the repeated runs: about as far as
tracked crops wander from frame to frame."""


class Tracker:
    """Tracks one body with a landmark network; each call is the next frame in time."""

    def __init__(self, network: LandmarkNetwork, crop: Crop) -> None:
        self._network = network
        self.crop = crop

    def step(self, rgb: NDArray[np.uint8]) -> BodyPoints:
        """Points in the next frame; the crop follows unless the person is lost in it."""
        points = find_points(self._network, rgb, self.crop)
        if points.person >= PERSON_MIN:
            side = self.crop.side + _SIZE_STEP * (points.next_crop.side - self.crop.side)
            self.crop = replace(points.next_crop, side=side)
        return points


def repeat_points(
    network: LandmarkNetwork, rgb: NDArray[np.uint8], crop: Crop, *, pairs: int = 3
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Mean points (33, 2) over jittered crops and their mirrors, and one sigma of that mean (33,).

    ``pairs`` crops, each plain and mirrored. Sigma is the repeatability part only, pixels, each
    axis: what the network gets wrong every time is not in it.
    """
    runs: list[NDArray[np.float64]] = []
    for shift_x, shift_y, grow, turn in _JITTER[:pairs]:
        moved = crop.jittered(shift_x, shift_y, grow, turn)
        runs.extend(
            find_points(network, rgb, replace(moved, mirrored=mirrored)).xy
            for mirrored in (False, True)
        )
    stack = np.stack(runs)
    spread = stack.std(axis=0, ddof=1).mean(axis=1)
    return np.asarray(stack.mean(axis=0)), np.asarray(spread / np.sqrt(len(runs)))

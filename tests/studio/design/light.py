"""Places and their light, which rules how a phone films there."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.studio.design.columns import Columns
from tests.studio.dials import Background

Array = NDArray[np.float64]

HIGH_SPEED = 120.0
"""Frames a second from which a phone calls it slow motion."""

_PLACES = {
    Background.GRASS: 8,
    Background.RANGE: 8,
    Background.NET_BAY: 6,
    Background.INDOOR: 5,
    Background.EVENING: 5,
}
_DARKNESS = {
    Background.GRASS: 0.2,
    Background.RANGE: 0.3,
    Background.NET_BAY: 0.55,
    Background.INDOOR: 0.8,
    Background.EVENING: 0.95,
}
_RATES = {240.0: 1, 120.0: 2, 60.0: 8, 30.0: 15, 24.0: 6}
"""Fastest first: the fastest go to the brightest places."""


@dataclass(frozen=True, slots=True)
class Light:
    """One row a clip: the place, how dark it is (about 0 to 1), and the frames a second there."""

    background: list[Background]
    dark: Array
    fps: Array

    @property
    def gap_s(self) -> Array:
        """Seconds between frames."""
        return 1.0 / self.fps


def draw_light(columns: Columns) -> Light:
    background = columns.dealt(_PLACES)
    dark = np.array([_DARKNESS[place] for place in background]) + 0.15 * columns.noise()
    fps = np.array(columns.dealt(_RATES, by=dark + 0.3 * columns.noise()))
    return Light(background, dark, fps)

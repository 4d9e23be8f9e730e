"""The picture without the club and the golfer, and what has changed against it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Image = NDArray[np.float32]

NOISE_FLOOR = 1.5
"""Gray levels: compressed phone video is never quieter than this between two frames."""


def background_of(pictures: Sequence[Gray]) -> Image:
    """Median picture. Give frames at which the club lies in different places."""
    return np.asarray(np.median(np.stack(pictures), axis=0), dtype=np.float32)


def picture_noise(picture: Gray, background: Image) -> float:
    """One sigma of gray noise between a picture and the background, from the unchanged part."""
    difference = np.abs(picture.astype(np.float32) - background)[::4, ::4]
    # More than half of the picture is not the golfer; the median of |d| is 0.6745 sigma.
    return max(float(np.median(difference)) / 0.6745, NOISE_FLOOR)


def spread_rows(travel: NDArray[np.float64], count: int) -> list[int]:
    """Rows at equal steps of the hands' travel, so that a pause does not fill the median.

    ``travel`` (n,) is the path length up to each row, rising.
    """
    if len(travel) == 0:
        return []
    goals = np.linspace(travel[0], travel[-1], count)
    return sorted({int(np.argmin(np.abs(travel - goal))) for goal in goals})

"""The picture without the club and the golfer, and what has changed against it."""

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]
Image = NDArray[np.float32]

_BAND = 32
"""Rows taken together: those of some fifteen pictures stay in the processor's cache."""
NOISE_FLOOR = 1.5
"""Gray levels: compressed phone video is never quieter than this between two frames."""


def background_of(pictures: Sequence[Gray]) -> Image:
    """Median picture. Give frames at which the club lies in different places."""
    size = len(pictures[0])
    return np.concatenate(
        [
            _middle([picture[row : row + _BAND] for picture in pictures])
            for row in range(0, size, _BAND)
        ]
    )


def _middle(parts: Sequence[Gray]) -> Image:
    """Median of a few small arrays.

    Sorted place by place in a network of comparisons (Batcher's odd-even merge): whole arrays at a time,
    which is thirty times as fast as sorting each pixel's few values for itself.
    """
    ranked = list(parts)
    for low, high in comparisons(len(ranked)):
        lower, higher = ranked[low], ranked[high]
        ranked[low], ranked[high] = np.minimum(lower, higher), np.maximum(lower, higher)
    below, above = ranked[(len(ranked) - 1) // 2], ranked[len(ranked) // 2]
    return (below.astype(np.float32) + above) / np.float32(2.0)


@cache
def comparisons(count: int) -> tuple[tuple[int, int], ...]:
    """Pairs of places, in order, that sort ``count`` values when each pair is put in order."""
    pairs: list[tuple[int, int]] = []
    run = 1
    while run < count:
        step = run
        while step >= 1:
            pairs.extend(
                (low, low + step)
                for start in range(step % run, count - step, 2 * step)
                for low in range(start, min(start + step, count - step))
                if low // (2 * run) == (low + step) // (2 * run)
            )
            step //= 2
        run *= 2
    return tuple(pairs)


def picture_noise(picture: Gray, background: Image) -> float:
    """One sigma of gray noise between a picture and the background, from the unchanged part."""
    difference = np.abs(picture[::4, ::4].astype(np.float32) - background[::4, ::4])
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

"""Where a signal crosses zero, peaks, and how long it stays: bisection, golden section, runs."""

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from tests.studio.pose import Array

TIME_TOLERANCE_S = 1e-6
"""A microsecond: the fastest thing in a swing turns two thousandths of a degree in it."""

Signal = Callable[[float], float]
Mask = NDArray[np.bool_]

_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


def crossing(signal: Signal, low_s: float, high_s: float) -> float:
    """Time at which ``signal`` changes sign between two times, by bisection, to a microsecond.

    Raises ``ValueError`` when both ends lie on the same side of zero.
    """
    below = signal(low_s)
    if below == 0.0:
        return low_s
    if below * signal(high_s) > 0:
        message = f"no change of sign between {low_s} and {high_s} s"
        raise ValueError(message)
    while high_s - low_s > TIME_TOLERANCE_S:
        middle = 0.5 * (low_s + high_s)
        if signal(middle) * below > 0:
            low_s = middle
        else:
            high_s = middle
    return 0.5 * (low_s + high_s)


def peak(signal: Signal, low_s: float, high_s: float) -> float:
    """Time of the maximum of a signal with one hump between two times, by golden section.

    To a microsecond of bracket; a smooth hump is flat in floats over about ten of them.
    """
    left = high_s - _GOLDEN * (high_s - low_s)
    right = low_s + _GOLDEN * (high_s - low_s)
    at_left, at_right = signal(left), signal(right)
    while high_s - low_s > TIME_TOLERANCE_S:
        if at_left > at_right:
            high_s, right, at_right = right, left, at_left
            left = high_s - _GOLDEN * (high_s - low_s)
            at_left = signal(left)
        else:
            low_s, left, at_left = left, right, at_right
            right = low_s + _GOLDEN * (high_s - low_s)
            at_right = signal(right)
    return 0.5 * (low_s + high_s)


def rises(values: Array, first: int = 0, last: int | None = None) -> list[int]:
    """Samples ``i`` of ``[first, last)`` with ``values[i] < 0 <= values[i + 1]``."""
    end = len(values) - 1 if last is None else min(last, len(values) - 1)
    part = values[first : end + 1]
    return [first + int(i) for i in np.flatnonzero((part[:-1] < 0) & (part[1:] >= 0))]


def falls(values: Array, first: int = 0, last: int | None = None) -> list[int]:
    """Samples ``i`` of ``[first, last)`` with ``values[i] > 0 >= values[i + 1]``."""
    return rises(-values, first, last)


def runs(mask: Mask) -> list[tuple[int, int]]:
    """Stretches of true samples as ``(first, last)``, both inside."""
    padded = np.concatenate(([False], mask, [False])).astype(np.int8)
    edges = np.diff(padded)
    starts, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return [(int(a), int(b)) for a, b in zip(starts, ends, strict=True)]


def bridged(mask: Mask, times: Array, gap_s: float) -> Mask:
    """The mask with holes of at most ``gap_s`` filled, where both sides are true."""
    filled = mask.copy()
    for first, last in runs(~mask):
        inside = first > 0 and last < len(mask) - 1
        if inside and times[last + 1] - times[first - 1] <= gap_s:
            filled[first : last + 1] = True
    return filled


def dips(values: Array, first: int, last: int, under: float) -> list[int]:
    """Samples strictly between two where a signal has a local minimum below ``under``."""
    inner = range(max(first, 0) + 1, min(last, len(values) - 1))
    return [i for i in inner if values[i] < under and values[i - 1] > values[i] <= values[i + 1]]

"""Which found swing is which true swing: by the time they share, never by their order."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import linear_sum_assignment

Span = tuple[float, float]

LEAST_SHARED = 0.5
"""Part of the shorter span that two swings must share. Half: a swing found twice as long as it is
still counts as found, one that only touches its neighbour does not."""
LEAST_SPAN_S = 0.1
"""A swing of which only one instant was found is taken to last this long about it."""


@dataclass(frozen=True, slots=True)
class Pairing:
    """Indices: ``pairs`` (true, found), true swings ``missed``, found swings ``invented``."""

    pairs: tuple[tuple[int, int], ...]
    missed: tuple[int, ...]
    invented: tuple[int, ...]


def pair(true: Sequence[Span], found: Sequence[Span | None]) -> Pairing:
    """Pair swings so that the time shared is largest; each swing is used once at most.

    Spans are (first, last) seconds. ``None``: a found swing without any instant, which can be
    no swing's and so is invented.
    """
    shared = np.zeros((len(true), len(found)))
    for i, own in enumerate(true):
        for j, other in enumerate(found):
            if other is not None:
                shared[i, j] = _shared(_widened(own), _widened(other))
    rows, columns = linear_sum_assignment(shared, maximize=True)
    pairs = tuple(
        (int(i), int(j)) for i, j in zip(rows, columns, strict=True) if shared[i, j] > 0.0
    )
    return Pairing(
        pairs,
        missed=tuple(i for i in range(len(true)) if i not in {i for i, _ in pairs}),
        invented=tuple(j for j in range(len(found)) if j not in {j for _, j in pairs}),
    )


def _widened(span: Span) -> Span:
    lack = max(0.0, LEAST_SPAN_S - (span[1] - span[0])) / 2.0
    return span[0] - lack, span[1] + lack


def _shared(one: Span, other: Span) -> float:
    """Seconds shared, or 0 when that is less than ``LEAST_SHARED`` of the shorter span."""
    seconds = min(one[1], other[1]) - max(one[0], other[0])
    shorter = min(one[1] - one[0], other[1] - other[0])
    return seconds if seconds > 0.0 and seconds >= LEAST_SHARED * shorter else 0.0

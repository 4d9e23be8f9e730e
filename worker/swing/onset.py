"""When a point that rested begins to move for good.

A start has no edge: a threshold on travel is passed late, and traced back from two of them it is found only as
well as those two samples. Here all samples tell it together. Until the start the point lies still but for
noise; from then on it leaves along a line with a power of the time since. Every start and a few powers are
tried, each with its best rest place and way (least squares), and weighed by how well it fits: a broken-line
regression with its profile likelihood (Hinkley 1971, Biometrika 58(3); from memory).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

POWERS = (1.5, 2.0, 3.0)
"""Travel grows so with time: two is a steady push. A smooth start is nearer to three (working values)."""
STEP_S = 1.0 / 240.0
"""Between starts that are tried."""
FEWEST = 6
"""Fewer samples fit nothing."""
NOISE_FLOOR_PX = 0.3
"""Points that lie stiller than this were drawn together by the picture's grid."""
SHARED_MOST = 0.8
"""Correlation from one residual to the next counts as no more than this."""


@dataclass(frozen=True, slots=True)
class Onset:
    """Mean and one sigma of the start, seconds."""

    time_s: float
    sigma_s: float


def fit_onset(times_s: Array, places: Array) -> Onset | None:
    """Start of the move in a stretch that begins at rest and ends soon after the start.

    ``places`` (n, k), pixels. ``None`` for too few samples, for samples of one time and for places that are not
    numbers. Neighbouring samples of a track share error: what correlation the residuals show makes the answer
    less sure, as if there were fewer of them.
    """
    if len(times_s) < FEWEST or not (np.isfinite(times_s).all() and np.isfinite(places).all()):
        return None
    if times_s[-1] <= times_s[0]:
        return None
    starts = np.arange(times_s[0], times_s[-1], STEP_S)
    misfit = np.stack([_misfit(times_s, places, starts, power) for power in POWERS])
    free = len(times_s) - 3
    noise = np.maximum(misfit.min(axis=(0, 1)) / free, NOISE_FLOOR_PX**2)
    chi = (misfit / noise).sum(axis=2)
    best = np.unravel_index(int(np.argmin(chi)), chi.shape)
    shared = _shared(times_s, places, float(starts[best[1]]), POWERS[int(best[0])], noise)
    weight = np.exp(-(chi - chi.min()) / (2.0 * shared))
    share = weight.sum(axis=0) / weight.sum()
    mean = float(share @ starts)
    return Onset(mean, float(np.sqrt(share @ (starts - mean) ** 2)))


def _misfit(times_s: Array, places: Array, starts: Array, power: float) -> Array:
    """(m, k) sum of squares that is left for each start (m,)."""
    course, aside = _course(times_s, starts, power), places - places.mean(axis=0)
    along = course @ aside
    whole = (course**2).sum(axis=1)[:, np.newaxis]
    return np.asarray((aside**2).sum(axis=0) - along**2 / np.maximum(whole, 1e-12))


def _course(times_s: Array, starts: Array, power: float) -> Array:
    """(m, n) travel along the line for each start, about its mean."""
    course = np.maximum(times_s - starts[:, np.newaxis], 0.0) ** power
    return np.asarray(course - course.mean(axis=1)[:, np.newaxis])


def _shared(times_s: Array, places: Array, start: float, power: float, noise: Array) -> float:
    """How many samples tell as much as one would alone: (1 + r) / (1 - r) for a correlation r."""
    course = _course(times_s, np.array([start]), power)[0]
    aside = places - places.mean(axis=0)
    left = (
        aside - np.outer(course, course @ aside) / max(float(course @ course), 1e-12)
    ) / np.sqrt(noise)
    correlation = float((left[1:] * left[:-1]).sum() / max(float((left**2).sum()), 1e-12))
    correlation = min(max(correlation, 0.0), SHARED_MOST)
    return (1.0 + correlation) / (1.0 - correlation)

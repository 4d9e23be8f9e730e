"""Signals over uneven times: local lines, speeds, noise and crossings, each with one sigma."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MAD_TO_SIGMA = 1.4826
"""One sigma of a normal spread over its median absolute deviation."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """A sub-frame time at which a signal crosses zero, one sigma, and the slope there (per s)."""

    time_s: float
    sigma_s: float
    slope: float


@dataclass(frozen=True, slots=True)
class LocalLine:
    """Straight line through a signal near ``time_s``: value and slope there, with the count."""

    value: float
    slope: float
    count: int


def local_line(times_s: Array, values: Array, time_s: float, half_width_s: float) -> LocalLine:
    """Fit a line to the samples within ``half_width_s`` of ``time_s``; at least two are used."""
    value, slope, count = _local_lines(
        times_s, values[:, np.newaxis], np.array([time_s]), half_width_s
    )
    return LocalLine(float(value[0, 0]), float(slope[0, 0]), int(count[0]))


def _local_lines(
    times_s: Array, values: Array, at_s: Array, half_width_s: float
) -> tuple[Array, Array, NDArray[np.int64]]:
    """Lines through samples (n, k) near each of (m,) times: values and slopes (m, k), counts (m,).

    All at once: a smoothed track is a line for every frame.
    """
    since = times_s[np.newaxis] - at_s[:, np.newaxis]
    near = np.abs(since) <= half_width_s
    for row in np.flatnonzero(near.sum(axis=1) < 2):  # noqa: PLR2004 - a line needs two points
        near[row] = False
        near[row, np.argsort(np.abs(since[row]))[:2]] = True
    weight = near.astype(np.float64)
    count = weight.sum(axis=1)
    middle = (weight * since).sum(axis=1) / count
    # From the middle of the samples nothing large cancels.
    aside = weight * (since - middle[:, np.newaxis])
    slope = (aside @ values) / (aside * aside).sum(axis=1)[:, np.newaxis]
    value = (weight @ values) / count[:, np.newaxis] - slope * middle[:, np.newaxis]
    return value, slope, near.sum(axis=1)


def local_curve(times_s: Array, values: Array, time_s: float, half_width_s: float) -> LocalLine:
    """Value and slope at ``time_s`` of a parabola through the samples within ``half_width_s``.

    A downswing bends within a few frames, and a line through a bend lies beside it. A line where fewer than
    three samples are near.
    """
    near = np.abs(times_s - time_s) <= half_width_s
    if near.sum() < 3:  # noqa: PLR2004 - a parabola needs three
        return local_line(times_s, values, time_s, half_width_s)
    _, slope, value = np.polyfit(times_s[near] - time_s, values[near], 2)
    return LocalLine(float(value), float(slope), int(near.sum()))


def smoothed(times_s: Array, values: Array, half_width_s: float) -> Array:
    """Local-line smoothing of (n,) or (n, k) samples; keeps times, follows straight motion."""
    columns = values.reshape(len(values), -1)
    return _local_lines(times_s, columns, times_s, half_width_s)[0].reshape(values.shape)


def speed(times_s: Array, points: Array, half_width_s: float) -> Array:
    """Speed (n,) of a point track (n, 2), pixels per second, from local lines."""
    slopes = _local_lines(times_s, points, times_s, half_width_s)[1]
    return np.asarray(np.linalg.norm(slopes, axis=1))


def noise_sigma(values: Array) -> float:
    """One sigma of sample noise from third differences, which a smooth motion leaves small."""
    if len(values) < 5:  # noqa: PLR2004 - fewer give no spread worth the name
        return 0.0
    third = np.diff(values, n=3)
    # Coefficients 1, -3, 3, -1: the variance of the difference is 20 times the sample's.
    return float(MAD_TO_SIGMA * np.median(np.abs(third - np.median(third))) / np.sqrt(20.0))


def spread_sigma(values: Array) -> float:
    """One sigma of samples about their median, slow wander and all."""
    if len(values) == 0:
        return 0.0
    return float(MAD_TO_SIGMA * np.median(np.abs(values - np.median(values))))


def rising_crossing(
    times_s: Array,
    values: Array,
    *,
    sigma: float,
    bias_sigma: float = 0.0,
    half_width_s: float = 0.035,
) -> Crossing | None:
    """First lasting upward zero crossing: negative before, positive for the next two samples.

    ``sigma`` is the sample noise, ``bias_sigma`` what all samples near the crossing share, both
    in the signal's unit. The time is the root of the line through the samples within
    ``half_width_s`` (at least the two that bracket it). For a falling crossing pass ``-values``.

    One sigma is what the spread of the signal is at the crossing's slope, and no less than half the time that
    the signal needs from one spread below zero to one above: where it stays near zero the slope at the
    crossing itself says too little.
    """
    for i in range(1, len(values)):
        if values[i - 1] < 0.0 <= values[i] and np.all(values[i : i + 3] >= 0.0):
            return _crossing_near(times_s, values, i, sigma, bias_sigma, half_width_s)
    return None


def _crossing_near(
    times_s: Array,
    values: Array,
    after: int,
    sigma: float,
    bias_sigma: float,
    half_width_s: float,
) -> Crossing:
    t0, t1 = times_s[after - 1], times_s[after]
    straight = t0 + (t1 - t0) * values[after - 1] / (values[after - 1] - values[after])
    line = local_line(times_s, values, straight, half_width_s)
    if line.slope <= 0.0:
        line = local_line(times_s, values, straight, 0.51 * (t1 - t0))
    # The refined root may not leave the samples it was fitted to.
    reach = max(half_width_s, t1 - t0)
    time_s = float(np.clip(straight - line.value / line.slope, straight - reach, straight + reach))
    spread = np.hypot(sigma / np.sqrt(line.count), bias_sigma)
    near = _time_between(times_s, values, after, float(spread)) / 2.0
    return Crossing(time_s, max(float(spread / line.slope), near), line.slope)


def _time_between(times_s: Array, values: Array, after: int, spread: float) -> float:
    """Seconds the signal needs about sample ``after`` from ``-spread`` to ``spread``.

    Straight lines between samples; from the first and to the last sample where it was never so low or high.
    """
    below = np.flatnonzero(values[:after] < -spread)
    above = np.flatnonzero(values[after:] > spread) + after
    start, end = float(times_s[0]), float(times_s[-1])
    if len(below):
        i = int(below[-1])
        start = float(np.interp(-spread, values[i : i + 2], times_s[i : i + 2]))
    if len(above):
        i = int(above[0])
        end = float(np.interp(spread, values[i - 1 : i + 1], times_s[i - 1 : i + 1]))
    return end - start


def value_at(times_s: Array, values: Array, time_s: float) -> Array:
    """Linear interpolation of (n, k) samples at a time; held constant outside."""
    return np.array([np.interp(time_s, times_s, values[:, k]) for k in range(values.shape[1])])

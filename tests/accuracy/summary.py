"""Statistics of errors, as pure functions. Signed errors are found less true."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np


@dataclass(frozen=True, slots=True)
class ErrorSummary:
    """``n`` errors: mean (bias), root of the mean square, and of their sizes the median, the mean,
    the 90th percentile (linear between ranks) and the largest."""

    n: int
    mean: float
    rmse: float
    median_size: float
    mean_size: float
    p90_size: float
    worst_size: float


def summarise(errors: Sequence[float]) -> ErrorSummary | None:
    """Summary of errors, or ``None`` of none."""
    if not errors:
        return None
    values = np.asarray(errors, dtype=np.float64)
    sizes = np.abs(values)
    return ErrorSummary(
        n=len(values),
        mean=float(values.mean()),
        rmse=float(np.sqrt(np.mean(values**2))),
        median_size=float(np.median(sizes)),
        mean_size=float(sizes.mean()),
        p90_size=float(np.percentile(sizes, 90.0)),
        worst_size=float(sizes.max()),
    )


@dataclass(frozen=True, slots=True)
class Share:
    """``count`` of ``total``, with the Wilson interval of the share behind it."""

    count: int
    total: int
    low: float
    high: float

    @property
    def value(self) -> float:
        """The share itself, 0 to 1; of nothing it is not a number."""
        return self.count / self.total if self.total else math.nan


def wilson(count: int, total: int, level: float = 0.95) -> Share:
    """A share with its Wilson score interval, for independent trials.

    Wilson 1927, J. Am. Stat. Assoc. 22:209. Holds its level for few trials and at 0 or all, where
    the usual ``p +- z * sqrt(p q / n)`` has no width. Of no trials the interval is 0 to 1.
    """
    if not 0 <= count <= total:
        message = f"{count} of {total} is no share"
        raise ValueError(message)
    if total == 0:
        return Share(0, 0, 0.0, 1.0)
    z = NormalDist().inv_cdf(0.5 + level / 2.0)
    p, squeeze = count / total, z * z / total
    middle = (p + squeeze / 2.0) / (1.0 + squeeze)
    half = z * math.sqrt(p * (1.0 - p) / total + squeeze / (4.0 * total)) / (1.0 + squeeze)
    low = 0.0 if count == 0 else middle - half
    high = 1.0 if count == total else middle + half
    return Share(count, total, low, high)


def middle(values: Sequence[float]) -> float | None:
    """Median of some numbers; ``None`` of none."""
    return float(np.median(values)) if values else None


def spread(values: Sequence[float]) -> tuple[float, float] | None:
    """Mean and standard deviation (n - 1) of some numbers; ``None`` of fewer than two."""
    if len(values) < 2:
        return None
    return float(np.mean(values)), float(np.std(values, ddof=1))


RELIABILITY_LEVELS = (0.5, 0.6827, 0.8, 0.9, 0.95, 0.99)


@dataclass(frozen=True, slots=True)
class LevelCoverage:
    """How often the truth lay inside an interval of a nominal level."""

    level: float
    observed: Share


def reliability(
    zs: Sequence[float], levels: Sequence[float] = RELIABILITY_LEVELS
) -> list[LevelCoverage]:
    """Observed share of truths inside the central interval of each level, from errors in sigmas."""
    curve = []
    for level in levels:
        reach = NormalDist().inv_cdf(0.5 + level / 2.0)
        curve.append(LevelCoverage(level, wilson(sum(abs(z) <= reach for z in zs), len(zs))))
    return curve


@dataclass(frozen=True, slots=True)
class RiskPoint:
    """Mean size of the error if only the surest readings, ``share`` of all true ones, were given."""

    share: float
    mean_size: float


def risk_curve(given: Sequence[tuple[float, float]], true_total: int) -> list[RiskPoint]:
    """Risk against share given, from (sigma, error) of the given readings, surest first.

    The last point is where the pipeline stands: everything it gave. Readings of equal sigma enter
    together, since nothing orders them. ``true_total`` counts withheld and missed ones too.
    """
    if len(given) > true_total:
        raise ValueError("more readings than true values")
    ordered = sorted(given, key=lambda pair: pair[0])
    points, total = [], 0.0
    for count, (sigma, error) in enumerate(ordered, start=1):
        total += abs(error)
        if count == len(ordered) or ordered[count][0] > sigma:
            points.append(RiskPoint(count / true_total, total / count))
    return points

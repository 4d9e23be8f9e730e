"""How well two people who read the same things agree: differences, their limits, ICC(2,1) and SEM.

Sources of the formulas: Bland and Altman, "Measuring agreement in method comparison studies", Statistical
Methods in Medical Research 8 (1999) 135-160, for the limits and their own intervals; Shrout and Fleiss,
"Intraclass correlations", Psychological Bulletin 86 (1979) 420-428, for ICC(2,1); de Vet and others, "When to use
agreement versus reliability measures", Journal of Clinical Epidemiology 59 (2006) 1033-1039, for SEM(agreement).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import sqrt
from statistics import NormalDist, fmean, stdev

LEAST_PAIRS = 30
"""Under this many pairs no figure is told: it would say more about chance than about people (working value)."""
_COVERS = NormalDist().inv_cdf(0.975)


class NoFigure(StrEnum):
    """Why figures are not told."""

    TOO_FEW = "too_few"
    """Fewer pairs than ``LEAST_PAIRS``."""

    NO_SPREAD = "no_spread"
    """Every read said the same: there is nothing that could be told apart, so no share of it is error."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A 95 % interval."""

    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Differences:
    """Second reading less first, in the readings' unit. ``limits`` hold 95 of 100 differences.

    ``mean_interval``, ``lower_interval`` and ``upper_interval`` say how sure the mean and each limit are.
    """

    mean: float
    sd: float
    limits: Interval
    mean_interval: Interval
    lower_interval: Interval
    upper_interval: Interval


@dataclass(frozen=True, slots=True)
class Reliability:
    """``icc``: ICC(2,1), the share of the variance that is between the things read; it can come out below 0.

    ``sem``: standard error of one reading by any reader, in the readings' unit.
    """

    icc: float
    sem: float


def differences(pairs: Sequence[tuple[float, float]]) -> Differences:
    """Mean, spread and limits of agreement of at least two pairs (first, second).

    The limits are mean -+ 1.96 SD. With s the SD and t of n - 1 degrees of freedom, the mean's interval is
    -+ t s / sqrt(n), a limit's -+ t s sqrt(1/n + 1.96**2 / (2 (n - 1))).
    """
    found = [second - first for first, second in pairs]
    count, mean, sd = len(found), fmean(found), stdev(found)
    t = t_quantile(count - 1)
    reach = _COVERS * sd
    of_mean = t * sd / sqrt(count)
    of_limit = t * sd * sqrt(1.0 / count + _COVERS**2 / (2.0 * (count - 1)))
    return Differences(
        mean=mean,
        sd=sd,
        limits=Interval(mean - reach, mean + reach),
        mean_interval=Interval(mean - of_mean, mean + of_mean),
        lower_interval=Interval(mean - reach - of_limit, mean - reach + of_limit),
        upper_interval=Interval(mean + reach - of_limit, mean + reach + of_limit),
    )


def reliability(rows: Sequence[Sequence[float]]) -> Reliability | None:
    """ICC(2,1) and SEM of ``rows``: one for each thing that was read, one column for each reader.

    Two-way analysis of variance with BMS between rows, JMS between columns, EMS what is left, n rows and k columns:
    ICC(2,1) = (BMS - EMS) / (BMS + (k - 1) EMS + k (JMS - EMS) / n), and SEM = sqrt(EMS + (JMS - EMS) / n), the
    readers' own variance taken as 0 where the estimate falls below. Differences between readers count as
    error: a student is read by one coach, not by the mean of two. ``None`` when all values are the same.
    """
    n, k = len(rows), len(rows[0])
    grand = fmean(value for row in rows for value in row)
    of_rows = [fmean(row) for row in rows]
    of_columns = [fmean(column) for column in zip(*rows, strict=True)]
    between = k * sum((mean - grand) ** 2 for mean in of_rows)
    judges = n * sum((mean - grand) ** 2 for mean in of_columns)
    left = sum(
        (value - of_rows[i] - of_columns[j] + grand) ** 2
        for i, row in enumerate(rows)
        for j, value in enumerate(row)
    )
    bms, jms, ems = between / (n - 1), judges / (k - 1), left / ((n - 1) * (k - 1))
    whole = bms + (k - 1) * ems + k * (jms - ems) / n
    if whole <= 0.0:
        return None
    return Reliability((bms - ems) / whole, sqrt(ems + max(0.0, (jms - ems) / n)))


@dataclass(frozen=True, slots=True)
class Agreement:
    """What pairs of readings of one number say. Figures are None, with ``reason``, where they would mislead."""

    pairs: int
    differences: Differences | None
    reliability: Reliability | None
    reason: NoFigure | None


def agreement_of(pairs: Sequence[tuple[float, float]]) -> Agreement:
    """The figures of pairs (first, second), or why there are none."""
    if len(pairs) < LEAST_PAIRS:
        return Agreement(len(pairs), None, None, NoFigure.TOO_FEW)
    found = reliability(pairs)
    reason = NoFigure.NO_SPREAD if found is None else None
    return Agreement(len(pairs), differences(pairs), found, reason)


def t_quantile(freedom: int) -> float:
    """Student's t that 97.5 % of draws stay below.

    By the expansion in 1/freedom of Abramowitz and Stegun, 26.7.5: right to 0.0002 from 10 degrees of freedom on,
    too small below 3, where nothing here asks.
    """
    z, v = _COVERS, float(freedom)
    return (
        z
        + (z**3 + z) / (4 * v)
        + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * v**2)
        + (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / (384 * v**3)
    )

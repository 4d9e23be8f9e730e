"""What coaches' corrections teach about the machine: its bias and the spread it does not state.

For one checkpoint, view, rate of pictures and pipeline version. A correction is what the machine read less
what the coach made of it. The machine is taken for unbiased until enough of them say otherwise:

- bias: normal errors with a normal prior around 0, whose sigma is the machine's own usual sigma. With
  ``n`` corrections of variance ``v`` the posterior mean is ``mean * n / (n + v / prior^2)``;
- spread: the variance of the corrections about that bias beyond what machine and coach state, as if
  ``PRIOR_CASES`` more corrections had shown none.

Gelman et al., Bayesian Data Analysis, ch. 2 (from memory) has the normal model; the second is a working
shrinkage of the same kind.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

PRIOR_CASES = 10
"""Corrections' worth of trust in the machine's own spread."""
FEWEST = 3
"""Fewer corrections teach nothing."""


@dataclass(frozen=True, slots=True)
class Correction:
    """``difference``: machine less coach. One sigma of either, all in the checkpoint's unit."""

    difference: float
    machine_sigma: float
    coach_sigma: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """``bias`` to subtract from the machine's value, one sigma of it, and ``spread`` to add in squares."""

    bias: float
    bias_sigma: float
    spread: float
    cases: int


def learn(corrections: Sequence[Correction]) -> Learnt:
    """Bias and spread from corrections of one kind; nothing (zeros) from too few."""
    n = len(corrections)
    if n < FEWEST:
        return Learnt(0.0, 0.0, 0.0, n)
    differences = [one.difference for one in corrections]
    mean = fmean(differences)
    stated = fmean(one.machine_sigma**2 + one.coach_sigma**2 for one in corrections)
    seen = sum((each - mean) ** 2 for each in differences) / (n - 1)
    variance = max(seen, stated)
    prior = fmean(one.machine_sigma for one in corrections)
    if prior <= 0.0 or variance <= 0.0:
        return Learnt(0.0, 0.0, 0.0, n)
    precision = n / variance + prior**-2
    bias = (n / variance) * mean / precision
    beyond = sum((each - bias) ** 2 for each in differences) / n - stated
    spread = math.sqrt(max(0.0, beyond) * n / (n + PRIOR_CASES))
    return Learnt(bias, precision**-0.5, spread, n)

"""The residual spread: what is left of the errors that no term of the uncertainty explains.

The residual is a quantile, over the cases, of what each would have needed beside its stated sigma: the idea of
split conformal intervals (Vovk, Gammerman and Shafer 2005; Lei et al. 2018, J. Am. Stat. Assoc. 113(523), from
memory). The quantile ``q`` of ``n`` cases, between neighbours by straight lines, holds the next one with
``(q (n - 1) + 1) / (n + 1)``, so it is chosen for 0.95 of the next, not of those at hand. With fewer than forty
cases that would be the worst of them all, which is now and then a swing taken for another, and no interval should
pretend to hold that: the worst never decides alone. The next case is then held with 0.94 at thirty cases and 0.90
at seventeen.
"""

from collections.abc import Sequence

import numpy as np

from api.domain.uncertainty import Z95

LEVEL = 0.95
FEWEST = 8
"""Fewer cases fit nothing: the residual stays as it was."""


def residual(errors: Sequence[float], sigmas: Sequence[float]) -> float | None:
    """One sigma to add in squares to every stated sigma, in the errors' unit; ``None`` for too few."""
    if len(errors) < FEWEST:
        return None
    needed = np.maximum(0.0, (np.array(errors) / Z95) ** 2 - np.array(sigmas, dtype=float) ** 2)
    return float(np.quantile(np.sqrt(needed), _quantile(len(errors))))


def _quantile(cases: int) -> float:
    """For ``LEVEL`` of the next case, short of the worst at hand; never less than for those at hand."""
    of_the_next = (LEVEL * (cases + 1) - 1.0) / (cases - 1)
    second_worst = (cases - 2) / (cases - 1)
    return max(LEVEL, min(of_the_next, second_worst))

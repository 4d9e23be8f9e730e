"""The residual spread: what is left of the errors that no term of the uncertainty explains.

The residual is the 95 % quantile, over the cases, of what each would have needed beside its stated sigma: the
idea of split conformal intervals (Vovk, Gammerman and Shafer 2005; Lei et al. 2018, J. Am. Stat. Assoc.
113(523), from memory). Their guarantee for the next case takes the ``ceil(0.95 (n + 1))``-th of ``n``, the
worst of fewer than forty, and the worst of forty is now and then a swing taken for another, which no interval
should pretend to hold. So the plain quantile is taken, and the next case is held a little less often than
promised: ``(0.95 (n - 1) + 1) / (n + 1)``, 0.93 with forty cases and 0.90 with seventeen.
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
    return float(np.quantile(np.sqrt(needed), LEVEL))

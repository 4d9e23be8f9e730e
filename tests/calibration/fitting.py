"""The residual spread: what is left of the errors that no term of the uncertainty explains.

Split conformal: with ``n`` exchangeable cases, the interval that holds the ``ceil(0.95 (n + 1))``-th
worst of them holds the next one with at least 95 % probability (Vovk, Gammerman and Shafer 2005; Lei et
al. 2018, J. Am. Stat. Assoc. 113(523), from memory). Here the score is not the error but the residual
that would have been needed beside the stated sigma.
"""

import math
from collections.abc import Sequence

from api.domain.uncertainty import Z95

LEVEL = 0.95
FEWEST = 8
"""Fewer cases fit nothing: the residual stays as it was."""


def residual(errors: Sequence[float], sigmas: Sequence[float]) -> float | None:
    """One sigma to add in squares to every stated sigma, in the errors' unit; ``None`` for too few.

    With fewer than 19 cases the worst of them decides.
    """
    if len(errors) < FEWEST:
        return None
    needed = sorted(
        math.sqrt(max(0.0, (error / Z95) ** 2 - sigma**2))
        for error, sigma in zip(errors, sigmas, strict=True)
    )
    place = min(math.ceil(LEVEL * (len(needed) + 1)), len(needed))
    return needed[place - 1]

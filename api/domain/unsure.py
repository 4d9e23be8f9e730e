"""Which points the machine was unsure of, for whoever draws them."""

import math

UNSURE_SHARE = 0.01
"""A point whose sigma exceeds this share of the picture's longer side is unsure.

A hundredth of a picture that shows a whole golfer is about 2 cm of the person: the length of an arm or a shaft
is 50 to 100 times that, so a line through such a point may be off by a degree or two for this alone, and a coach who looks
can do better (a hand places to ``COACH_POINT_SIGMA_PX``, a third of it at 1280 rows). Most points
are known to a half of it; what lies beyond is blurred, hidden or guessed.
"""

WITHIN = math.sqrt(-2.0 * math.log(0.05))
"""So many sigmas (2.45) from where it was put lies the true point, 95 times in 100: the distance of a normal error that
is equal on both axes has a Rayleigh distribution. The ring of an unsure point is as wide."""


def is_unsure(sigma_px: float, width: int, height: int) -> bool:
    """``sigma_px``: one sigma on each axis, pixels of a picture ``width`` by ``height``."""
    return sigma_px > UNSURE_SHARE * max(width, height)


def doubt_px(sigma_px: float) -> float:
    """The radius that holds the true point 95 times in 100."""
    return WITHIN * sigma_px

"""How many pixels a metre takes, from the club, and a second opinion from the ball.

Sizes: ``api.domain.equipment``.
"""

import math
from dataclasses import dataclass

from api.domain.equipment import BALL_DIAMETER_M, GRIP_LENGTH_M, LONGEST_CLUB_M, SHORTEST_CLUB_M
from api.domain.geometry import MIN_SEGMENT_PX, length_px
from api.domain.measurement import Missing, Point
from api.domain.uncertainty import Z95, combine

LENGTH_ROUNDING_M = 0.0005
"""Lengths are typed in whole millimetres or coarser: 0.457 m means 18 in."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Pixels per metre at the club, with one sigma."""

    px_per_m: float
    sigma: float

    @property
    def px_per_grip(self) -> float:
        """Pixels per grip length."""
        return self.px_per_m * GRIP_LENGTH_M

    @property
    def share(self) -> float:
        """One sigma as a share of the scale: the input ``sigma_scale`` of butt_end_inside."""
        return self.sigma / self.px_per_m


def club_length_problem(length_m: float) -> str | None:
    """Why a club length cannot be right, in words for the form; ``None`` when it can."""
    rounding = LENGTH_ROUNDING_M
    if SHORTEST_CLUB_M - rounding <= length_m <= LONGEST_CLUB_M + rounding:
        return None
    return (
        f"A club is between {SHORTEST_CLUB_M:.2f} and {LONGEST_CLUB_M:.2f} metres long; "
        f"{length_m:.2f} m cannot be right. Measure from the grip's end to the ground at the heel."
    )


def scale_from_club(
    butt: Point,
    clubhead: Point,
    club_length_m: float,
    *,
    sigma_px: float,
    sigma_length_m: float = 0.013,
) -> Scale | Missing:
    """Scale from the club's ends at address, seen down-the-line (shaft nearly in the plane).

    ``sigma_px`` is one sigma of each end along the shaft. ``sigma_length_m`` is how well the length
    is known (half an inch by default: common practice). A shaft leaning out of the plane by phi
    reads short by ``cos(phi)``: the caller corrects or widens.
    """
    problem = club_length_problem(club_length_m)
    if problem is not None:
        return Missing(problem)
    pixels = length_px(butt, clubhead)
    if pixels < MIN_SEGMENT_PX:
        return Missing("The club is too small in the picture to scale anything by it.")
    px_per_m = pixels / club_length_m
    share = combine(math.sqrt(2.0) * sigma_px / pixels, sigma_length_m / club_length_m)
    return Scale(px_per_m, px_per_m * share)


def scale_from_ball(diameter_px: float, *, sigma_px: float = 1.0) -> Scale | Missing:
    """Scale from the ball's diameter in the picture: a cross-check, no more.

    At 300 px per metre a ball is 13 pixels across, so one pixel is 8 %.
    """
    if not diameter_px > 0:
        return Missing("The ball's size could not be read.")
    px_per_m = diameter_px / BALL_DIAMETER_M
    return Scale(px_per_m, sigma_px / BALL_DIAMETER_M)


def scales_agree(first: Scale, second: Scale) -> bool:
    """Whether two scales differ by no more than their own 95 % uncertainty."""
    spread = combine(first.sigma, second.sigma)
    return abs(first.px_per_m - second.px_per_m) <= Z95 * spread

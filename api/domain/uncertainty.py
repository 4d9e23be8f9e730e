"""How errors of points, instants and the camera add up to the error of a reading.

First order throughout: one sigma in, one sigma out. Independent terms add in squares; a point used
by both rays of an angle enters once, with its sign. Pixels in, degrees out unless said.
"""

import math
from statistics import NormalDist

from api.domain.geometry import length_px
from api.domain.measurement import Point

Z95 = NormalDist().inv_cdf(0.975)
"""Half-width of a 95 % interval in sigmas, 1.95996."""

ROOT_12 = math.sqrt(12.0)
"""A uniform spread over one step has sigma step / sqrt(12)."""


def combine(*sigmas: float) -> float:
    """Sigma of a sum of independent errors: root of the sum of squares."""
    return math.hypot(*sigmas)


def interval95(
    value: float, sigma: float, *, lowest: float = -math.inf, highest: float = math.inf
) -> tuple[float, float]:
    """95 % interval (low, high) of a normal error, cut at what the quantity can be."""
    half = Z95 * sigma
    return max(lowest, value - half), min(highest, value + half)


def direction_sigma(start: Point, end: Point, sigma_start_px: float, sigma_end_px: float) -> float:
    """One sigma, degrees, of the direction of a segment whose two ends err independently.

    ``sqrt(s1^2 + s2^2) / length``; with equal ends this is ``sqrt(2) * sigma / length``.
    Needs distinct points, else ``ZeroDivisionError``.
    """
    spread = math.hypot(sigma_start_px, sigma_end_px)
    return math.degrees(spread / length_px(start, end))


def angle_at_sigma(
    vertex: Point,
    first: Point,
    second: Point,
    *,
    sigma_vertex_px: float,
    sigma_first_px: float,
    sigma_second_px: float,
) -> float:
    """One sigma, degrees, of ``geometry.angle_at``.

    The vertex belongs to both rays: moving it turns both, and only the difference counts. Its
    gradient is the difference of the two rays' gradients, so its share is
    ``sigma^2 * (1/a^2 + 1/b^2 - 2 cos(angle) / (a b))``. Treating the rays as independent is wrong
    (too large below 90 degrees, too small above).
    """
    first_ray = (first[0] - vertex[0], first[1] - vertex[1])
    second_ray = (second[0] - vertex[0], second[1] - vertex[1])
    first_px = math.hypot(*first_ray)
    second_px = math.hypot(*second_ray)
    # Gradient of a ray's direction by its far end: the ray turned by a quarter, over length squared.
    first_turn = (-first_ray[1] / first_px**2, first_ray[0] / first_px**2)
    second_turn = (-second_ray[1] / second_px**2, second_ray[0] / second_px**2)
    vertex_turn = math.hypot(first_turn[0] - second_turn[0], first_turn[1] - second_turn[1])
    return math.degrees(
        math.hypot(
            sigma_first_px / first_px, sigma_second_px / second_px, sigma_vertex_px * vertex_turn
        )
    )


def instant_sigma(rate_per_s: float, frame_gap_s: float) -> float:
    """One sigma of a reading taken at the nearest frame, in the reading's unit.

    ``rate_per_s`` is how fast the reading changes there; the nearest frame errs uniformly over
    one frame gap. An interpolated crossing errs less: give its own ``sigma_s`` times the rate.
    """
    return abs(rate_per_s) * frame_gap_s / ROOT_12


def blur_px(speed_px_per_s: float, exposure_s: float) -> float:
    """Length of the smear of a point moving at a steady speed while the shutter is open."""
    return abs(speed_px_per_s) * exposure_s

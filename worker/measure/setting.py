"""Where the camera probably stands: scale, distance, horizon, each with one sigma.

One clip does not tell the lens, the distance or the horizon. What the filming guide asks for, the
golfer's own size and published body proportions together give them with a stated spread; every
reading carries that spread.
"""

import math
from dataclasses import dataclass

from api.domain.measurement import Estimate
from worker.body.joints import BodyTrack
from worker.swing.estimates import combine_estimates
from worker.swing.shoulder import LEG_SEEN, leg_px

LEG_OVER_STATURE = 0.245 + 0.246
"""Thigh plus shank: Drillis and Contini 1966, in Winter, ch. 4."""
STATURE_M = Estimate(1.74, 0.09)
"""An adult whose stature nobody entered. Working value."""
PROPORTION_SIGMA = 0.05
"""Share by which leg length over stature differs between people and points (working value)."""
FOCAL_OVER_LONG_SIDE = Estimate(0.80, 0.16)
"""Main phone cameras: 24 to 28 mm equivalent on 36 mm is 0.67 to 0.78, cropped by stabilised video
to about 0.72 to 0.90; the guide allows a zoom of up to two. Working value from lens arithmetic."""
DISTANCE_M = Estimate(4.0, 0.8)
"""Filming guide: three to five metres."""
LEVEL_SIGMA_DEG = 4.0
"""A phone stood up by hand is level to this, one sigma (working value)."""
HEIGHT_SIGMA_M = 0.2
"""The guide asks for hand height at address (0.8 to 1.0 m); people miss it by this."""


@dataclass(frozen=True, slots=True)
class Setting:
    """The camera's place, working pixels and metres.

    ``px_per_m`` at the golfer; ``distance_m`` lens to golfer; ``horizon_row``: row of points at
    lens height; ``focal_px``.
    """

    px_per_m: Estimate
    distance_m: Estimate
    horizon_row: Estimate
    focal_px: float


def stature_px(still: BodyTrack) -> float:
    """Stature in the picture's pixels, from the legs, which flex little at address."""
    return leg_px(still) / (LEG_OVER_STATURE * LEG_SEEN)


def px_per_m_from_body(still: BodyTrack, stature_m: float | None) -> Estimate:
    """Scale at the golfer from the legs, which flex little at address."""
    stature = Estimate(stature_m, 0.02) if stature_m else STATURE_M
    legs_m = LEG_OVER_STATURE * LEG_SEEN * stature.value
    value = leg_px(still) / legs_m
    share = math.hypot(PROPORTION_SIGMA, stature.sigma / stature.value)
    return Estimate(value, value * share)


def settle(scale: Estimate, width_px: int, height_px: int, hands_row: float) -> Setting:
    """Distance from scale and lens, tempered by the guide; horizon from level and lens height."""
    long_side = max(width_px, height_px)
    focal = FOCAL_OVER_LONG_SIDE.value * long_side
    by_lens = focal / scale.value
    share = math.hypot(
        FOCAL_OVER_LONG_SIDE.sigma / FOCAL_OVER_LONG_SIDE.value, scale.sigma / scale.value
    )
    distance = combine_estimates(Estimate(by_lens, by_lens * share), DISTANCE_M)
    focal_px = scale.value * distance.value
    by_level = Estimate((height_px - 1) / 2.0, focal_px * math.tan(math.radians(LEVEL_SIGMA_DEG)))
    by_height = Estimate(hands_row, HEIGHT_SIGMA_M * scale.value)
    return Setting(scale, distance, combine_estimates(by_level, by_height), focal_px)

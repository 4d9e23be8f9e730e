"""Where the phone stands and how it is held."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from api.domain.names import View
from tests.studio.design.columns import Columns, Rows, rows_of
from tests.studio.dials import CameraDials, ClubName, SwingDials

Array = NDArray[np.float64]

_HALF_WIDTH_M = (1.4, 1.9)
"""Half of what the picture's short side spans at the golfer: the club's reach, and plenty."""
_LONGER_CLUB_M = 0.1
_LONG_OVER_SHORT = 16 / 9
_NARROWEST_DEG, _WIDEST_DEG = 50.0, 80.0
_NEAREST_M, _FARTHEST_M = 3.0, 6.0
_AIM_NOISE_M = 0.4
"""How loosely a phone's tilt goes with its height, in metres of height: a working value, no source."""


def cameras(
    columns: Columns, aims: Columns, view: View, swings: Sequence[SwingDials]
) -> list[CameraDials]:
    """``aims`` draws how the lens is aimed; phones that stand high tend to look down."""
    half = columns.count // 2
    drivers = np.array([swing.club is ClubName.DRIVER for swing in swings])
    distance_m = columns.spread(_NEAREST_M, _FARTHEST_M, by=columns.noise() + 1.5 * drivers)
    azimuth_deg, roll_deg = columns.peaked(-15.0, 0.0, 15.0), columns.peaked(-6.0, 0.0, 6.0)
    height_m = columns.peaked(0.5, 1.0, 1.6)
    return rows_of(
        CameraDials,
        view=[view] * columns.count,
        azimuth_deg=azimuth_deg,
        roll_deg=roll_deg,
        tilt_deg=aims.peaked(-6.0, 0.0, 6.0, by=height_m + _AIM_NOISE_M * aims.noise()),
        height_m=height_m,
        distance_m=distance_m,
        offset_m=columns.peaked(-0.4, 0.0, 0.4),
        fov_deg=_fields_of_view_deg(columns, distance_m, drivers),
        shake_deg=columns.among(columns.chosen(half), 0.05, 0.6),
        distortion=columns.among(columns.chosen(half), -0.08, 0.04),
        portrait=columns.chosen(columns.count * 5 // 8),
    )


def _fields_of_view_deg(columns: Columns, distance_m: Array, drivers: Rows) -> Array:
    """Lenses that frame the golfer from where they stand; the narrowest and the widest of them are
    moved to the ends of the range.
    """
    share = columns.spread(0.0, 1.0)
    tight, loose = _HALF_WIDTH_M
    half_width_m = tight + (loose - tight) * share + _LONGER_CLUB_M * drivers
    half_angle = np.arctan(half_width_m * _LONG_OVER_SHORT / distance_m)
    fov_deg = np.clip(np.degrees(2.0 * half_angle), _NARROWEST_DEG, _WIDEST_DEG)
    fov_deg[np.argmin(fov_deg)], fov_deg[np.argmax(fov_deg)] = _NARROWEST_DEG, _WIDEST_DEG
    return np.asarray(fov_deg, dtype=np.float64)

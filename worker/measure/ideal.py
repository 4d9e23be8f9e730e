"""The swing's points as the ideally placed camera would see them.

The swing network gives each point a depth and guesses how the camera stood. With them the points are
put into space before the lens, turned back about the vertical through the golfer (azimuth), the line of
sight (roll) and the tilt, and seen again by a level lens at the same height and distance, square to
the view's line. What that changes in a reading is its ``to_ideal``; what it changes when azimuth and
roll move by one sigma is its ``sigma_view``.

Lens frame: metres, x to the picture's right, y down, z along the line of sight.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Estimate
from api.domain.names import PointName, View
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.measure.setting import Setting
from worker.swing.estimates import combine_estimates

Array = NDArray[np.float64]

AZIMUTH_USUAL = Estimate(0.0, 5.0)
"""How far off its line students put the camera, degrees; the guide asks for less than five (working
value)."""
ROLL_USUAL = Estimate(0.0, 3.0)
"""A phone stood up or held by hand, degrees (working value). A narrower one pulled what the network sees,
good to half a degree, back towards level: a phone six degrees off lost a degree and lead arm parallel ten
milliseconds."""
AZIMUTH_LEAST, ROLL_LEAST = 2.0, 0.7
"""The network's own spread is that of rendered people: on pictures of another renderer its azimuth was
two to three degrees off, so it counts as no better than this."""

POINTS: dict[PointName, SwingPoint] = {
    PointName.LEAD_SHOULDER: SwingPoint.LEAD_SHOULDER,
    PointName.LEAD_ELBOW: SwingPoint.LEAD_ELBOW,
    PointName.LEAD_WRIST: SwingPoint.LEAD_WRIST,
    PointName.TRAIL_SHOULDER: SwingPoint.TRAIL_SHOULDER,
    PointName.TRAIL_WRIST: SwingPoint.TRAIL_WRIST,
    PointName.LEAD_EAR: SwingPoint.LEAD_EAR,
    PointName.TRAIL_EAR: SwingPoint.TRAIL_EAR,
    PointName.LEAD_HIP: SwingPoint.LEAD_HIP,
    PointName.TRAIL_HIP: SwingPoint.TRAIL_HIP,
    PointName.TRAIL_KNEE: SwingPoint.TRAIL_KNEE,
    PointName.LEAD_ANKLE: SwingPoint.LEAD_ANKLE,
    PointName.TRAIL_ANKLE: SwingPoint.TRAIL_ANKLE,
    PointName.TRAIL_TOE: SwingPoint.TRAIL_TOE,
    PointName.BUTT: SwingPoint.BUTT,
    PointName.CLUBHEAD: SwingPoint.HOSEL,
    PointName.BALL: SwingPoint.BALL,
}
"""Points of a picture that the swing network finds."""
PIVOT = {
    View.FACE_ON: [SwingPoint.LEAD_HIP, SwingPoint.TRAIL_HIP],
    View.DOWN_THE_LINE: [SwingPoint.LEAD_WRIST, SwingPoint.TRAIL_WRIST],
}


@dataclass(frozen=True, slots=True)
class Stand:
    """How the camera stood: azimuth and roll, degrees, signs as in ``tests.studio.dials.CameraDials``."""

    azimuth: Estimate
    roll: Estimate

    @classmethod
    def judged(cls, points: SwingTrack, until_s: float) -> "Stand":
        """From the network's guesses on all frames up to a time, with what students usually do."""
        rows = points.times_s <= until_s
        rows = rows if rows.any() else np.ones(len(points.times_s), dtype=bool)
        values, sigmas = points.camera_deg[rows], points.camera_sigma_deg[rows]
        azimuth, roll = (
            combine_estimates(
                Estimate(
                    float(np.median(values[:, column])),
                    max(float(np.median(sigmas[:, column])), least),
                ),
                usual,
            )
            for column, least, usual in (
                (0, AZIMUTH_LEAST, AZIMUTH_USUAL),
                (1, ROLL_LEAST, ROLL_USUAL),
            )
        )
        return cls(azimuth, roll)

    def variants(self) -> tuple[tuple[float, float], ...]:
        """(azimuth, roll): as judged, then either moved by one sigma."""
        here = self.azimuth.value, self.roll.value
        return (
            here,
            (here[0] + self.azimuth.sigma, here[1]),
            (here[0], here[1] + self.roll.sigma),
        )


@dataclass(frozen=True, slots=True)
class Space:
    """The points of a swing in the lens frame, (n, 24, 3) metres, and the focal length, pixels.

    ``pivot`` (3,): what the ideal line of sight meets: the middle of the hips face-on, of the hands at
    address down-the-line.
    """

    places: Array
    focal_px: float
    pivot: Array

    @classmethod
    def of(
        cls,
        points: SwingTrack,
        setting: Setting,
        view: View,
        middle: tuple[float, float],
        still: NDArray[np.bool_],
    ) -> "Space":
        """``middle``: the pixel that the line of sight meets; ``still`` (n,): frames of the address."""
        z = setting.distance_m.value + points.depth_m
        centred = (points.xy - np.array(middle)) * (z / setting.focal_px)[..., np.newaxis]
        places = np.concatenate([centred, z[..., np.newaxis]], axis=2)
        # The horizon's row tells the tilt: level the lens before anything is turned.
        down = math.atan2(middle[1] - setting.horizon_row.value, setting.focal_px)
        places = _tilted(places, down)
        pivot = places[still][:, PIVOT[view]].mean(axis=1)
        return cls(places, setting.focal_px, np.median(pivot, axis=0))

    def seen(self, azimuth_deg: float, roll_deg: float) -> Array:
        """(n, 24, 2) pixels from the line of sight, in the ideal camera's picture."""
        placed = self.turned(azimuth_deg, roll_deg)
        return np.asarray(self.focal_px * placed[..., :2] / placed[..., 2:])

    def turned(self, azimuth_deg: float, roll_deg: float) -> Array:
        """(n, 24, 3) in the ideal camera's lens frame, the golfer straight ahead."""
        roll, azimuth = math.radians(roll_deg), math.radians(azimuth_deg)
        x, y, z = np.moveaxis(self.places, 2, 0)
        # Roll turned the content anticlockwise (y is down): turn it back.
        x, y = (
            math.cos(roll) * x - math.sin(roll) * y,
            math.sin(roll) * x + math.cos(roll) * y,
        )
        across, away = x - self.pivot[0], z - self.pivot[2]
        return np.stack(
            [
                math.cos(azimuth) * across - math.sin(azimuth) * away,
                y,
                self.pivot[2] + math.sin(azimuth) * across + math.cos(azimuth) * away,
            ],
            axis=2,
        )


def _tilted(places: Array, down: float) -> Array:
    """Lens frame of a camera ``down`` radians below level -> that of a level one."""
    x, y, z = np.moveaxis(places, 2, 0)
    return np.stack(
        [x, math.cos(down) * y + math.sin(down) * z, math.cos(down) * z - math.sin(down) * y],
        axis=2,
    )

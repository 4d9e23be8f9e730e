"""The row of the horizon from what the swing network tells of the lens's height.

The network says of every picture how far below level the middle of the hips is seen from the lens. Where the
hips lie in the picture then tells how the lens was tilted, and that is where the horizon is. It needs no
stated lens, distance or height: those come in through the focal length alone, and only for what lies between
the hips and the middle of the picture.
"""

import math

import numpy as np

from api.domain.measurement import Estimate, Point
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.measure.setting import FOCAL_OVER_LONG_SIDE, Setting

HIPS = [SwingPoint.LEAD_HIP, SwingPoint.TRAIL_HIP]
BELOW = 2
"""Column of the network's camera numbers."""
LEAST_DEG = 0.7
"""The network's own spread is that of the people it learnt from; it counts as no better than this, as with
the roll (``worker.measure.ideal``)."""
SPREAD_TIMES = 2.0
"""The network knows when pictures are strange to it, though not how far off it is: from behind, clips of
another renderer were read 3.9 degrees too high where it stated 1.8 (face-on one to two, stated 1.3 to 3)."""
FOCAL_SHARE = FOCAL_OVER_LONG_SIDE.sigma / FOCAL_OVER_LONG_SIDE.value


def horizon_seen(
    points: SwingTrack, setting: Setting, middle: Point, roll_deg: float, until_s: float
) -> Estimate:
    """Row of the horizon at the picture's middle, working pixels, from the frames up to a time.

    ``middle``: the pixel that the line of sight meets; ``roll_deg``: of the content, anticlockwise.
    """
    rows = points.times_s <= until_s
    rows = rows if rows.any() else np.ones(len(points.times_s), dtype=bool)
    below = np.radians(points.camera_deg[rows, BELOW])
    x, y = np.moveaxis(points.xy[rows][:, HIPS].mean(axis=1) - np.array(middle), 1, 0)
    roll = math.radians(roll_deg)
    beyond = np.arctan2(math.sin(roll) * x + math.cos(roll) * y, setting.focal_px)
    down = float(np.median(below - beyond))
    stated = float(np.median(points.camera_sigma_deg[rows, BELOW]))
    sigma = max(SPREAD_TIMES * stated, LEAST_DEG)
    by_focal = FOCAL_SHARE * float(np.median(np.abs(beyond)))
    row_per_rad = setting.focal_px / math.cos(down) ** 2
    return Estimate(
        middle[1] - setting.focal_px * math.tan(down),
        row_per_rad * math.hypot(math.radians(sigma), by_focal),
    )

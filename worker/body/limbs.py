"""Limbs keep their length: the swing network's points of all frames, moved as little as that needs.

Each frame's points come from its picture alone. Over a swing a forearm, a shin or the gap between the two hands on
one grip is as long in every frame (only the picture of it is not), so where the network's points say otherwise,
what it is least sure of gives way: mostly depth, which one picture hardly shows. Each limb is a constraint on
two points with their own spreads, taken in turn until they settle (a Gauss-Newton step for one constraint, as
Kalman filters take a measurement; Bar-Shalom, Li and Kirubarajan 2001, ch. 5; from memory).
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack

Array = NDArray[np.float64]
Rows = NDArray[np.bool_]
Pair = tuple[SwingPoint, SwingPoint]

BODY = (
    (SwingPoint.LEAD_SHOULDER, SwingPoint.LEAD_ELBOW),
    (SwingPoint.LEAD_ELBOW, SwingPoint.LEAD_WRIST),
    (SwingPoint.TRAIL_SHOULDER, SwingPoint.TRAIL_ELBOW),
    (SwingPoint.TRAIL_ELBOW, SwingPoint.TRAIL_WRIST),
    (SwingPoint.LEAD_HIP, SwingPoint.LEAD_KNEE),
    (SwingPoint.LEAD_KNEE, SwingPoint.LEAD_ANKLE),
    (SwingPoint.TRAIL_HIP, SwingPoint.TRAIL_KNEE),
    (SwingPoint.TRAIL_KNEE, SwingPoint.TRAIL_ANKLE),
    (SwingPoint.LEAD_HIP, SwingPoint.TRAIL_HIP),
    (SwingPoint.LEAD_ANKLE, SwingPoint.LEAD_TOE),
    (SwingPoint.TRAIL_ANKLE, SwingPoint.TRAIL_TOE),
)
"""Bones, and the pelvis. Shoulders are none: the line between them shortens as the arms reach across."""
HANDS = (SwingPoint.LEAD_WRIST, SwingPoint.TRAIL_WRIST)
"""Both hands are on one grip until impact; in the finish they may come apart. The club is no limb here: held to one
length too it made the lead arm to shaft angle of practice clips worse (2.5 degrees in the mean for 2.0), since the
head's place is blurred where it is fast."""
LENGTH_SHARE = 0.03
"""One sigma of a limb's length about its middle value: the points are joints' middles on skin and cloth, and
wrists turn (working value)."""
ROUNDS = 6


def with_constant_limbs(
    points: SwingTrack,
    middle: tuple[float, float],
    focal_px: float,
    distance_m: float,
    until_s: float,
) -> SwingTrack:
    """The same track with limbs of one length each.

    ``middle``: the pixel that the line of sight meets; ``distance_m``: lens to golfer. ``until_s``: both hands are
    on the grip until then. Pixels and depths change, spreads do not.
    """
    z = distance_m + points.depth_m
    rays = np.concatenate(
        [(points.xy - np.array(middle)) / focal_px, np.ones((*z.shape, 1))], axis=2
    )
    body = _Body(
        rays * z[..., None],
        rays,
        (points.sigma_px * z / focal_px) ** 2,
        points.depth_sigma_m**2,
    )
    gripped = points.times_s <= until_s
    every = np.ones(len(points.times_s), dtype=bool)
    limbs = [(pair, every) for pair in BODY] + [(HANDS, gripped)] * bool(gripped.any())
    lengths = [body.length_m(pair, rows) for pair, rows in limbs]
    for _ in range(ROUNDS):
        for (pair, rows), length_m in zip(limbs, lengths, strict=True):
            body.settle(pair, rows, length_m)
    depth = body.places[..., 2] - distance_m
    xy = body.places[..., :2] * (focal_px / body.places[..., 2:]) + np.array(middle)
    return replace(points, xy=xy, depth_m=depth)


@dataclass(frozen=True, slots=True)
class _Body:
    """Points in the lens frame: ``places`` (n, 24, 3) metres, x right, y down, z away, moved in place.

    ``rays`` (n, 24, 3): the way from the lens to each, z 1: along it lies a depth's error, since the picture
    stays as it is. ``across`` and ``along`` (n, 24): variances beside the ray and in depth, square metres.
    """

    places: Array
    rays: Array
    across: Array
    along: Array

    def length_m(self, pair: Pair, rows: Rows) -> float:
        """Middle value of a limb's length over the frames, each as much as it is sure."""
        unit, lengths = self._way(pair, rows)
        give_a, give_b = (self._give(point, rows, unit) for point in pair)
        order = np.argsort(lengths)
        weight = np.cumsum((1.0 / (unit * (give_a + give_b)).sum(axis=1))[order])
        return float(lengths[order][int(np.searchsorted(weight, weight[-1] / 2.0))])

    def settle(self, pair: Pair, rows: Rows, length_m: float) -> None:
        """Move both ends of a limb so that it comes nearer to its length, each by its own spread."""
        unit, lengths = self._way(pair, rows)
        give_a, give_b = (self._give(point, rows, unit) for point in pair)
        total = (unit * (give_a + give_b)).sum(axis=1) + (LENGTH_SHARE * length_m) ** 2
        step = ((lengths - length_m) / total)[:, None]
        self.places[rows, pair[0]] += give_a * step
        self.places[rows, pair[1]] -= give_b * step

    def _way(self, pair: Pair, rows: Rows) -> tuple[Array, Array]:
        way = (self.places[:, pair[1]] - self.places[:, pair[0]])[rows]
        lengths = np.linalg.norm(way, axis=1)
        return way / np.maximum(lengths, 1e-6)[:, None], lengths

    def _give(self, point: SwingPoint, rows: Rows, unit: Array) -> Array:
        """The point's covariance times a direction (m, 3): where it gives way, and how much."""
        ray = self.rays[rows, point]
        along = (self.along[rows, point] * (ray * unit).sum(axis=1))[:, None] * ray
        beside = self.across[rows, point][:, None] * unit * np.array([1.0, 1.0, 0.0])
        return np.asarray(along + beside)

"""Limbs keep their length: the swing network's points of all frames, moved as little as that needs.

Each frame's points come from its picture alone. Over a swing a forearm, a shin or the gap between the two hands on
one grip is as long in every frame (only the picture of it is not), so where the network's points say otherwise,
what it is least sure of gives way: mostly depth, which one picture hardly shows. Each limb is a constraint on
two points with their own spreads, taken in turn until they settle (a Gauss-Newton step for one constraint, as
Kalman filters take a measurement; Bar-Shalom, Li and Kirubarajan 2001, ch. 5; from memory).
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack

Array = NDArray[np.float64]

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
"""Bones. Shoulders are none: the line between them shortens as the arms reach across."""
GRIP = (
    (SwingPoint.LEAD_WRIST, SwingPoint.TRAIL_WRIST),
    (SwingPoint.LEAD_WRIST, SwingPoint.BUTT),
    (SwingPoint.BUTT, SwingPoint.HOSEL),
)
"""Both hands on one club, until impact: in the finish they may come apart."""
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
    places = np.concatenate(
        [(points.xy - np.array(middle)) * (z / focal_px)[..., None], z[..., None]], axis=2
    )
    across = points.sigma_px * z / focal_px
    variances = np.stack([across, across, points.depth_sigma_m], axis=2) ** 2
    gripped = points.times_s <= until_s
    every = np.ones(len(points.times_s), dtype=bool)
    limbs = [(pair, every) for pair in BODY] + [(pair, gripped) for pair in GRIP]
    lengths = [_length(places, variances, pair, rows) for pair, rows in limbs]
    for _ in range(ROUNDS):
        for (pair, rows), length in zip(limbs, lengths, strict=True):
            _settle(places, variances, pair, rows, length)
    depth = places[..., 2] - distance_m
    xy = places[..., :2] * (focal_px / places[..., 2:]) + np.array(middle)
    return replace(points, xy=xy, depth_m=depth)


def _length(
    places: Array, variances: Array, pair: tuple[SwingPoint, SwingPoint], rows: NDArray[np.bool_]
) -> float:
    """Middle value over the frames, each as much as it is sure."""
    way = (places[:, pair[1]] - places[:, pair[0]])[rows]
    lengths = np.linalg.norm(way, axis=1)
    unit = way / np.maximum(lengths, 1e-6)[:, None]
    spread = (unit**2 * (variances[:, pair[0]] + variances[:, pair[1]])[rows]).sum(axis=1)
    order = np.argsort(lengths)
    weight = np.cumsum((1.0 / spread)[order])
    return float(lengths[order][int(np.searchsorted(weight, weight[-1] / 2.0))])


def _settle(
    places: Array,
    variances: Array,
    pair: tuple[SwingPoint, SwingPoint],
    rows: NDArray[np.bool_],
    length: float,
) -> None:
    """Move both ends of one limb along it, each by its own spread. In place."""
    a, b = pair
    way = places[rows, b] - places[rows, a]
    long = np.linalg.norm(way, axis=1)
    unit = way / np.maximum(long, 1e-6)[:, None]
    give_a, give_b = unit * variances[rows, a], unit * variances[rows, b]
    total = (unit * (give_a + give_b)).sum(axis=1) + (LENGTH_SHARE * length) ** 2
    step = ((long - length) / total)[:, None]
    places[rows, a] += give_a * step
    places[rows, b] -= give_b * step

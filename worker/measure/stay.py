"""Where in the swing a pause lies, and how arm and club stand while the hands stay.

A pause drill asks for a stop at a named position, so a length alone proves little. What is found here goes into the
inputs of ``pause_length`` beside its formula's own; ``api.domain.proof`` judges it. What cannot be told is left out.
"""

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Estimate, Missing
from api.domain.names import KeyframeId, PointName
from api.domain.proof import (
    ARM_LEVEL_WITHIN_DEG,
    HINGE_DEG,
    HINGE_SHAFT,
    PAUSE_COUNTS_S,
    POSITION_WITHIN_S,
    STAY_ARM,
    STAY_SHAFT,
    stay_from,
    stay_length,
    with_sigma,
)
from worker.measure.ideal import POINTS
from worker.measure.looks import Looks
from worker.measure.residuals import instant_residual_s, residual
from worker.measure.rhythm import Pause, Stay
from worker.swing.instants import Instant

Array = NDArray[np.float64]

POSITIONS = (KeyframeId.HANDS_PAST_TRAIL_LEG, KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP)
"""Positions that a stop can be asked at."""
ARM = (PointName.LEAD_SHOULDER, PointName.LEAD_WRIST)
SHAFT = (PointName.BUTT, PointName.CLUBHEAD)
ELEVATION_SIGMA_DEG = 1.5
"""One sigma of what points share over a whole stay, where no fitted spread is larger (working value)."""


def of_pause(
    looks: Looks, pause: Pause, instants: Mapping[KeyframeId, Instant | Missing]
) -> dict[str, float]:
    """For each position how far from it the stay lies that may be the one asked for there; empty where none is.

    That is the longest one; where it lies elsewhere, a shorter one at the position that is long enough to count,
    and then its length is told too. Of the one for a level lead arm, how arm and shaft stand in it.
    """
    longest = Stay(pause.start, pause.end)
    if longest.length_s <= 0.0:
        return {}
    others = [one for one in pause.stays if one.length_s >= PAUSE_COUNTS_S]
    found: dict[str, float] = {}
    arm_level = longest
    for key in POSITIONS:
        at = instants[key]
        if isinstance(at, Instant):
            stay = min([longest, *others], key=lambda one: _beyond_reach(one, at.time_s))
            sigma = math.hypot(at.sigma_s, instant_residual_s(key), stay.start.sigma_s)
            found |= with_sigma(stay_from(key), Estimate(_after(stay, at.time_s), sigma))
        elif key is KeyframeId.LEAD_ARM_PARALLEL:
            stay = min([longest, *others], key=lambda one: _beyond_level(looks, one))
        else:
            continue
        if key is KeyframeId.LEAD_ARM_PARALLEL:
            arm_level = stay
        if (stay.start, stay.end) != (longest.start, longest.end):
            found |= with_sigma(stay_length(key), _length(stay))
    for name, segment in ((STAY_ARM, ARM), (STAY_SHAFT, SHAFT)):
        seen = elevation(looks, segment, arm_level.start.time_s, arm_level.end.time_s)
        if seen is not None:
            found |= with_sigma(name, seen)
    hinged = hinge_stay(looks, pause)
    if hinged is not None:
        found |= with_sigma(HINGE_SHAFT, hinged[1])
    return found


def _length(stay: Stay) -> Estimate:
    sigma = math.hypot(stay.start.sigma_s, stay.end.sigma_s, residual(CheckpointId.PAUSE_LENGTH))
    return Estimate(stay.length_s, sigma)


def _after(stay: Stay, at_s: float) -> float:
    """Seconds from an instant to a stay: + it comes later, - earlier, 0 where the instant is within it.

    A stay is one position, so how long it lasts does not count.
    """
    return max(stay.start.time_s - at_s, 0.0) - max(at_s - stay.end.time_s, 0.0)


def _beyond_reach(stay: Stay, at_s: float) -> float:
    """By how much a stay lies too far from an instant to be a stop there, seconds; 0 where it is one."""
    return max(abs(_after(stay, at_s)) - POSITION_WITHIN_S, 0.0)


def _beyond_level(looks: Looks, stay: Stay) -> float:
    """By how much the lead arm is too far from level in a stay, degrees; 0 where it is level or was not seen."""
    arm = elevation(looks, ARM, stay.start.time_s, stay.end.time_s)
    return 0.0 if arm is None else max(abs(arm.value) - ARM_LEVEL_WITHIN_DEG, 0.0)


def hinge_stay(looks: Looks, pause: Pause) -> tuple[Instant, Estimate] | None:
    """Of all stays that count, the middle of the one whose shaft is nearest to 45 degrees, and its elevation.

    A drill may ask for this stop on the way to another, longer one.
    """
    found: list[tuple[Instant, Estimate]] = []
    for stay in pause.stays:
        if stay.length_s < PAUSE_COUNTS_S:
            continue
        start, end = stay.start.time_s, stay.end.time_s
        seen = elevation(looks, SHAFT, start, end)
        if seen is not None:
            found.append((Instant((start + end) / 2.0, 0.0), seen))
    return min(found, key=lambda one: abs(one[1].value - HINGE_DEG), default=None)


def elevation(
    looks: Looks, segment: tuple[PointName, PointName], start_s: float, end_s: float
) -> Estimate | None:
    """How steeply a segment rises from its first point to its second in space, degrees, up positive.

    The median over a stay; ``None`` without depths. One sigma holds the points' own spread (frames of a stay
    share most of it), their depth, the camera's place, the drift within the stay and what readings of the
    shaft's slope leave unexplained.
    """
    if looks.space is None or looks.stand is None or looks.points is None:
        return None
    rows = np.flatnonzero((looks.times_s >= start_s) & (looks.times_s <= end_s))
    if len(rows) == 0:
        return None
    ends = np.array([int(POINTS[name]) for name in segment])
    turned, *moved = (
        looks.space.turned(*turn)[np.ix_(rows, ends)] for turn in looks.stand.variants()
    )
    series = _elevations(turned)
    value = float(np.median(series))
    view = [float(np.median(_elevations(one))) - value for one in moved]
    sigmas = np.stack(
        [
            (looks.points.sigma_px[np.ix_(rows, ends)] * turned[..., 2] / looks.space.focal_px),
            looks.points.depth_sigma_m[np.ix_(rows, ends)],
        ]
    )
    across, deep = np.median(sigmas, axis=1)
    shared = max(residual(CheckpointId.SHAFT_PITCH), ELEVATION_SIGMA_DEG)
    drift = float(np.std(series))
    points = _points_sigma(np.median(turned, axis=0), across, deep)
    return Estimate(value, math.hypot(points, drift, shared, *view))


def _elevations(places: Array) -> Array:
    """(n,) degrees of (n, 2, 3) segments in a level lens frame, y down."""
    along = places[:, 1] - places[:, 0]
    return np.degrees(np.arctan2(-along[:, 1], np.hypot(along[:, 0], along[:, 2])))


def _points_sigma(places: Array, across: Array, deep: Array) -> float:
    """One sigma, degrees, from both points (2, 3): ``across`` and ``deep`` (2,) metres, sideways and in depth."""
    here = float(_elevations(places[np.newaxis])[0])
    changes = []
    for point, axis in np.ndindex(2, 3):
        moved = places.copy()
        moved[point, axis] += deep[point] if axis == 2 else across[point]  # noqa: PLR2004 - z
        changes.append(float(_elevations(moved[np.newaxis])[0]) - here)
    return math.hypot(*changes)

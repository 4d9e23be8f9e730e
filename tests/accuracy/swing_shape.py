"""The shape of one swing from joints alone, free of frame rate and size, for real and studio's alike.

The lead arm's elevation is the direction from lead shoulder to lead wrist in the face-on picture:
-90 hanging straight down, 0 level on the trail side, positive above level; degrees. It runs on past
-90 when the arm swings through.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from worker.body.joints import BodyTrack, Joint

Array = NDArray[np.float64]

LOW_DEG = -60.0
"""Clear of address and impact (about -80), so that standing still does not enter."""
SHAPES = {
    "arm at the top": "degrees",
    "arm half-way back in time": "degrees",
    "arm three quarters back in time": "degrees",
    "arm half-way down in time": "degrees",
    "time back over time down": "",
    "arm level, share of the way back": "",
    "arm level, share of the way down": "",
    "arm's turning rate at level, per time down": "degrees",
    "hands across at level": "torso",
    "hands up at level": "torso",
    "hands across at the top": "torso",
    "hands up at the top": "torso",
    "hands across, level on the way down": "torso",
    "hands up, level on the way down": "torso",
}
"""Measures and their units. Back: from 60 degrees below level to the top; down: from the top to 60
below. Across: to the trail side of the mid-shoulder; up: above the mid-hip; lengths by mid-hip to
mid-shoulder at lead arm parallel."""
ARM_LOW, LEG_LOW = "lead arm, 60 degrees below level", "lead hip to ankle, then"
ACROSS_UP, ACROSS_DOWN = "hands across at level", "hands across, level on the way down"
UP_UP, UP_DOWN = "hands up at level", "hands up, level on the way down"
BY_ARM = (ACROSS_UP, UP_UP, ACROSS_DOWN, UP_DOWN)
SIZES = {ARM_LOW: "torso", LEG_LOW: "torso", **dict.fromkeys(BY_ARM, "lead arm")}
"""What else tells of sizes, and by which length: the limbs by the torso, the hands by the lead arm."""


@dataclass(frozen=True, slots=True)
class _Marks:
    """Times of a swing on the track's clock."""

    low_up: float
    level_up: float
    top: float
    level_down: float
    low_down: float


def elevation(track: BodyTrack) -> Array:
    """Lead arm's elevation (n,), degrees, without jumps."""
    reach = track.of(Joint.LEAD_WRIST) - track.of(Joint.LEAD_SHOULDER)
    raw = np.degrees(np.arctan2(-reach[:, 1], -reach[:, 0]))
    return np.asarray(np.unwrap(raw, period=360.0))


def shape_of(track: BodyTrack) -> dict[str, float] | None:
    """All measures of ``SHAPES``; ``None`` where the arm does not go up past level and down again."""
    arm = elevation(track)
    marks = _marks(track.times_s, arm)
    if marks is None:
        return None
    back, down = marks.top - marks.low_up, marks.low_down - marks.top
    at = {
        "arm at the top": marks.top,
        "arm half-way back in time": marks.low_up + 0.5 * back,
        "arm three quarters back in time": marks.low_up + 0.75 * back,
        "arm half-way down in time": marks.top + 0.5 * down,
    }
    shape = {name: float(np.interp(when, track.times_s, arm)) for name, when in at.items()}
    shape["time back over time down"] = back / down
    shape["arm level, share of the way back"] = (marks.level_up - marks.low_up) / back
    shape["arm level, share of the way down"] = (marks.level_down - marks.top) / down
    shape["arm's turning rate at level, per time down"] = down * _rate(track, arm, marks)
    return shape | _hands(track, marks)


def sizes_of(track: BodyTrack) -> dict[str, float] | None:
    """All measures of ``SIZES``; ``None`` where there is no shape."""
    shape, marks = shape_of(track), _marks(track.times_s, elevation(track))
    if shape is None or marks is None:
        return None
    torso = _length(track, track.shoulders - track.hips, marks.level_up)
    reach = track.of(Joint.LEAD_WRIST) - track.of(Joint.LEAD_SHOULDER)
    arm = _length(track, reach, marks.low_up)
    leg = _length(track, track.of(Joint.LEAD_HIP) - track.of(Joint.LEAD_ANKLE), marks.low_up)
    by_arm = {name: shape[name] * torso / arm for name in BY_ARM}
    return {ARM_LOW: arm / torso, LEG_LOW: leg / torso, **by_arm}


def _length(track: BodyTrack, between: Array, when: float) -> float:
    return float(np.linalg.norm(_at(track, between, when)))


def _marks(times: Array, arm: Array) -> _Marks | None:
    above = np.flatnonzero((arm[:-2] > 0.0) & (arm[1:-1] > 0.0) & (arm[2:] > 0.0))
    if not len(above):
        return None
    first = int(above[0])
    below_before = np.flatnonzero(arm[:first] < LOW_DEG)
    below_after = np.flatnonzero(arm[first:] < LOW_DEG)
    if not len(below_before) or not len(below_after):
        return None
    start, end = int(below_before[-1]), first + int(below_after[0])
    top = start + int(np.argmax(arm[start : end + 1]))
    return _Marks(
        low_up=_crossing(times, arm, start, top, LOW_DEG),
        level_up=_crossing(times, arm, start, top, 0.0),
        top=_turning(times, arm, top),
        level_down=_crossing(times, arm, top, end, 0.0),
        low_down=_crossing(times, arm, top, end, LOW_DEG),
    )


def _crossing(times: Array, arm: Array, start: int, end: int, level: float) -> float:
    """Time at which the arm passes ``level`` between two samples' indices, the later one if several."""
    part = arm[start : end + 1] - level
    k = start + int(np.flatnonzero(np.signbit(part[:-1]) != np.signbit(part[1:]))[-1])
    share = (level - arm[k]) / (arm[k + 1] - arm[k])
    return float(times[k] + share * (times[k + 1] - times[k]))


def _turning(times: Array, arm: Array, top: int) -> float:
    """Middle of the time that the arm spends within two degrees of its highest.

    Clicked joints jump by a degree or two: the highest sample alone would wander over a flat top.
    """
    near = arm >= arm[top] - 2.0
    first, last = top, top
    while first > 0 and near[first - 1]:
        first -= 1
    while last + 1 < len(arm) and near[last + 1]:
        last += 1
    return float((times[first] + times[last]) / 2.0)


def _rate(track: BodyTrack, arm: Array, marks: _Marks) -> float:
    """Turning rate at level going up, degrees a second, over the middle fifth of the way back."""
    half = 0.1 * (marks.top - marks.low_up)
    ends = np.array([marks.level_up - half, marks.level_up + half])
    before, after = np.interp(ends, track.times_s, arm)
    return float((after - before) / (2.0 * half))


def _hands(track: BodyTrack, marks: _Marks) -> dict[str, float]:
    torso = _length(track, track.shoulders - track.hips, marks.level_up)
    places = {
        "{} at level": marks.level_up,
        "{} at the top": marks.top,
        "{}, level on the way down": marks.level_down,
    }
    found: dict[str, float] = {}
    for name, when in places.items():
        hands = _at(track, track.hands, when)
        across = _at(track, track.shoulders, when)[0] - hands[0]
        up = _at(track, track.hips, when)[1] - hands[1]
        found[name.format("hands across")] = float(across / torso)
        found[name.format("hands up")] = float(up / torso)
    return found


def _at(track: BodyTrack, values: Array, when: float) -> Array:
    return np.array([np.interp(when, track.times_s, values[:, k]) for k in (0, 1)])

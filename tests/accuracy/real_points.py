"""Body points on the recording of one man before four cameras: how far they can be believed.

Joints are found in all four pictures of an instant; the rays to them must meet, the bones between
the meeting points must keep their length, and joints placed by eye must lie where they are found.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from api.domain.proportions import SHARE_OF_STATURE
from tests.accuracy.footage import (
    CAMERAS,
    CHECKED_JOINTS,
    FRAMES,
    Meeting,
    cameras,
    frames,
    meet,
    placed,
    placed_sigma_px,
    swallowed,
)
from tests.accuracy.looks import Look, Looker
from worker.body.joints import Joint
from worker.measure.posture import POINT_SIGMA_STATURE
from worker.measure.setting import LEG_OVER_STATURE, PROPORTION_SIGMA

Array = NDArray[np.float64]

EVERY = 12
"""Frames between the looked-at instants of the recording: nine of a hundred."""
FEWEST_INSTANTS = 2
"""Of one instant nothing can be said about what stays and what moves."""
PAIRS = ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
SEGMENTS = {
    "upper_arm": ("shoulder", "elbow"),
    "forearm": ("elbow", "wrist"),
    "thigh": ("hip", "knee"),
    "shank": ("knee", "ankle"),
}
_COLUMN = {joint: k for k, joint in enumerate(CHECKED_JOINTS)}
_SIDES = ("lead", "trail")


@dataclass(frozen=True, slots=True)
class Recording:
    """Points on the recording. ``points`` (cameras, instants, joints, 2) px, joints as
    ``CHECKED_JOINTS``; ``repeat_sigma`` (cameras, instants, joints) as stated. ``untouched``: the
    meeting with the calibration as it came, no shift taken out."""

    instants: tuple[int, ...]
    points: Array
    repeat_sigma: Array
    meeting: Meeting
    untouched: Meeting

    @property
    def left_px(self) -> Array:
        """Seen less met, (cameras, instants, joints, 2)."""
        return self.meeting.left_px.reshape(self.points.shape)

    @property
    def body_m(self) -> Array:
        """Meeting points, (instants, joints, 3), metres as the calibration has them."""
        return self.meeting.points_m.reshape(len(self.instants), len(CHECKED_JOINTS), 3)

    def segment_m(self, name: str, side: str) -> Array:
        """Length of a segment at each instant, metres; ``side`` is lead or trail."""
        ends = [_COLUMN[Joint[f"{side}_{end}".upper()]] for end in SEGMENTS[name]]
        return np.asarray(np.linalg.norm(self.body_m[:, ends[0]] - self.body_m[:, ends[1]], axis=1))

    def stature_px(self) -> Array:
        """Stature by the leg's published share, as each camera shows it, (cameras, instants)."""
        leg = sum(self.segment_m(n, s).mean() / 2 for n in ("thigh", "shank") for s in _SIDES)
        middle = self.body_m.mean(axis=1)
        depths = [middle @ c.rotation[2] + c.translation_m[2] for c in cameras()]
        focal = [c.matrix[0, 0] for c in cameras()]
        shown = [f / z for f, z in zip(focal, depths, strict=True)]
        return np.asarray(np.stack(shown) * leg / LEG_OVER_STATURE)


@dataclass(frozen=True, slots=True)
class Looks:
    """What was seen at some instants: for each camera, a look for each instant, ``None`` where the
    man was not found."""

    instants: tuple[int, ...]
    by_camera: tuple[tuple[Look | None, ...], ...]

    @property
    def looked(self) -> int:
        """Pictures looked at."""
        return sum(len(looks) for looks in self.by_camera)

    @property
    def found(self) -> int:
        """Pictures in which the man was found."""
        return sum(look is not None for looks in self.by_camera for look in looks)


@cache
def look_at(every: int = EVERY) -> Looks:
    """Look at every ``every``-th instant of the recording in all four pictures."""
    looker = Looker()
    instants = tuple(range(0, FRAMES, every))
    by_camera = [tuple(looker.look(rgb) for rgb in frames(c, instants)) for c in CAMERAS]
    return Looks(instants, tuple(by_camera))


def recording(looks: Looks) -> Recording | None:
    """The instants at which the man was found in all four pictures; ``None`` with fewer than
    ``FEWEST_INSTANTS`` of them: nothing could be said of what lasts."""
    kept: list[int] = []
    points, sigmas = [], []
    joints = list(CHECKED_JOINTS)
    for instant, at_once in zip(looks.instants, zip(*looks.by_camera, strict=True), strict=True):
        seen = [look for look in at_once if look is not None]
        if len(seen) == len(CAMERAS):
            kept.append(instant)
            points.append(np.stack([look.points[joints] for look in seen]))
            sigmas.append(np.stack([look.repeat_sigma[joints] for look in seen]))
    if len(kept) < FEWEST_INSTANTS:
        return None
    stacked = np.stack(points, axis=1)
    flat = stacked.reshape(len(CAMERAS), -1, 2)
    meeting, untouched = meet(flat, cameras()), meet(flat, cameras(), common=False)
    return Recording(tuple(kept), stacked, np.stack(sigmas, axis=1), meeting, untouched)


@dataclass(frozen=True, slots=True)
class Missed:
    """How far rays to one pair of joints miss each other; shares of stature, one sigma an axis.

    ``sigma`` all of it; ``lasting`` the part that stays the same over the instants.
    """

    joint: str
    sigma: float
    lasting: float


def rays_missed(seen: Recording) -> list[Missed]:
    """One row a pair of joints, and one of all joints last."""
    share = seen.left_px / seen.stature_px()[:, :, np.newaxis, np.newaxis]
    rows: list[Missed] = []
    for pair in (*PAIRS, "all"):
        columns = [
            k for joint, k in _COLUMN.items() if pair in (joint.name.lower().split("_")[1], "all")
        ]
        part = share[:, :, columns]
        rows.append(
            Missed(
                pair,
                _spread(part, len(seen.meeting.points_m)),
                _spread(part.mean(axis=1), len(CHECKED_JOINTS)),
            )
        )
    return rows


def _spread(left: Array, points: int) -> float:
    """Root mean square, for what a meeting of so many points has swallowed."""
    return _rms(left) * swallowed(points, common=True)


@dataclass(frozen=True, slots=True)
class Ratio:
    """Two segments' ratio, found against published, with one sigma of the difference."""

    name: str
    found: float
    published: float
    sigma: float

    @property
    def off(self) -> float:
        """Difference in sigmas."""
        return (self.found - self.published) / self.sigma


def ratios(seen: Recording) -> list[Ratio]:
    """Segment lengths where the rays meet, against the published shares of stature.

    Sigma: people differ by ``PROPORTION_SIGMA`` of a segment, and a joint lies off for good by
    ``POINT_SIGMA_STATURE`` at each end, each of the three axes.
    """
    length = {
        name: float(np.mean([seen.segment_m(name, side) for side in _SIDES])) for name in SEGMENTS
    }
    pairs = (
        ("upper_arm", "forearm"),
        ("thigh", "shank"),
        ("upper_arm", "thigh"),
        ("forearm", "shank"),
    )
    return [_ratio(length, over, under) for over, under in pairs]


def _ratio(length: dict[str, float], over: str, under: str) -> Ratio:
    published = SHARE_OF_STATURE[over] / SHARE_OF_STATURE[under]
    parts = [
        math.hypot(PROPORTION_SIGMA, math.sqrt(2.0) * POINT_SIGMA_STATURE / SHARE_OF_STATURE[name])
        for name in (over, under)
    ]
    return Ratio(
        f"{over} / {under}".replace("_", " "),
        length[over] / length[under],
        published,
        published * math.hypot(*parts),
    )


@dataclass(frozen=True, slots=True)
class Steadiness:
    """A segment's length over the instants: one sigma as a share of its mean, and lead over trail."""

    name: str
    spread: float
    lead_over_trail: float


def steadiness(seen: Recording) -> list[Steadiness]:
    """Bones keep their length, and a man's two sides are alike: every departure is an error."""
    rows = []
    for name in SEGMENTS:
        lead, trail = (seen.segment_m(name, side) for side in _SIDES)
        spread = float(np.mean([side.std(ddof=1) / side.mean() for side in (lead, trail)]))
        rows.append(Steadiness(name.replace("_", " "), spread, float(lead.mean() / trail.mean())))
    return rows


@dataclass(frozen=True, slots=True)
class ByEye:
    """Joints placed by eye against found: ``n`` of them, one sigma of the difference each axis and
    the largest distance (shares of stature), and how many lie nearer the other side's joint.

    ``placed_sigma`` is what rays to placed joints miss by, ``stated_sigma`` what was said of it.
    ``shift``: what one camera's placed joints have in common, root mean square over the cameras;
    ``shift_apart``: how far the same joints as found differ from it. Were the shift the network's and
    not the calibration's, the eye would not see it."""

    n: int
    sigma: float
    largest: float
    wrong_side: int
    placed_sigma: float
    stated_sigma: float
    shift: float
    shift_apart: float


def by_eye(seen: Recording) -> ByEye | None:
    """The joints of the first frame, on which some were placed; ``None`` where he was not found on it."""
    if seen.instants[0] != 0:
        return None
    marks = placed()
    stature = seen.stature_px()[:, 0]
    gone: list[Array] = []
    wrong = 0
    for k, camera in enumerate(CAMERAS):
        found = seen.points[k, 0]
        for joint, at in marks[camera].items():
            gone.append((found[_COLUMN[joint]] - at) / stature[k])
            other = found[_COLUMN[_opposite(joint)]]
            wrong += bool(np.linalg.norm(other - at) < np.linalg.norm(found[_COLUMN[joint]] - at))
    everywhere = [j for j in CHECKED_JOINTS if all(j in marks[camera] for camera in CAMERAS)]
    rays = meet(np.stack([[marks[c][j] for j in everywhere] for c in CAMERAS]), cameras())
    found_rays = meet(seen.points[:, 0][:, [_COLUMN[j] for j in everywhere]], cameras())
    apart = np.stack(gone)
    typical = float(np.median(stature))
    return ByEye(
        n=len(apart),
        sigma=_rms(apart),
        largest=float(np.linalg.norm(apart, axis=1).max()),
        wrong_side=wrong,
        placed_sigma=rays.sigma_px / typical,
        stated_sigma=placed_sigma_px() / typical,
        shift=_rms(rays.offsets_px) / typical,
        shift_apart=_rms(found_rays.offsets_px - rays.offsets_px) / typical,
    )


def _rms(values: Array) -> float:
    return float(np.sqrt((values**2).mean()))


def _opposite(joint: Joint) -> Joint:
    return Joint(joint + 1 if joint % 2 else joint - 1)

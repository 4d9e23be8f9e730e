"""How well the clip was filmed beside its view: light, sharpness, shake, height, nearness, what is cut off.

Each is told only when it is surely beyond its limit: by its own 95 % interval where it has one, and by every
picture looked at where it has none. The exposure is not judged: how far the club smears from picture to
picture depends on its speed and its length, and no estimate of ours was held to a known exposure.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from api.domain.filming_problems import ProblemCode, problem
from api.domain.measurement import Estimate, Problem
from api.domain.names import View
from api.domain.uncertainty import Z95
from worker.body.joints import BodyTrack, Joint
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.measure.ideal import Stand
from worker.measure.setting import FOCAL_OVER_LONG_SIDE, Setting, stature_px
from worker.swing.scan import BLUR_MAX_PX, DARK_LEVEL, blur_px
from worker.swing.steady import move

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

DARK_TOLD = 2.0 * DARK_LEVEL
"""Of 255. Nine tenths of the picture stay below this: twice the level at which a clip is refused (working value)."""
BLUR_TOLD_PX = BLUR_MAX_PX / 2.0
"""Of 640, one sigma: half of what is refused, a shaft's width several times over (working value)."""
SHAKE_DEG = 0.25
"""One sigma of the lens's unsteadiness. A phone on a stand keeps within a few hundredths, a hand sways by some
tenths (working values)."""
FEWEST_MOVES = 10
"""Pictures a shake is told from."""
HIGH_M, LOW_M = 0.5, 0.3
"""Lens above, and below, the hands at address. The guide asks for 0.8 to 1.0 m, from about the hands' own height
to a quarter of a metre above them; a quarter more either way is borne (working values). The swing network was taught lenses from 0.5 to 1.6 m and reads one
at 0.3 m as a fifth of a metre too high, so that a phone on the ground is mostly not told."""
NEAR_M = 2.5
"""The guide asks for three metres or more (working value: half a metre less)."""
OUT_STATURES = 0.05
"""A body point counts as outside the picture from so far beyond its edge: twice what the networks err by together
(``worker.body.agreement``), since what is cut off is guessed."""
OUT_PICTURES = 3
"""Pictures in which the clubhead is outside before it is told: one alone may be a wrong point."""

LINES = (
    (SwingPoint.LEAD_SHOULDER, SwingPoint.TRAIL_SHOULDER),
    (SwingPoint.LEAD_HIP, SwingPoint.TRAIL_HIP),
    (SwingPoint.LEAD_ANKLE, SwingPoint.TRAIL_ANKLE),
)
"""Lines that lie along the target line at address, from lead to trail side."""
ALIGNED_SIGMA_DEG = 4.0
"""How far off the target line people's lines are at address, and the network's depths with them, one sigma
(working value). Practice clips seen 15 degrees off were read as 7 to 18, 30 off as 21 to 29, and 45 off, far beyond
what the network was taught, as 28 to 56."""
ALONG_DEG = {View.FACE_ON: 0.0, View.DOWN_THE_LINE: 90.0}
"""From the picture's right away from the lens, where a body's line points that is seen from its view's own place."""

HEAD_AND_FEET = (
    Joint.NOSE,
    Joint.LEAD_ANKLE,
    Joint.TRAIL_ANKLE,
    Joint.LEAD_TOE,
    Joint.TRAIL_TOE,
)


@dataclass(frozen=True, slots=True)
class Size:
    """Width and height of the picture that points lie on, pixels."""

    width: int
    height: int

    @property
    def middle(self) -> Array:
        """The pixel (2,) that the line of sight meets."""
        return np.array([(self.width - 1) / 2.0, (self.height - 1) / 2.0])

    def beyond(self, points: Array) -> Array:
        """How far points (..., 2) lie outside the picture, pixels (...); negative inside."""
        last = np.array([self.width - 1.0, self.height - 1.0])
        return np.asarray(np.maximum(-points, points - last).max(axis=-1))


@dataclass(frozen=True, slots=True)
class Filmed:
    """How one swing was filmed. ``None`` where it could not be judged.

    ``azimuth_deg``: by how the body's lines lie in depth, sign as of ``Stand``: rough, but unlike that it also tells
    cameras that stand farther off than the swing network was taught. ``shake_deg``: one sigma of the lens's turning to and fro; ``above_hands_m``: lens above the hands at address,
    negative below; ``distance_m``: lens to golfer by the lens alone, not tempered by what the guide asks;
    ``club_out``: pictures in which the clubhead is outside.
    """

    azimuth_deg: Estimate | None
    shake_deg: Estimate | None
    above_hands_m: Estimate | None
    distance_m: Estimate
    club_out: int


def filmed(
    moves: Mapping[int, Array],
    points: SwingTrack | None,
    still: BodyTrack,
    setting: Setting,
    stand: Stand | None,
    size: Size,
    view: View,
    until_s: float,
) -> Filmed:
    """Judge one swing's filming from its second look; pixels are working pixels.

    ``setting``: with the horizon as it was seen, where it was. ``until_s``: the end of the downswing; the club is looked for in the picture up to then.
    """
    return Filmed(
        azimuth_deg=None if points is None else azimuth_by_lines(points, still, setting, view),
        shake_deg=shake_deg(moves, size),
        above_hands_m=None if stand is None else _above_hands_m(still, setting, stand, size),
        distance_m=_distance_m(setting, size),
        club_out=0 if points is None else _club_out(points, still, size, until_s),
    )


def azimuth_by_lines(
    points: SwingTrack, still: BodyTrack, setting: Setting, view: View
) -> Estimate | None:
    """The camera's azimuth, degrees, from shoulders, hips and ankles in depth at address.

    ``None`` where no frame of the address was looked at.
    """
    rows = (points.times_s >= still.times_s[0]) & (points.times_s <= still.times_s[-1])
    if not rows.any():
        return None
    turns = []
    for lead, trail in LINES:
        across = points.xy[rows, lead, 0] - points.xy[rows, trail, 0]
        away = points.depth_m[rows, lead] - points.depth_m[rows, trail]
        line = math.atan2(float(np.median(away)), float(np.median(across)) / setting.px_per_m.value)
        turns.append((ALONG_DEG[view] - math.degrees(line) + 180.0) % 360.0 - 180.0)
    return Estimate(float(np.median(turns)), ALIGNED_SIGMA_DEG)


def shake_deg(moves: Mapping[int, Array], size: Size) -> Estimate | None:
    """One sigma of how far the picture's middle wanders, degrees at the lens.

    Turning and shifting the phone look alike from afar. What is not known is the focal length.
    """
    if len(moves) < FEWEST_MOVES:
        return None
    middles = np.array([move(matrix, size.middle) for matrix in moves.values()])
    away = middles - np.median(middles, axis=0)
    wandered = float(np.sqrt(np.mean(np.sum(away**2, axis=1)) / 2.0))
    value = math.degrees(wandered / _focal(size).value)
    return Estimate(value, value * _focal_share())


def _focal(size: Size) -> Estimate:
    long_side = max(size.width, size.height)
    return Estimate(FOCAL_OVER_LONG_SIDE.value * long_side, FOCAL_OVER_LONG_SIDE.sigma * long_side)


def _focal_share() -> float:
    return FOCAL_OVER_LONG_SIDE.sigma / FOCAL_OVER_LONG_SIDE.value


def _distance_m(setting: Setting, size: Size) -> Estimate:
    value = _focal(size).value / setting.px_per_m.value
    share = math.hypot(_focal_share(), setting.px_per_m.sigma / setting.px_per_m.value)
    return Estimate(value, value * share)


def _above_hands_m(still: BodyTrack, setting: Setting, stand: Stand, size: Size) -> Estimate:
    """The horizon is at the lens's height: rows between it and the hands, in metres at the golfer.

    The hands are a little nearer than the hips whose scale it is, a tenth of the distance at most.
    """
    roll = math.radians(stand.roll.value)
    across, down = np.median(still.hands, axis=0) - size.middle
    # Roll turned the content anticlockwise (y is down): turn the hands back to a level picture.
    level = math.sin(roll) * across + math.cos(roll) * down
    rows = level - (setting.horizon_row.value - size.middle[1])
    scale = setting.px_per_m
    value = float(rows) / scale.value
    sigma = math.hypot(setting.horizon_row.sigma / scale.value, value * scale.sigma / scale.value)
    return Estimate(value, sigma)


def _club_out(points: SwingTrack, still: BodyTrack, size: Size, until_s: float) -> int:
    """Pictures up to a time with the clubhead outside, surely by its own spread."""
    rows = points.times_s <= until_s
    beyond = size.beyond(points.of(SwingPoint.HOSEL)[rows])
    least = OUT_STATURES * stature_px(still)
    doubt = np.maximum(Z95 * points.sigma_px[rows, SwingPoint.HOSEL], least)
    return int(np.count_nonzero(beyond > doubt))


def person_out(still: BodyTrack, size: Size) -> bool:
    """Whether head or feet are outside the picture while the golfer stands still."""
    places = np.median(still.xy[:, list(HEAD_AND_FEET)], axis=0)
    return bool(size.beyond(places).max() > OUT_STATURES * stature_px(still))


def picture_problems(pictures: Sequence[Picture]) -> list[Problem]:
    """Darkness and blur that every picture shows: RGB pictures of the first look, 640 pixels long."""
    grays = [np.asarray(cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), dtype=np.uint8) for rgb in pictures]
    found = []
    if grays and all(float(np.percentile(gray, 90)) < DARK_TOLD for gray in grays):
        found.append(problem(ProblemCode.PICTURE_DARK))
    if grays and all(blur_px(gray) > BLUR_TOLD_PX for gray in grays):
        found.append(problem(ProblemCode.PICTURE_BLURRED))
    return found


def swing_problems(swings: Iterable[Filmed]) -> list[Problem]:
    """What any of the swings surely shows, each problem once, in the catalogue's order."""
    codes = {code for swing in swings for code in _codes(swing)}
    return [problem(code) for code in ProblemCode if code in codes]


def _codes(swing: Filmed) -> Iterable[ProblemCode]:
    if swing.shake_deg is not None and surely_above(swing.shake_deg, SHAKE_DEG):
        yield ProblemCode.CAMERA_MOVES
    if swing.above_hands_m is not None:
        if surely_above(swing.above_hands_m, HIGH_M):
            yield ProblemCode.CAMERA_HIGH
        if surely_above(_negative(swing.above_hands_m), LOW_M):
            yield ProblemCode.CAMERA_LOW
    if surely_above(_negative(swing.distance_m), -NEAR_M):
        yield ProblemCode.CAMERA_NEAR
    if swing.club_out >= OUT_PICTURES:
        yield ProblemCode.CLUB_CUT_OFF


def surely_above(judged: Estimate, limit: float) -> bool:
    """Whether the whole 95 % interval lies above the limit."""
    return judged.value - Z95 * judged.sigma > limit


def _negative(judged: Estimate) -> Estimate:
    return Estimate(-judged.value, judged.sigma)

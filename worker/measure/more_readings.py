"""Readings besides the two main ones: wrists, start, body, shaft and hands, times.

Each is its checkpoint's own formula on the points of the frame nearest to the instant, with two numbers
added: ``to_instant``, from that frame to the instant along a line through the neighbouring frames, and
``to_ideal``, from the camera that filmed to the ideal one (``worker.measure.ideal``). Where the swing
network is not believed there are no depths: ``to_ideal`` is 0, and ``VIEW_UNKNOWN`` says what that may cost.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_formulas import (
    ANGLE_POINTS,
    EARS,
    FORMULAS,
    HANDS,
    HIPS,
    SHOULDERS,
)
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, evaluate, to_reading
from api.domain.equipment import GRIP_LENGTH_M
from api.domain.geometry import wrap180
from api.domain.measurement import Estimate, Missing, Point, Reading
from api.domain.names import Hand, KeyframeId, PointName, View
from api.domain.onsets import onset_input
from api.domain.picture_formulas import CUT_OFF, TO_IDEAL, TO_INSTANT, Picture, sigma_input
from api.domain.proof import HINGE_HANDS, with_sigma
from worker.measure import stay
from worker.measure.ideal import POINTS
from worker.measure.looks import Album, Looks, Pair
from worker.measure.readings import Frame
from worker.measure.residuals import residual
from worker.measure.rhythm import Hold, Pause, StartOrder, stop_in_it
from worker.swing.instants import Instant
from worker.swing.signals import local_curve

Array = NDArray[np.float64]
Inputs = dict[str, float]

NEAR_S = 0.05
"""Frames this near an instant tell the value there and how fast it changes."""
HEAD_OVER_STATURE = 0.130
"""Head height: Drillis and Contini 1966, in Winter, ch. 4 (from memory)."""
SHOULDERS_OVER_STATURE, SHOULDERS_SPREAD = 0.206, 0.1
"""Between the centres of the shoulders, and one sigma as a share (working values): the published 0.259 is
the breadth over the bones."""
SCALE_SPREAD = 0.05
"""Share by which a unit told from the body's proportions errs, one sigma: as the scale from the legs does."""
SHORT_SHAFT = 0.35
"""A shaft that looks shorter than this share of its length at address points at the lens (C14)."""
SHORT_AT_DELIVERY = 0.5
"""The same at delivery, where a shaft along the target line points at the lens and only a camera judged some degrees
off would see it longer (working value)."""
AT_THE_LENS = "The shaft points at the lens here: how steep it looks means nothing."
NOT_FOLLOWED = "The club could not be followed at this moment; a coach can mark it."
NO_DEPTH = "One picture does not show this; how far things are from the lens could not be told."

C = CheckpointId
VIEW_UNKNOWN: Mapping[CheckpointId, float] = {
    C.TRIGGER_SHIFT: 0.01,
    C.PELVIS_TURN_AT_PARALLEL: 8.0,
    C.PELVIS_TURN: 8.0,
    C.PELVIS_SWAY: 0.05,
    C.HEAD_SWAY: 0.15,
    C.SPINE_SIDE_TILT_AT_ADDRESS: 4.5,
    C.SPINE_SIDE_TILT: 4.0,
    C.SPINE_SIDE_TILT_AT_IMPACT: 4.5,
    C.BALL_POSITION: 0.17,
    C.HANDS_OVER_TRAIL_SHOULDER: 0.15,
    C.HAND_DEPTH: 0.15,
    C.HAND_DEPTH_AT_TOP: 0.15,
    C.SPINE_TILT: 2.0,
    C.SPINE_TILT_CHANGE_AT_PARALLEL: 2.0,
    C.SPINE_TILT_CHANGE_AT_TOP: 2.0,
    C.SPINE_TILT_CHANGE_AT_IMPACT: 2.5,
    C.KNEE_FLEX: 4.0,
}
"""What a camera off its place does to a reading, one sigma in its unit, where nothing tells how it stood.

At least what five degrees of azimuth and one and a half of roll do to seven kept clips (root mean square; a
turn 4.6 degrees, a side tilt 3.8, a ball's place 0.16), and more where the general network's joints are not
the joints' own centres (working values).
"""


SINCE_ADDRESS = frozenset(
    {
        C.SET_BEFORE_TRAIL_LEG,
        C.TRIGGER_SHIFT,
        C.CHEST_TURN_AT_PARALLEL,
        C.CHEST_TURN,
        C.PELVIS_TURN_AT_PARALLEL,
        C.PELVIS_TURN,
        C.PELVIS_SWAY,
        C.HEAD_SWAY,
        C.HANDS_OVER_TRAIL_SHOULDER,
        C.SPINE_TILT_CHANGE_AT_PARALLEL,
        C.SPINE_TILT_CHANGE_AT_TOP,
        C.SPINE_TILT_CHANGE_AT_IMPACT,
    }
)
"""Readings told against address: without a still address there is nothing to tell them against."""
HIDDEN_WITHOUT_DEPTHS: Mapping[CheckpointId, str] = dict.fromkeys(
    (C.CHEST_TURN_AT_PARALLEL, C.CHEST_TURN, C.LEAD_ELBOW_BEND, C.LEAD_ELBOW_BEND_AT_TOP),
    "The lead shoulder is hidden behind the chin here and could not be placed; a coach can judge it.",
) | {C.PATH_OUTSIDE: NO_DEPTH}
"""Readings that the general network's joints give wrongly: with the arm up it puts the lead shoulder 12 to 21
degrees off, and on rendered clips a chest turn came out 45 degrees small and an elbow 60 degrees bent."""


@dataclass(frozen=True, slots=True)
class Place:
    """What a reading is shown on. ``frame_of`` a row; ``hand`` and ``width_px`` of the original."""

    view: View
    hand: Hand
    width_px: int
    frame_of: Callable[[int], Frame]


Extra = Callable[[Album], Inputs]


def more_readings(
    looks: Looks,
    instants: Mapping[KeyframeId, Instant | Missing],
    moments: Mapping[CheckpointId, Instant | Missing],
    rhythm: tuple[StartOrder | Missing, Pause | Missing, Hold | Missing],
    place: Place,
) -> dict[CheckpointId, Reading | Missing]:
    """Every checkpoint of the clip's view besides the main ones.

    ``moments``: instants of checkpoints that are read where no keyframe is.
    """
    reader = _Reader(looks, instants, moments, place)
    found: dict[CheckpointId, Reading | Missing] = {}
    for checkpoint, definition in CHECKPOINTS.items():
        if definition.main or place.view not in definition.views:
            continue
        found[checkpoint] = reader.read(checkpoint)
    order, pause, hold = rhythm
    found |= {
        C.TEMPO_RATIO: reader.tempo(pause),
        C.PAUSE_LENGTH: reader.span(C.PAUSE_LENGTH, pause, reader.stay(pause)),
        C.FINISH_HOLD: reader.span(C.FINISH_HOLD, hold, _cut_off(hold)),
    }
    if place.view is View.FACE_ON:
        found[C.START_ORDER] = reader.span(C.START_ORDER, order, _onsets(order))
    return found


class _Reader:
    """Reads one checkpoint after the other."""

    def __init__(
        self,
        looks: Looks,
        instants: Mapping[KeyframeId, Instant | Missing],
        moments: Mapping[CheckpointId, Instant | Missing],
        place: Place,
    ) -> None:
        self.looks, self.instants, self.moments, self.place = looks, instants, moments, place

    # ------------------------------------------------------------ from points

    def read(self, checkpoint: CheckpointId) -> Reading | Missing:
        """The reading of a checkpoint that is made of points or depths."""
        at = self.moments.get(checkpoint) or self.instants[CHECKPOINTS[checkpoint].keyframe]
        if isinstance(at, Missing):
            return at
        if checkpoint in _IN_SPACE:
            return self._in_space(checkpoint, at)
        address = self.instants[KeyframeId.ADDRESS]
        if checkpoint in SINCE_ADDRESS and isinstance(address, Missing):
            return address
        unseen = self._unseen(checkpoint)
        if unseen is not None:
            return unseen
        extra = self._extra(checkpoint)
        if isinstance(extra, Missing):
            return extra
        return self._from_points(checkpoint, at, extra)

    def _unseen(self, checkpoint: CheckpointId) -> Missing | None:
        """Why a reading of points cannot be had here, if it cannot."""
        points = CHECKPOINTS[checkpoint].points
        if not points:
            return Missing(NO_DEPTH)  # times are read elsewhere
        if self.looks.space is None and checkpoint in HIDDEN_WITHOUT_DEPTHS:
            return Missing(HIDDEN_WITHOUT_DEPTHS[checkpoint])
        return Missing(NOT_FOLLOWED) if set(points) - set(self.looks.here.places) else None

    def _from_points(
        self, checkpoint: CheckpointId, at: Instant, extra: Extra
    ) -> Reading | Missing:
        looks = self.looks
        row = int(np.argmin(np.abs(looks.times_s - at.time_s)))
        if self._at_the_lens(checkpoint, row):
            return Missing(AT_THE_LENS)
        given, given_ideal = extra(looks.here), extra(looks.ideal)
        here = self._value(checkpoint, looks.here, row, given)
        ideal = self._value(checkpoint, looks.ideal, row, given_ideal)
        if isinstance(here, Missing):
            return here
        if isinstance(ideal, Missing):
            return ideal
        line = self._line(checkpoint, at, given_ideal)
        at_instant, rate = (ideal, 0.0) if line is None else line
        moved = [self._value(checkpoint, album, row, extra(album)) for album in looks.moved]
        view = math.hypot(*(abs(one - ideal) for one in moved if isinstance(one, float)))
        inputs = {
            **{sigma_input(name): float(looks.sigma[name][row]) for name in _points(checkpoint)},
            **given,
            TO_IDEAL: ideal - here,
            TO_INSTANT: at_instant - ideal,
            "sigma_instant": abs(rate) * at.sigma_s,
            "sigma_view": view if looks.moved else VIEW_UNKNOWN.get(checkpoint, math.inf),
            "sigma_residual": residual(checkpoint),
        }
        return self._finished(checkpoint, row, looks.here.at(row), inputs)

    def _value(
        self, checkpoint: CheckpointId, album: Album, row: int, given: Inputs
    ) -> float | Missing:
        """The formula on one frame of an album, with nothing added. ``given``: the album's own inputs."""
        sigmas = {sigma_input(name): 0.0 for name in _points(checkpoint)}
        none = {"sigma_instant": 0.0, "sigma_view": 0.0, "sigma_residual": 0.0}
        picture = Picture(Hand.RIGHT, self.place.width_px)
        found = FORMULAS[checkpoint](album.at(row), {**given, **sigmas, **none}, picture)
        return found if isinstance(found, Missing) else found[0]

    def _line(
        self, checkpoint: CheckpointId, at: Instant, given: Inputs
    ) -> tuple[float, float] | None:
        """Value at the instant and its change a second, from the ideal camera's frames near it."""
        times = self.looks.times_s
        near = np.flatnonzero(np.abs(times - at.time_s) <= NEAR_S)
        if len(near) < 3:  # noqa: PLR2004 - a line through two points has no spread
            near = np.sort(np.argsort(np.abs(times - at.time_s))[:3])
        values = [self._value(checkpoint, self.looks.ideal, int(row), given) for row in near]
        kept = [
            (times[row], one)
            for row, one in zip(near, values, strict=True)
            if isinstance(one, float)
        ]
        if len(kept) < 3:  # noqa: PLR2004 - as above
            return None
        at_s, known = np.array([time for time, _ in kept]), np.array([one for _, one in kept])
        line = local_curve(at_s, known, at.time_s, math.inf)
        return line.value, line.slope

    def _at_the_lens(self, checkpoint: CheckpointId, row: int) -> bool:
        if CHECKPOINTS[checkpoint].measures != "shaft_pitch":
            return False
        least = SHORT_AT_DELIVERY if checkpoint is C.SHAFT_PITCH_AT_DELIVERY else SHORT_SHAFT
        albums = (self.looks.here, self.looks.ideal)
        return any(self._is_short(album, row, least) for album in albums)

    def _is_short(self, album: Album, row: int, least: float) -> bool:
        """Whether the shaft looks short.

        In the picture its points then say little of its direction; to the ideal camera, whose number is told,
        the direction means little, however long a camera off its line sees it.
        """
        butt, head = (album.places[name] for name in (PointName.BUTT, PointName.CLUBHEAD))
        lengths = np.linalg.norm(head - butt, axis=1)
        return bool(lengths[row] < least * np.median(lengths[album.still]))

    def _finished(
        self,
        checkpoint: CheckpointId,
        row: int,
        points: Mapping[PointName, Point],
        inputs: Mapping[str, float],
    ) -> Reading | Missing:
        """In original pixels, through the one evaluation that everybody uses."""
        frame = self.place.frame_of(row)
        needed = {name: frame.original(points[name]) for name in CHECKPOINTS[checkpoint].points}
        own = {name: value * _px_factor(name, frame.scale) for name, value in inputs.items()}
        if "from_x_px" in inputs:
            level = float(np.mean([points[name][1] for name in CHECKPOINTS[checkpoint].points]))
            own["from_x_px"] = frame.original((inputs["from_x_px"], level))[0]
        value = evaluate(
            checkpoint, needed, own, handed=self.place.hand, width_px=self.place.width_px
        )
        if isinstance(value, Missing):
            return value
        return to_reading(value, frame=frame.number, points=needed, inputs=own)

    # ------------------------------------------------------------ inputs besides points

    def _extra(self, checkpoint: CheckpointId) -> Extra | Missing:
        looks = self.looks
        if checkpoint in _WIDTHS:
            return lambda album: _width(looks, album, _WIDTHS[checkpoint])
        if checkpoint is C.PELVIS_SWAY:
            return lambda album: _since(looks, album, HIPS, _stance_px(album), 0.0)
        made_by: dict[CheckpointId, Callable[[], Extra | Missing]] = {
            C.TRIGGER_SHIFT: self._shift,
            C.HEAD_SWAY: lambda: self._head,
            C.HAND_DEPTH: lambda: self._shoulder_unit,
            C.HAND_DEPTH_AT_TOP: lambda: self._shoulder_unit,
            C.CLUBHEAD_INSIDE_EARLY: lambda: _grip_unit,
            C.HANDS_OVER_TRAIL_SHOULDER: lambda: self._shoulder_line,
            C.PATH_OUTSIDE: self._path,
            C.SPINE_TILT_CHANGE_AT_PARALLEL: lambda: self._lean,
            C.SPINE_TILT_CHANGE_AT_TOP: lambda: self._lean,
            C.SPINE_TILT_CHANGE_AT_IMPACT: lambda: self._lean,
            C.SET_BEFORE_TRAIL_LEG: self._set,
            C.WRIST_SET_KEPT: self._kept,
        }
        return made_by[checkpoint]() if checkpoint in made_by else _nothing

    def _shift(self) -> Extra | Missing:
        if not self.looks.rest.any():
            return Missing("The clip starts too late to tell where the body was at rest.")
        return self._trigger

    def _trigger(self, album: Album) -> Inputs:
        """Since the body was at rest: by address it may have shifted already."""
        since = _since(self.looks, album, HIPS, _stance_px(album), 0.0)
        at_rest = album.middle(HIPS)[self.looks.rest, 0]
        return {**since, "from_x_px": float(np.median(at_rest))}

    def _head(self, album: Album) -> Inputs:
        """Since address, in head heights at the head's own distance."""
        height_px = HEAD_OVER_STATURE * self.looks.stature_px
        return _since(
            self.looks, album, EARS, _resized(self.looks, album, EARS, height_px), SCALE_SPREAD
        )

    def _lean(self, album: Album) -> Inputs:
        """Lean of the spine at address."""
        return _reference_lean(self.looks, album)

    def _shoulder_line(self, album: Album) -> Inputs:
        """The shoulder line at address, as it looks."""
        width = _width(self.looks, album, SHOULDERS)
        unit = width["address_width_px"]
        return {"px_per_unit": unit, "sigma_scale": width["sigma_width_px"] / max(unit, 1.0)}

    def _shoulder_unit(self, album: Album) -> Inputs:
        """Pixels of a shoulder width at the club's distance at address."""
        looks = self.looks
        if looks.space is None:
            return {
                "px_per_unit": SHOULDERS_OVER_STATURE * looks.stature_px,
                "sigma_scale": SHOULDERS_SPREAD,
            }
        lead, trail = (looks.space.places[looks.still][:, _index(name)] for name in SHOULDERS)
        width_m = float(np.median(np.linalg.norm(lead - trail, axis=1)))
        usual_m = SHOULDERS_OVER_STATURE * looks.stature_px / _hips_metre_px(looks)
        # The shoulder line points at this lens: its length is mostly depth, so half is what is usual.
        unit_m = (width_m + usual_m) / 2.0
        return {
            "px_per_unit": unit_m * album.metre_px[PointName.BUTT],
            "sigma_scale": SHOULDERS_SPREAD / math.sqrt(2.0),
        }

    def _angle_sigma(self, key: KeyframeId) -> float:
        """One sigma of the arm-shaft angle at an instant: its points, and its time, degrees."""
        at = self.instants[key]
        if isinstance(at, Missing):
            return math.inf
        row = int(np.argmin(np.abs(self.looks.times_s - at.time_s)))
        places, sigma = self.looks.here.at(row), self.looks.sigma
        total = 0.0
        for start, end in (ANGLE_POINTS[1::-1], ANGLE_POINTS[2:]):
            spread = math.hypot(float(sigma[start][row]), float(sigma[end][row]))
            total += (spread / max(math.dist(places[start], places[end]), 1.0)) ** 2
        rate = local_curve(self.looks.times_s, _turns(self.looks.ideal), at.time_s, NEAR_S).slope
        return math.hypot(math.degrees(math.sqrt(total)), rate * at.sigma_s)

    def _set(self) -> Extra | Missing:
        parallel = self.instants[KeyframeId.LEAD_ARM_PARALLEL]
        if isinstance(parallel, Missing):
            return parallel
        sigmas = {
            "sigma_address": self._address_angle_sigma(),
            "sigma_parallel": self._angle_sigma(KeyframeId.LEAD_ARM_PARALLEL),
        }

        def extra(album: Album) -> Inputs:
            turns = _turns(album)
            there = local_curve(self.looks.times_s, turns, parallel.time_s, NEAR_S).value
            return {
                "address_deg": float(np.median(turns[self.looks.still])),
                "parallel_deg": there,
                **sigmas,
            }

        return extra

    def _address_angle_sigma(self) -> float:
        total = 0.0
        album = self.looks.here
        for start, end in (ANGLE_POINTS[1::-1], ANGLE_POINTS[2:]):
            spread = math.hypot(
                self.looks.address_sigma((start,)), self.looks.address_sigma((end,))
            )
            length = float(np.linalg.norm(album.address((start,)) - album.address((end,))))
            total += (spread / max(length, 1.0)) ** 2
        return math.degrees(math.sqrt(total))

    def _kept(self) -> Extra | Missing:
        parallel = self.instants[KeyframeId.LEAD_ARM_PARALLEL]
        if isinstance(parallel, Missing):
            return parallel
        sigma = self._angle_sigma(KeyframeId.LEAD_ARM_PARALLEL)

        def extra(album: Album) -> Inputs:
            turns = _turns(album)
            there = local_curve(self.looks.times_s, turns, parallel.time_s, NEAR_S).value
            return {"reference_deg": min(there, 360.0 - there), "sigma_reference": sigma}

        return extra

    def _path(self) -> Extra | Missing:
        """Where the hands passed half-way up the trunk on the way back."""
        takeaway, top = (self.instants[key] for key in (KeyframeId.TAKEAWAY, KeyframeId.TOP))
        if isinstance(takeaway, Missing):
            return takeaway
        if isinstance(top, Missing):
            return top

        def extra(album: Album) -> Inputs:
            back = hands_pass_trunk(self.looks, album, takeaway.time_s, top.time_s, rising=True)
            x = math.nan if back is None else back[1]
            unit = _resized(self.looks, album, HANDS, self.looks.stature_px)
            return {
                "from_x_px": x,
                "sigma_from_px": self.looks.address_sigma(HANDS),
                "px_per_unit": unit,
                "sigma_scale": SCALE_SPREAD,
            }

        if math.isnan(extra(self.looks.ideal)["from_x_px"]):
            return Missing("The hands were not seen to pass half-way up the trunk both ways.")
        return extra

    # ------------------------------------------------------------ depths and times

    def _in_space(self, checkpoint: CheckpointId, at: Instant) -> Reading | Missing:
        looks = self.looks
        if looks.space is None or looks.stand is None or looks.points is None:
            return Missing(NO_DEPTH)
        measure = _IN_SPACE[checkpoint]
        turned, *moved = (looks.space.turned(*turn) for turn in looks.stand.variants())
        row = int(np.argmin(np.abs(looks.times_s - at.time_s)))
        series = np.unwrap(measure(turned, self.place.view), period=360.0)
        line = local_curve(looks.times_s, series, at.time_s, NEAR_S)
        others = np.array([one[row] for one in moved])
        changes = measure(others, self.place.view) - series[row]
        depth = measure(_deeper(turned[row], looks.points.depth_sigma_m[row]), self.place.view)
        inputs = {
            "value_deg": wrap180(line.value),
            "sigma_depth": math.hypot(*map(wrap180, (depth - series[row]).tolist())),
            "sigma_instant": abs(line.slope) * at.sigma_s,
            "sigma_view": math.hypot(*map(wrap180, changes.tolist())),
            "sigma_residual": residual(checkpoint),
        }
        return self._finished(checkpoint, row, {}, inputs)

    def tempo(self, pause: Pause | Missing) -> Reading | Missing:
        """Backswing time over downswing time, of a swing without a stop."""
        stopped = stop_in_it(pause)
        if stopped is not None:
            return stopped
        inputs: Inputs = {
            "sigma_instant": 0.0,
            "sigma_view": 0.0,
            "sigma_residual": residual(C.TEMPO_RATIO),
        }
        for key in (KeyframeId.TAKEAWAY, KeyframeId.TOP, KeyframeId.IMPACT):
            at = self.instants[key]
            if isinstance(at, Missing):
                return at
            inputs[f"{key.value}_s"], inputs[f"sigma_{key.value}_s"] = at.time_s, at.sigma_s
        row = int(np.argmin(np.abs(self.looks.times_s - inputs["top_s"])))
        return self._finished(C.TEMPO_RATIO, row, {}, inputs)

    def stay(self, pause: Pause | Missing) -> Inputs:
        """What the pause's reading keeps of where the hands stayed, and how arm and club stood."""
        if isinstance(pause, Missing):
            return {}
        found = stay.of_pause(self.looks, pause, self.instants)
        hinge = stay.hinge_stay(self.looks, pause)
        if hinge is not None and self.place.view is View.FACE_ON:
            checkpoint = C.HANDS_OVER_TRAIL_SHOULDER
            hands = self._from_points(checkpoint, hinge[0], self._shoulder_line)
            if isinstance(hands, Reading):
                found |= with_sigma(HINGE_HANDS, Estimate(hands.value, hands.sigma))
        return found

    def span(
        self,
        checkpoint: CheckpointId,
        found: StartOrder | Pause | Hold | Missing,
        more: Inputs | None = None,
    ) -> Reading | Missing:
        """A reading that is a time between two instants. ``more``: inputs that say more of it than its length."""
        if isinstance(found, Missing):
            return found
        start, end = found.start, found.end
        inputs: Inputs = {
            "sigma_instant": 0.0,
            "sigma_view": 0.0,
            "sigma_residual": residual(checkpoint),
            "from_s": start.time_s,
            "to_s": end.time_s,
            "sigma_from_s": start.sigma_s,
            "sigma_to_s": end.sigma_s,
            **(more or {}),
        }
        row = int(np.argmin(np.abs(self.looks.times_s - start.time_s)))
        return self._finished(checkpoint, row, {}, inputs)


def view_change(looks: Looks, checkpoint: CheckpointId, row: int) -> Estimate | None:
    """What a reading changes from this camera to the ideal one on a frame, with what azimuth and roll leave.

    For a checkpoint that needs points and nothing else. ``None`` where nothing is known of depths.
    """
    if not looks.moved:
        return None
    here, ideal, *moved = (
        _plain_value(checkpoint, album, row) for album in (looks.here, looks.ideal, *looks.moved)
    )
    if here is None or ideal is None:
        return None
    changes = [abs(one - ideal) for one in moved if one is not None]
    return Estimate(ideal - here, math.hypot(*changes))


def _plain_value(checkpoint: CheckpointId, album: Album, row: int) -> float | None:
    """The formula on one frame of an album, with nothing added and nothing unsure."""
    unsure = dict.fromkeys(("sigma_instant", "sigma_view", "sigma_residual"), 0.0)
    sigmas = {sigma_input(name): 0.0 for name in _points(checkpoint)}
    # Albums are normalised: a right-hander's picture, whose width no formula of points alone needs.
    found = FORMULAS[checkpoint](album.at(row), {**sigmas, **unsure}, Picture(Hand.RIGHT, 0))
    return None if isinstance(found, Missing) else found[0]


def hands_pass_trunk(
    looks: Looks, album: Album, from_s: float, to_s: float, *, rising: bool
) -> tuple[float, float] | None:
    """When the hands pass the height half-way from hips to shoulders (at address), and their column there."""
    level = float(album.address(HIPS)[1] + album.address(SHOULDERS)[1]) / 2.0
    hands = album.middle(HANDS)
    rows = np.flatnonzero((looks.times_s >= from_s) & (looks.times_s <= to_s))
    height = level - hands[rows, 1]
    if not rising:
        height = -height
    passes = np.flatnonzero((height[:-1] < 0.0) & (height[1:] >= 0.0))
    if len(passes) == 0:
        return None
    first = int(passes[0] if rising else passes[-1])
    share = height[first] / (height[first] - height[first + 1])
    one, two = rows[first], rows[first + 1]
    time_s = looks.times_s[one] + share * (looks.times_s[two] - looks.times_s[one])
    column = hands[one, 0] + share * (hands[two, 0] - hands[one, 0])
    return float(time_s), float(column)


# ---------------------------------------------------------------- small parts


def _points(checkpoint: CheckpointId) -> tuple[PointName, ...]:
    return CHECKPOINTS[checkpoint].points


_WIDTHS: Mapping[CheckpointId, Pair] = {
    C.CHEST_TURN: SHOULDERS,
    C.CHEST_TURN_AT_PARALLEL: SHOULDERS,
    C.PELVIS_TURN: HIPS,
    C.PELVIS_TURN_AT_PARALLEL: HIPS,
}


def _onsets(order: StartOrder | Missing) -> Inputs:
    """When each of what moves begins to, beside the two times that the order is made of."""
    if isinstance(order, Missing):
        return {}
    return {
        key: number
        for whose, at in order.onsets.items()
        for key, number in with_sigma(onset_input(whose), Estimate(at.time_s, at.sigma_s)).items()
    }


def _cut_off(hold: Hold | Missing) -> Inputs:
    """That the clip ended before the finish did: the hold is at least as long as it reads."""
    return {CUT_OFF: 1.0} if isinstance(hold, Hold) and hold.cut_off else {}


def _nothing(_: Album) -> Inputs:
    return {}


def _grip_unit(album: Album) -> Inputs:
    """A grip length at the club's distance at address."""
    return {
        "px_per_unit": GRIP_LENGTH_M * album.metre_px[PointName.BUTT],
        "sigma_scale": SCALE_SPREAD,
    }


def _px_factor(name: str, scale: float) -> float:
    """Original pixels per working pixel for inputs in pixels, 1 for the others."""
    return scale if name.startswith(("sigma_px_", "px_per")) or name.endswith("_px") else 1.0


def _width(looks: Looks, album: Album, pair: Pair) -> Inputs:
    lead, trail = (album.address((name,)) for name in pair)
    spread = math.hypot(*(looks.address_sigma((name,)) for name in pair))
    return {"address_width_px": float(lead[0] - trail[0]), "sigma_width_px": spread}


def _stance_px(album: Album) -> float:
    lead, trail = (album.address((name,)) for name in (PointName.LEAD_ANKLE, PointName.TRAIL_ANKLE))
    return float(np.linalg.norm(lead - trail))


def _since(looks: Looks, album: Album, pair: Pair, unit_px: float, spread: float) -> Inputs:
    """Since address, in a unit of so many pixels whose size is unsure by a share ``spread``."""
    feet = looks.address_sigma((PointName.LEAD_ANKLE,)) * math.sqrt(2.0) / max(unit_px, 1.0)
    return {
        "from_x_px": float(album.address(pair)[0]),
        "sigma_from_px": looks.address_sigma(pair),
        "px_per_unit": unit_px,
        "sigma_scale": math.hypot(spread, feet),
    }


def _resized(looks: Looks, album: Album, pair: Pair, at_hips_px: float) -> float:
    """A length seen at the hips' distance, as it looks at the distance of other points."""
    there = float(np.mean([album.metre_px[name] for name in pair]))
    return at_hips_px * there / _hips_metre_px(looks)


def _hips_metre_px(looks: Looks) -> float:
    """Pixels per metre at the middle of the hips at address."""
    return float(np.mean([looks.here.metre_px[name] for name in HIPS]))


def _reference_lean(looks: Looks, album: Album) -> Inputs:
    spine = album.address(SHOULDERS) - album.address(HIPS)
    spread = math.hypot(looks.address_sigma(SHOULDERS), looks.address_sigma(HIPS))
    return {
        "reference_deg": math.degrees(math.atan2(spine[0], -spine[1])),
        "sigma_reference": math.degrees(spread / max(float(np.linalg.norm(spine)), 1.0)),
    }


def _index(name: PointName) -> int:
    return int(POINTS[name])


def _turns(album: Album) -> Array:
    """(n,) turn from arm to shaft, degrees in [0, 360): ``arm_shaft_turn`` of every frame at once."""
    shoulder, wrist, butt, head = (album.places[name] for name in ANGLE_POINTS)
    arm, shaft = shoulder - wrist, head - butt
    turn = np.arctan2(-shaft[:, 1], shaft[:, 0]) - np.arctan2(-arm[:, 1], arm[:, 0])
    wrapped = np.degrees(turn) % 360.0
    return np.where(wrapped == 360.0, 0.0, wrapped)  # noqa: PLR2004 - -1e-17 % 360 is 360.0 in floats


def _deeper(frame: Array, sigma_m: Array) -> Array:
    """(k, k, 3) a frame of k points k times over, each time another point deeper by its one sigma."""
    each = np.repeat(frame[np.newaxis], len(frame), axis=0)
    one = np.arange(len(frame))
    each[one, one, 2] += sigma_m
    return each


def _level(places: Array, view: View) -> Array:
    """(..., 2) X to the target and Y inside of points (..., 3) in the ideal lens frame, metres."""
    if view is View.FACE_ON:
        return places[..., [0, 2]]
    return np.stack([places[..., 2], -places[..., 0]], axis=-1)


def _in_front(frames: Array, view: View) -> Array:
    """(n,) hands against the chest's facing, seen from above: degrees, - dragged to the trail side (C08)."""
    names = (*SHOULDERS, *HANDS)
    seen = _level(frames[:, [_index(name) for name in names]], view)
    lead, trail = seen[:, 0], seen[:, 1]
    line = lead - trail
    along = line / np.maximum(np.linalg.norm(line, axis=1), 1e-6)[:, np.newaxis]
    facing = np.column_stack([along[:, 1], -along[:, 0]])
    reach = np.mean(seen[:, 2:], axis=1) - (lead + trail) / 2.0
    ahead, aside = np.sum(reach * facing, axis=1), np.sum(reach * along, axis=1)
    return np.asarray(np.degrees(np.arctan2(aside, ahead)))


def _across_the_line(frames: Array, view: View) -> Array:
    """(n,) shaft from above: degrees from the target's direction, + across the line."""
    seen = _level(frames[:, [_index(PointName.BUTT), _index(PointName.CLUBHEAD)]], view)
    shaft = seen[:, 1] - seen[:, 0]
    return np.asarray(np.degrees(np.arctan2(-shaft[:, 1], shaft[:, 0])))


_IN_SPACE: Mapping[CheckpointId, Callable[[Array, View], Array]] = {
    C.HANDS_IN_FRONT: _in_front,
    C.SHAFT_AT_TOP: _across_the_line,
}

"""One swing from its gathered frames: instants, points, readings, tracks."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.equipment import BALL_DIAMETER_M
from api.domain.measurement import Estimate, Keyframe, Missing, Point, Reading, Swing
from api.domain.names import Hand, KeyframeId, PointName, View
from api.domain.proof import PLAYS_SLOWLY
from worker.body.joints import BodyTrack, Joint
from worker.body.limbs import with_constant_limbs
from worker.body.networks import LandmarkNetwork
from worker.body.swing_network import AS_JOINT, SwingPoint
from worker.body.swing_track import SwingTrack
from worker.club.ball import Ball
from worker.club.shaft import TURN_MAX_DEG_PER_S, Shaft
from worker.measure import club_reading, rhythm
from worker.measure.filming import Filmed, Size, filmed
from worker.measure.ground import Behind, Ground
from worker.measure.horizon import horizon_seen
from worker.measure.ideal import Space, Stand
from worker.measure.looks import BODY_POINTS, Looks, looks_of_body, looks_of_points
from worker.measure.more_readings import Place, hands_pass_trunk, more_readings, view_change
from worker.measure.posture import Posture, motion, motion_seen, posture, posture_seen
from worker.measure.readings import (
    DEFAULT_RATE_DEG_PER_S,
    Frame,
    Spot,
    butt_end_reading,
    butt_per_degree,
    ground_value,
    lead_arm_shaft_reading,
    shared_instant_sigma,
)
from worker.measure.residuals import instant_residual_s
from worker.measure.setting import (
    Setting,
    px_per_m_from_body,
    settle,
)
from worker.measure.strike import with_strike
from worker.swing import instants
from worker.swing.cycles import RoughSwing
from worker.swing.dense import IMPACT_REACH_S, SwingFrames
from worker.swing.estimates import combine_estimates
from worker.swing.instants import Instant, Motion
from worker.swing.signals import local_curve, local_line
from worker.swing.steady import inverse, move
from worker.video.sound import Strike

Array = NDArray[np.float64]

CLUB_LENGTH_M = Estimate(0.94, 0.09)
"""A club nobody named: between a wedge (35 in, 0.89 m) and a driver (45 in, 1.14 m), irons more
often (common practice, no source)."""
REFINE_S = 0.06
"""Heavy looks reach this far either side of lead arm parallel."""
PLACE_SIGMA_M = 0.05
"""One sigma of a ball's place told by the club at address: half a ball and half a head beside it."""
RATE_REACH_S = 0.06
"""Frames this near lead arm parallel tell how fast the angle changes: three at 30 a second."""
SHAFT_REACH_S = 0.15
"""Shafts this near lead arm parallel tell how fast the shaft turns there."""
ARM_NOISE_DEG = 2.0
"""One sigma of the lead arm's direction from frame to frame (working value), and of the bend of the
angle's course within the reach."""
RATE_UNSURE = 0.2
"""Share of the correction to the instant that stays unsure (working value)."""
DOWN_MAX_S = 0.45
"""Full swings come down in 0.18 to 0.45 s (notes on time); longer is a slow swing or a file stretched in time."""
DOWN_MIN_S = 0.18
"""The same notes' other end; shorter is a file sped up."""
LEVEL_TO_IMPACT_MAX_S = 0.3
"""The same from the level arm, which takes about a third of it (working value): where the top is not known."""
SOUND_SLOWED_MOST = 1.5
"""A file slowed more than this may play its sound slower too, or from another moment, or not at all."""
BALL_ALONE_SURE_M = 0.01
"""A ball that only the network saw counts where its place is surer than this, one sigma (working value: half a
centimetre where there was one, two where there was none)."""
LOW_AFTER_S = 0.2
"""Hands that come down to the ball are no longer up for so long before impact, two looks of the first and a little."""
NO_ARM_NO_TOP = Missing("The lead arm was not seen to come up past level, so no top is told.")
PASS_SIGMA_S = 0.02
"""One sigma within which a clubhead that passes where it rested tells impact by itself (working value: a swing's is
6 ms, and slower means less sure)."""
NO_FOLLOW_THROUGH = "The hands come down, but no follow-through was found."
ADDRESS_S = 0.1
"""Frames so long before the end of stillness show the address."""
CLUBHEAD_END_SIGMA_M = 0.03
"""The line's visible end against the club's length: hosel or toe (working value)."""


@dataclass(frozen=True, slots=True)
class SwingContext:
    """What reading a swing needs besides its frames. Pixels are working pixels.

    ``swings_slowly``: the student said so.
    """

    view: View
    handed: Hand
    width_px: int
    height_px: int
    scale: float
    original_width_px: int
    frame_times_s: tuple[float, ...]
    club_length_m: float | None
    stature_m: float | None
    heavy: LandmarkNetwork | None
    strikes: tuple[Strike, ...] = ()
    swings_slowly: bool = False

    def keyframe(self, instant: Instant | Missing) -> Keyframe | Missing:
        """The instant with its nearest shown frame."""
        if isinstance(instant, Missing):
            return instant
        times = np.array(self.frame_times_s)
        frame = int(np.argmin(np.abs(times - instant.time_s)))
        return Keyframe(instant.time_s, instant.sigma_s, frame)


PointTrack = dict[int, dict[PointName, tuple[float, float, float]]]
"""Frame -> point -> (x, y, one sigma), original display pixels."""


@dataclass(frozen=True, slots=True)
class SwingResult:
    """One swing measured. ``px_per_m`` and the still track serve the view's check."""

    swing: Swing
    points: PointTrack
    still: BodyTrack
    setting: Setting
    filmed: Filmed
    stand: Stand | None = None


def read_swing(frames: SwingFrames, rough: RoughSwing, context: SwingContext) -> SwingResult:
    """Measure one swing from what the second look kept of it."""
    reader = _Reader(frames, rough, context)
    return reader.read()


class _Reader:
    """Steps of one swing's reading; each writes what the next needs."""

    def __init__(self, frames: SwingFrames, rough: RoughSwing, context: SwingContext) -> None:
        self.frames, self.rough, self.context = frames, rough, context
        self._take_in()
        if frames.points is not None:
            distance_m, until_s = self.setting.distance_m.value, rough.impact_s or rough.end_s
            frames.points = with_constant_limbs(
                frames.points, self._middle, self.setting.focal_px, distance_m, until_s
            )
            frames.track = frames.points.as_body()
            self._take_in()
        self.club_m = (
            Estimate(context.club_length_m, 0.01) if context.club_length_m else CLUB_LENGTH_M
        )
        self.club_px = self.club_m.value * self.scale.value

    def _take_in(self) -> None:
        """The track, and what it tells of scale, lens and distance."""
        self.track = self.frames.track
        self.still = _still_part(self.track, self.rough)
        self.scale = px_per_m_from_body(self.still, self.context.stature_m)
        self.setting = self._settled(float(np.median(self.still.hands[:, 1])))

    def _settled(self, hands_row: float) -> Setting:
        context, points = self.context, self.frames.points
        setting = settle(self.scale, context.width_px, context.height_px, hands_row)
        if points is None:
            return setting
        until_s = self.rough.top_s
        roll = Stand.judged(points, until_s).roll.value
        seen = horizon_seen(points, setting, self._middle, roll, until_s)
        return replace(setting, horizon_row=combine_estimates(setting.horizon_row, seen))

    def read(self) -> SwingResult:
        found = self._instants()
        back = club_reading.background(self.frames)
        start = _time(found[KeyframeId.TAKEAWAY], self.rough.start_s)
        impact_guess = self.rough.impact_s
        ground = club_reading.ground(
            self.frames, self.context.view, self.scale.value, start, impact_guess
        )
        ball = self._ball(ground.ball, start)
        found[KeyframeId.IMPACT] = self._impact(ground.impact, found, ball)
        shafts = self._shafts(back, found[KeyframeId.LEAD_ARM_PARALLEL])
        at_address = self._shaft_at_address(
            back, _time(found[KeyframeId.ADDRESS], self.rough.start_s)
        )
        # Shown, and its place told, only where a ball was seen to leave; where it lies is the sharper of the two.
        shown = ball if isinstance(ground.ball, Ball) else ground.ball
        self.looks = self._looks(found, ball)
        checkpoints = {
            **self._other_views(),
            **self._more(found, shown, self.looks),
            **self._checkpoints(found, shafts, at_address, ball),
        }
        checkpoints = {key: checkpoints[key] for key in CheckpointId}
        keyframes = {key: self.context.keyframe(_widened(key, found[key])) for key in KeyframeId}
        points = self._points(shafts, at_address, shown, found[KeyframeId.ADDRESS])
        return SwingResult(
            Swing(keyframes, checkpoints),
            points,
            self.still,
            self.setting,
            self._filmed(),
            self.looks.stand,
        )

    def _filmed(self) -> Filmed:
        """How it was filmed, by what is seen alone: what the guide asks for would hide a lens that is elsewhere."""
        setting, points, stand = self.setting, self.frames.points, self.looks.stand
        if points is not None and stand is not None:
            roll, until_s = stand.roll.value, self.rough.top_s
            horizon = horizon_seen(points, setting, self._middle, roll, until_s)
            setting = replace(setting, horizon_row=horizon)
        return filmed(
            self.frames.moves,
            points,
            self.still,
            setting,
            stand,
            Size(self.context.width_px, self.context.height_px),
            self.context.view,
            self.rough.impact_s or self.rough.top_s,
        )

    # ------------------------------------------------------------ instants

    def _instants(self) -> dict[KeyframeId, Instant | Missing]:
        body, moves = self._signals()
        lap = self._lead_arm_parallel(moves)
        if isinstance(lap, Instant):
            self._look_again(lap.time_s)
            body, moves = self._signals()
            lap = self._lead_arm_parallel(moves)
        self.body, self.moves = body, moves
        lap_s = _time(lap, self.rough.raised_s)
        start = self._takeaway(moves, min(lap_s, self.rough.raised_s))
        down_end = self.rough.impact_s or self.rough.end_s
        top = instants.top(moves, lap_s + 0.03, down_end)
        top_s = _time(top, self.rough.top_s)
        passed: Instant | Missing = Missing("This is read from a face-on clip.")
        if self.context.view is View.FACE_ON:
            passed = instants.hands_past_leg(
                moves,
                self.track.of(Joint.TRAIL_HIP),
                self.track.of(Joint.TRAIL_ANKLE),
                _time(start, self.rough.start_s),
                lap_s,
                0.01 * body.stature_px,
            )
        done = self.rough.impact_s
        early = {
            KeyframeId.ADDRESS: instants.address(moves, start),
            KeyframeId.TAKEAWAY: start,
            KeyframeId.HANDS_PAST_TRAIL_LEG: passed,
            KeyframeId.LEAD_ARM_PARALLEL: lap,
        }
        if done is None:
            return early | self._without_impact(moves, start, lap)
        return early | {
            KeyframeId.TOP: top,
            KeyframeId.LEAD_ARM_PARALLEL_DOWN: instants.arm_level_down(moves, top_s, done + 0.05),
            KeyframeId.DELIVERY: instants.delivery(moves, top_s, done + 0.03),
            KeyframeId.FINISH: instants.finish(moves, done, self.rough.slowed),
        }

    def _without_impact(
        self, moves: Motion, start: Instant | Missing, lap: Instant | Missing
    ) -> dict[KeyframeId, Instant | Missing]:
        """From the top on where the first look saw no follow-through: what the film still shows of it.

        A way down slower than the way back (a club that is put down again) is none of a swing.
        """
        rough, ends = self.rough, self._film_ends()
        last_s = rough.end_s + LOW_AFTER_S
        turn = instants.Turn(NO_ARM_NO_TOP)
        if isinstance(lap, Instant):
            turn = instants.turn_without_impact(moves, lap.time_s + 0.03, last_s, ends=ends)
        found: dict[KeyframeId, Instant | Missing] = {KeyframeId.TOP: turn.top}
        names = {
            KeyframeId.LEAD_ARM_PARALLEL_DOWN: "the lead arm is level on the way down",
            KeyframeId.DELIVERY: "the shaft is level on the way down",
            KeyframeId.IMPACT: "impact is seen",
            KeyframeId.FINISH: "the finish",
        }
        if not turn.fast:
            none = _no_downswing(turn, ends=ends)
            return found | dict.fromkeys(names, none)
        too_soon = {key: Missing(f"The film ends before {name}.") for key, name in names.items()}
        found |= too_soon if ends else dict.fromkeys(names, Missing(NO_FOLLOW_THROUGH))
        top_s = _time(turn.top, rough.top_s)
        for key, look in (
            (KeyframeId.LEAD_ARM_PARALLEL_DOWN, instants.arm_level_down),
            (KeyframeId.DELIVERY, instants.delivery),
        ):
            seen = look(moves, top_s, last_s)
            # Without a club it is not the film's end that hides it.
            if isinstance(seen, Instant) or (key is KeyframeId.DELIVERY and moves.club is None):
                found[key] = seen
        down = found[KeyframeId.DELIVERY]
        if isinstance(down, Instant) and ends:
            # The film may end just after impact: told where the clubhead is seen to pass where it rested.
            rest_s = _time(start, rough.start_s)
            hit = instants.impact_by_club(moves, rest_s, down.time_s, float(moves.times_s[-1]))
            # A club that is put back behind the ball is slow there.
            if isinstance(hit, Instant) and hit.sigma_s <= PASS_SIGMA_S:
                found[KeyframeId.IMPACT] = hit
        return found

    def _film_ends(self) -> bool:
        """Whether the film ends with the swing: the hands come down no more, or have just come down."""
        return self.context.frame_times_s[-1] - self.rough.end_s < 2.0 * LOW_AFTER_S

    def _takeaway(self, moves: Motion, before_s: float) -> Instant | Missing:
        if self.context.view is View.DOWN_THE_LINE and moves.hands_in_space is not None:
            return instants.takeaway_from_behind(moves, before_s)
        return instants.takeaway(moves, before_s)

    def _signals(self) -> tuple[Posture, Motion]:
        if self.frames.points is not None:
            body = posture_seen(self.frames.points, self.still)
            return body, self._signals_seen(self.frames.points)
        body = posture(self.track, self.still, self.context.view)
        return body, motion(self.track, self.still, body, self.context.view, self.setting)

    def _signals_seen(self, points: SwingTrack) -> Motion:
        times = points.times_s
        calm = (times >= self.still.times_s[0]) & (times <= self.still.times_s[-1])
        space = Space.of(points, self.setting, self.context.view, self._middle, calm)
        stand = Stand.judged(points, self.rough.top_s)
        return motion_seen(points, self.track, self.still, self.setting, space, stand)

    @property
    def _middle(self) -> Point:
        """The pixel that the line of sight meets."""
        return (self.context.width_px - 1) / 2.0, (self.context.height_px - 1) / 2.0

    def _impact(
        self,
        by_ball: Instant | Missing,
        found: Mapping[KeyframeId, Instant | Missing],
        ball: Ball | Missing,
    ) -> Instant | Missing:
        """When the ball leaves; where none is seen to, when the clubhead is back; and when the strike is heard."""
        done = self.rough.impact_s
        if done is None:
            return found[KeyframeId.IMPACT]
        seen = self._impact_seen(by_ball, found, done)
        if self.rough.slowed > SOUND_SLOWED_MOST:
            return seen
        return with_strike(
            seen,
            self.context.strikes,
            done,
            self.setting.distance_m,
            ball=isinstance(ball, Ball),
        )

    def _impact_seen(
        self,
        by_ball: Instant | Missing,
        found: Mapping[KeyframeId, Instant | Missing],
        done: float,
    ) -> Instant | Missing:
        if isinstance(by_ball, Instant) or self.moves.club is None:
            return by_ball
        after = _time(found[KeyframeId.DELIVERY], _time(found[KeyframeId.TOP], self.rough.top_s))
        rest_s = _time(found[KeyframeId.TAKEAWAY], self.rough.start_s)
        by_club = instants.impact_by_club(self.moves, rest_s, after, done + IMPACT_REACH_S)
        return by_ball if isinstance(by_club, Missing) else by_club

    def _lead_arm_parallel(self, moves: Motion) -> Instant | Missing:
        last = self.rough.impact_s or self.rough.end_s
        return instants.arm_level_up(moves, self.rough.start_s, last)

    def _look_again(self, time_s: float) -> None:
        """Replace the points near an instant by the heavy network's, plain and mirrored."""
        if self.context.heavy is None:
            return
        xy = self.track.xy.copy()
        for i in np.flatnonzero(np.abs(self.track.times_s - time_s) <= REFINE_S):
            patch = self.frames.patches.get(int(self.track.frames[i]))
            if patch is not None:
                steady = self.frames.moves[int(self.track.frames[i])]
                xy[i] = move(steady, patch.points(self.context.heavy))
        self.track = replace(self.track, xy=xy)
        self.frames.track = self.track

    # ------------------------------------------------------------ club

    def _shafts(
        self, back: NDArray[np.float32], lap: Instant | Missing
    ) -> dict[int, Shaft | Missing]:
        if isinstance(lap, Missing):
            return {}
        points = self.frames.points
        if points is not None:
            return club_reading.shafts_both(self.frames, points, back, lap.time_s, self.club_px)
        return club_reading.shafts_about(self.frames, back, lap.time_s, self.club_px)

    def _ball(self, left: Ball | Missing, start_s: float) -> Ball | Missing:
        """The ball's place. ``left``: the spot that was seen to leave.

        The swing network places a ball better than a spot does, but it also knows where one would lie where
        there is none: without a spot that left, its place counts only where it is sure, and then as no better
        than the clubhead's at address.
        """
        if self.frames.points is None:
            return left
        seen = club_reading.ball_seen(self.frames.points, start_s, self.scale.value)
        if isinstance(seen, Missing):
            return left
        if isinstance(left, Ball):
            apart = math.hypot(*(a - b for a, b in zip(seen.centre, left.centre, strict=True)))
            reach = BALL_DIAMETER_M * self.scale.value + 2.0 * (seen.sigma_px + left.sigma_px)
            doubt = 0.0 if apart <= reach else apart / 2.0
            return replace(seen, sigma_px=math.hypot(seen.sigma_px, doubt))
        if seen.sigma_px > BALL_ALONE_SURE_M * self.scale.value:
            return left
        return replace(seen, sigma_px=max(seen.sigma_px, PLACE_SIGMA_M * self.scale.value))

    def _shaft_at_address(self, back: NDArray[np.float32], address_s: float) -> Shaft | Missing:
        points = self.frames.points
        if points is not None:
            row = int(np.argmin(np.abs(points.times_s - address_s)))
            return club_reading.shaft_seen(points, row, self.club_px)
        return club_reading.shaft_at_address(self.frames, back, address_s, self.club_px)

    # ------------------------------------------------------------ readings

    def _checkpoints(
        self,
        found: Mapping[KeyframeId, Instant | Missing],
        shafts: Mapping[int, Shaft | Missing],
        at_address: Shaft | Missing,
        ball: Ball | Missing,
    ) -> dict[CheckpointId, Reading | Missing]:
        face_on = self.context.view is View.FACE_ON
        wanted = CheckpointId.LEAD_ARM_SHAFT_ANGLE if face_on else CheckpointId.BUTT_END_INSIDE
        result: dict[CheckpointId, Reading | Missing] = {}
        lap = found[KeyframeId.LEAD_ARM_PARALLEL]
        if isinstance(lap, Missing):
            result[wanted] = lap
            return result
        row = self.track.nearest(lap.time_s)
        shaft = shafts.get(int(self.track.frames[row]), Missing("The shaft could not be found."))
        if isinstance(shaft, Missing):
            result[wanted] = shaft
            return result
        if face_on:
            result[wanted] = self._angle(lap, row, shaft, shafts)
        else:
            result[wanted] = self._butt_end(lap, row, shaft, shafts, at_address, ball)
        return result

    def _other_views(self) -> dict[CheckpointId, Reading | Missing]:
        """What the clip's own view cannot show."""
        return {
            checkpoint: Missing(f"This is read from a {definition.views[0].value} clip.")
            for checkpoint, definition in CHECKPOINTS.items()
            if self.context.view not in definition.views
        }

    def _looks(self, found: Mapping[KeyframeId, Instant | Missing], ball: Ball | Missing) -> Looks:
        still, rest = self._at_rest(found[KeyframeId.ADDRESS])
        if self.frames.points is None:
            return looks_of_body(
                self.track,
                still,
                rest,
                stature_px=self.body.stature_px,
                px_per_m=self.scale.value,
            )
        points = self.frames.points
        if isinstance(ball, Ball):
            points = points.with_ball(ball.centre, ball.sigma_px)
        return looks_of_points(
            points,
            self.setting,
            self.context.view,
            self._middle,
            still,
            rest,
            stature_px=self.body.stature_px,
            until_s=_time(found[KeyframeId.TOP], self.rough.top_s),
        )

    def _at_rest(self, address: Instant | Missing) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
        """Frames at address, and frames in which the body has not begun to shift.

        Address is where the hands still rest; the body may have shifted by then.
        """
        times = self.track.times_s
        calm = (times >= self.still.times_s[0]) & (times <= self.still.times_s[-1])
        if isinstance(address, Missing):
            return calm, np.zeros(len(times), dtype=bool)
        at = (times >= address.time_s - ADDRESS_S) & (times <= address.time_s + 1e-3)
        since = address.time_s - rhythm.FIRST_MOVES_S
        rest = (times >= since - rhythm.CALM_S) & (times <= since)
        return (at if at.any() else calm), rest

    def _more(
        self,
        found: Mapping[KeyframeId, Instant | Missing],
        ball: Ball | Missing,
        looks: Looks,
    ) -> dict[CheckpointId, Reading | Missing]:
        """Everything besides the two main readings."""
        start, parallel, top, impact = (
            found[key]
            for key in (
                KeyframeId.TAKEAWAY,
                KeyframeId.LEAD_ARM_PARALLEL,
                KeyframeId.TOP,
                KeyframeId.IMPACT,
            )
        )
        shaft = None if self.moves.club is None else self.moves.club.shaft
        moments = {
            CheckpointId.CLUBHEAD_INSIDE_EARLY: rhythm.shaft_level_back(
                looks, shaft, start, parallel
            ),
            CheckpointId.PATH_OUTSIDE: _path_instant(looks, top, impact),
            CheckpointId.HANDS_OVER_TRAIL_SHOULDER: rhythm.shaft_half_up(looks, start, top),
        }
        end_s = self.context.frame_times_s[-1]
        impact_s = self.rough.impact_s if isinstance(impact, Missing) else impact.time_s
        pause = rhythm.pause(looks, start, top, impact_s, end_s)
        left = _left_top(top, pause)
        slow = _slowed(found[KeyframeId.LEAD_ARM_PARALLEL_DOWN], left, impact_s)
        sped = _sped_up(left, impact_s)
        # A slow swing is what a drill asks for: who says so is believed, and the readings say that it was.
        unsaid = None if self.context.swings_slowly else slow
        unsaid = sped or unsaid
        times = (
            sped
            or slow
            or rhythm.start_order(looks, start, found[KeyframeId.HANDS_PAST_TRAIL_LEG]),
            unsaid or pause,
            unsaid or rhythm.hold(looks, found[KeyframeId.FINISH], self.still.torso_px(), end_s),
        )
        place = Place(
            self.context.view, self.context.handed, self.context.original_width_px, self._frame
        )
        more = more_readings(looks, found, moments, times, place)
        # Also where the pause itself is not told in seconds: a stop in it makes any tempo meaningless.
        stopped = rhythm.stop_in_it(pause)
        if stopped is not None and isinstance(more[CheckpointId.TEMPO_RATIO], Reading):
            more[CheckpointId.TEMPO_RATIO] = stopped
        if isinstance(ball, Missing) and CheckpointId.BALL_POSITION in more:
            more[CheckpointId.BALL_POSITION] = ball
        return more if slow is None else more | _of_a_slow_swing(more)

    def _frame(self, row: int) -> Frame:
        context = self.context
        number = int(self.track.frames[row])
        return Frame(
            number=number,
            handed=context.handed,
            width_px=context.original_width_px,
            scale=context.scale,
            unsteady=inverse(self.frames.moves[number]),
        )

    def _off_s(self, lap: Instant, row: int) -> float:
        """How far the shown frame lies from the instant, seconds."""
        return float(self.track.times_s[row]) - lap.time_s

    def _shaft_spots(self, shaft: Shaft) -> dict[PointName, Spot]:
        """Butt end and clubhead; their sigmas give back the direction's sigma."""
        butt = club_reading.butt_of(shaft, self.scale.value)
        length = math.hypot(shaft.far[0] - butt[0], shaft.far[1] - butt[1])
        sigma = math.radians(shaft.sigma_deg) * length / math.sqrt(2.0)
        ends = shaft.ends_sigma_px or (sigma, sigma)
        return {
            PointName.BUTT: Spot(butt, ends[0]),
            PointName.CLUBHEAD: Spot(shaft.far, ends[1]),
        }

    def _angle(
        self, lap: Instant, row: int, shaft: Shaft, shafts: Mapping[int, Shaft | Missing]
    ) -> Reading | Missing:
        shoulder = self.body.lead_shoulder[row]
        wrist = self.track.of(Joint.LEAD_WRIST)[row]
        spots = {
            PointName.LEAD_SHOULDER: Spot(
                (float(shoulder[0]), float(shoulder[1])), float(self.body.sigma_px[row])
            ),
            PointName.LEAD_WRIST: Spot(
                (float(wrist[0]), float(wrist[1])), self._joint_sigma_px(row, Joint.LEAD_WRIST)
            ),
            **self._shaft_spots(shaft),
        }
        shaft_rate, arm_rate = self._shaft_rate(lap, shafts), self._arm_rate(lap)
        off_s = self._off_s(lap, row)
        rate = self._angle_rate(lap, shafts)
        # Where the rate is known the frame's distance is corrected for; a fifth of it stays unsure.
        instant = shared_instant_sigma(
            lap.sigma_s,
            off_s if rate is None else RATE_UNSURE * off_s,
            shaft_rate=shaft_rate,
            arm_rate=arm_rate,
        )
        to_instant = 0.0 if rate is None else -rate * off_s
        view = view_change(self.looks, CheckpointId.LEAD_ARM_SHAFT_ANGLE, row)
        return lead_arm_shaft_reading(spots, instant, self._frame(row), to_instant, view)

    def _angle_rate(self, lap: Instant, shafts: Mapping[int, Shaft | Missing]) -> float | None:
        """How fast the angle between lead arm and shaft changes, degrees a second.

        ``None`` where too few frames show it.
        """
        times, angles, sigmas = [], [], []
        arm = self.body.lead_shoulder - self.track.of(Joint.LEAD_WRIST)
        for i, frame in enumerate(self.track.frames):
            shaft = shafts.get(int(frame))
            near = abs(float(self.track.times_s[i]) - lap.time_s) <= RATE_REACH_S
            if near and isinstance(shaft, Shaft):
                arm_deg = math.degrees(math.atan2(-arm[i, 1], arm[i, 0]))
                times.append(float(self.track.times_s[i]))
                angles.append(abs((arm_deg - shaft.direction_deg + 180.0) % 360.0 - 180.0))
                sigmas.append(shaft.sigma_deg)
        if len(times) < 3:  # noqa: PLR2004 - a rate from fewer frames is noise
            return None
        since, turned = np.array(times) - lap.time_s, np.array(angles)
        slope, middle = np.polyfit(since, turned, 1)
        # One shaft far off the line of the others would make a rate of its own.
        allowed = 3.0 * np.hypot(np.array(sigmas), ARM_NOISE_DEG)
        if np.any(np.abs(turned - middle - slope * since) > allowed):
            return None
        return float(slope) if abs(slope) <= TURN_MAX_DEG_PER_S else None

    def _joint_sigma_px(self, row: int, joint: Joint) -> float:
        points = self.frames.points
        if points is not None:
            return float(points.sigma_px[row, AS_JOINT[joint]])
        return 0.005 * self.body.stature_px

    def _arm_rate(self, lap: Instant) -> float:
        """How fast the lead arm's line turns, degrees per second."""
        arm = self.body.lead_shoulder - self.track.of(Joint.LEAD_WRIST)
        turns = np.degrees(np.unwrap(np.arctan2(-arm[:, 1], arm[:, 0])))
        return local_line(self.track.times_s, turns, lap.time_s, 0.05).slope

    def _shaft_rate(self, lap: Instant, shafts: Mapping[int, Shaft | Missing]) -> float:
        """How fast the shaft turns, degrees per second."""
        times, angles = [], []
        for i, frame in enumerate(self.track.frames):
            shaft = shafts.get(int(frame))
            near = abs(float(self.track.times_s[i]) - lap.time_s) <= SHAFT_REACH_S
            if near and isinstance(shaft, Shaft):
                times.append(float(self.track.times_s[i]))
                angles.append(shaft.direction_deg)
        if len(times) < 4:  # noqa: PLR2004 - a rate from fewer frames is noise
            return DEFAULT_RATE_DEG_PER_S
        turns = np.degrees(np.unwrap(np.radians(angles)))
        return local_line(np.array(times), turns, lap.time_s, 0.05).slope

    def _butt_end(
        self,
        lap: Instant,
        row: int,
        shaft: Shaft,
        shafts: Mapping[int, Shaft | Missing],
        at_address: Shaft | Missing,
        ball: Ball | Missing,
    ) -> Reading | Missing:
        place = self._ball_spot(ball, at_address)
        if isinstance(place, Missing):
            return place
        spots = {**self._shaft_spots(shaft), PointName.BALL: place}
        scale = self._scale_at_ball(place, at_address)
        behind = Behind.judged(self.setting, scale, self._middle, self.looks.stand)
        per_degree = butt_per_degree(shaft.direction_deg)
        off_s = self._off_s(lap, row)
        frame = self._frame(row)

        by_turn = per_degree * abs(self._shaft_rate(lap, shafts))

        def reading(instant: float, to_instant: float) -> Reading | Missing:
            return butt_end_reading(spots, instant, per_degree, frame, behind, to_instant)

        plain = reading(by_turn * math.hypot(lap.sigma_s, off_s), 0.0)
        if isinstance(plain, Missing):
            return plain
        course = self._butt_course(lap, shafts, place, behind.ground)
        if course is None:
            return plain
        line = course(lap.time_s)
        # Where its course is known the frame's distance is corrected for; a fifth of it stays unsure. The
        # course also has in it that the hands move, and it bends: with the shaft still low it sweeps the ground.
        instant_s = math.hypot(lap.sigma_s, RATE_UNSURE * off_s)
        by_course = max(abs(course(lap.time_s + way * instant_s) - line) for way in (-1.0, 1.0))
        return reading(max(by_turn * instant_s, by_course), line - plain.value)

    def _butt_course(
        self,
        lap: Instant,
        shafts: Mapping[int, Shaft | Missing],
        ball: Spot,
        ground: Ground,
    ) -> Callable[[float], float] | None:
        """The reading at a time near the instant, from the frames around it; ``None`` where too few show it."""
        reach_s = max(RATE_REACH_S, 2.0 * lap.sigma_s)
        times, values = [], []
        for row, number in enumerate(self.track.frames):
            shaft = shafts.get(int(number))
            near = abs(float(self.track.times_s[row]) - lap.time_s) <= reach_s
            if near and isinstance(shaft, Shaft):
                spots = {**self._shaft_spots(shaft), PointName.BALL: ball}
                value = ground_value(ground, spots)
                if value is not None:
                    times.append(float(self.track.times_s[row]))
                    values.append(value)
        if len(times) < 3:  # noqa: PLR2004 - a course through fewer is noise
            return None
        return lambda time_s: (
            local_curve(np.array(times), np.array(values), time_s, RATE_REACH_S).value
        )

    def _ball_spot(self, ball: Ball | Missing, at_address: Shaft | Missing) -> Spot | Missing:
        if isinstance(ball, Ball):
            return Spot(ball.centre, ball.sigma_px)
        if isinstance(at_address, Shaft):
            # The clubhead stands for the ball: half a ball and half a head beside it.
            return Spot(at_address.far, PLACE_SIGMA_M * self.scale.value)
        return Missing("Neither the ball nor the clubhead at address could be found.")

    def _scale_at_ball(self, place: Spot, at_address: Shaft | Missing) -> Estimate:
        """Pixels per metre from the body and from the club at address, weighed."""
        row = self.track.nearest(self.rough.start_s)
        hands = self.still.hands[-1] if len(self.still) else self.track.hands[row]
        end = at_address.far if isinstance(at_address, Shaft) else place.at
        spread = CLUBHEAD_END_SIGMA_M if isinstance(at_address, Shaft) else 0.06
        seen_m = self.club_m.value - club_reading.HANDS_BELOW_BUTT_M
        value = float(np.hypot(end[0] - hands[0], end[1] - hands[1])) / seen_m
        share = math.hypot(spread, self.club_m.sigma) / seen_m
        return combine_estimates(self.scale, Estimate(value, value * share))

    # ------------------------------------------------------------ tracks

    def _points(
        self,
        shafts: Mapping[int, Shaft | Missing],
        at_address: Shaft | Missing,
        ball: Ball | Missing,
        address: Instant | Missing,
    ) -> PointTrack:
        out: PointTrack = {}
        address_row = None if isinstance(address, Missing) else self.track.nearest(address.time_s)
        for row, frame in enumerate(self.track.frames):
            spots = {
                name: Spot(_pair(self.track.xy[row, joint]), self._joint_sigma_px(row, joint))
                for name, joint in BODY_POINTS.items()
            }
            spots[PointName.LEAD_SHOULDER] = self._shown_shoulder(row)
            shaft = shafts.get(int(frame))
            if row == address_row and isinstance(at_address, Shaft):
                shaft = at_address
            if isinstance(shaft, Shaft):
                spots.update(self._shaft_spots(shaft))
            elif self.frames.points is not None:
                spots.update(_club_spots(self.frames.points, row))
            if isinstance(ball, Ball):
                spots[PointName.BALL] = Spot(ball.centre, ball.sigma_px)
            out[int(frame)] = self._originals(row, spots)
        return out

    def _shown_shoulder(self, row: int) -> Spot:
        """The lead shoulder to draw. From behind the model holds only at lead arm parallel."""
        sigma = float(self.body.sigma_px[row])
        if self.context.view is View.FACE_ON:
            return Spot(_pair(self.body.lead_shoulder[row]), sigma)
        if self.frames.points is not None:
            return Spot(_pair(self.body.lead_shoulder[row]), sigma)
        return Spot(_pair(self.track.of(Joint.LEAD_SHOULDER)[row]), 2.0 * sigma)

    def _originals(
        self, row: int, spots: Mapping[PointName, Spot]
    ) -> dict[PointName, tuple[float, float, float]]:
        frame = self._frame(row)
        return {
            name: (*frame.original(spot.at), spot.sigma_px * frame.scale)
            for name, spot in spots.items()
        }


def _club_spots(points: SwingTrack, row: int) -> dict[PointName, Spot]:
    """The club's two ends as the swing network sees them on a frame."""
    return {
        name: Spot(_pair(points.xy[row, point]), float(points.sigma_px[row, point]))
        for name, point in (
            (PointName.BUTT, SwingPoint.BUTT),
            (PointName.CLUBHEAD, SwingPoint.HOSEL),
        )
    }


def _widened(key: KeyframeId, instant: Instant | Missing) -> Instant | Missing:
    """The instant as it is told, with what its own sigma was seen to leave out.

    Readings carry a residual of their own, fitted with this one outside: it must not count twice.
    """
    if isinstance(instant, Missing):
        return instant
    return replace(instant, sigma_s=math.hypot(instant.sigma_s, instant_residual_s(key)))


def _no_downswing(turn: instants.Turn, *, ends: bool) -> Missing:
    """Why nothing is told of the way down where the hands do not come down as in a swing."""
    if isinstance(turn.top, Missing):
        return turn.top
    if not turn.turned:
        return Missing("The swing stops at the top: no downswing follows in this film.")
    if ends:
        return Missing("The film ends too soon after the top to tell a downswing.")
    return Missing("The hands come down more slowly than they went up: no downswing was found.")


def _slowed(
    level: Instant | Missing, top: Instant | Missing, impact_s: float | None
) -> Missing | None:
    """Why seconds of this file mean nothing, if they do not: a slowed export looks like a slow swing.

    ``level``: lead arm parallel coming down; ``top``: when the way down begins. What is unsure about the top
    is on the swing's side: it must be clearly too long.
    """
    if impact_s is None:
        return None
    late = not isinstance(level, Missing) and impact_s - level.time_s > LEVEL_TO_IMPACT_MAX_S
    long = not isinstance(top, Missing) and impact_s - top.time_s - 2.0 * top.sigma_s > DOWN_MAX_S
    if not late and not long:
        return None
    return Missing(
        "The club takes longer to come down than in a full swing: a slow swing or a slowed file, so its "
        "seconds cannot be told."
    )


def _sped_up(top: Instant | Missing, impact_s: float | None) -> Missing | None:
    """The same of a file that plays faster than life; ``top``: when the way down begins."""
    if impact_s is None or isinstance(top, Missing):
        return None
    if impact_s - top.time_s + 2.0 * top.sigma_s >= DOWN_MIN_S:
        return None
    return Missing(
        "The club comes down in less time than in any swing: the file plays faster than life, so its seconds "
        "cannot be told."
    )


def _left_top(top: Instant | Missing, pause: rhythm.Pause | Missing) -> Instant | Missing:
    """When the way down begins: the end of a stop at the top, whose middle the top is."""
    if isinstance(top, Missing) or isinstance(pause, Missing):
        return top
    # A stay too short to be a stop is the turn itself.
    ends = [
        stay.end.time_s
        for stay in pause.stays
        if stay.start.time_s <= top.time_s <= stay.end.time_s
        and stay.length_s >= instants.PAUSE_MIN_S
    ]
    return replace(top, time_s=max(ends)) if ends else top


def _of_a_slow_swing(
    readings: Mapping[CheckpointId, Reading | Missing],
) -> dict[CheckpointId, Reading | Missing]:
    """What is told in seconds of a swing that plays slowly, with the mark that says so."""
    return {
        checkpoint: replace(reading, inputs={**reading.inputs, PLAYS_SLOWLY: 1.0})
        for checkpoint in (CheckpointId.PAUSE_LENGTH, CheckpointId.FINISH_HOLD)
        if isinstance(reading := readings[checkpoint], Reading)
    }


def _path_instant(
    looks: Looks, top: Instant | Missing, impact: Instant | Missing
) -> Instant | Missing:
    """When the hands come down past half-way up the trunk."""
    if isinstance(top, Missing):
        return top
    if isinstance(impact, Missing):
        return impact
    down = hands_pass_trunk(looks, looks.ideal, top.time_s, impact.time_s + 0.05, rising=False)
    if down is None:
        return Missing("The hands were not seen to pass half-way up the trunk both ways.")
    # The pass is found on the path itself: its time moves the place by nothing.
    return Instant(down[0], 0.0)


def _pair(values: Sequence[float] | Array) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _time(instant: Instant | Missing, otherwise_s: float) -> float:
    return otherwise_s if isinstance(instant, Missing) else instant.time_s


def _still_part(track: BodyTrack, rough: RoughSwing) -> BodyTrack:
    """Frames of the address: the last half second before the rough start, else the first few."""
    part = track.part(rough.start_s - 0.5, rough.start_s)
    if len(part) >= 3:  # noqa: PLR2004 - a median needs three
        return part
    return track.part(float(track.times_s[0]), float(track.times_s[min(4, len(track) - 1)]))

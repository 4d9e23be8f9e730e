"""The whole clip as a function of time: ``make_motion(dials).at(time_s)``."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
from scipy.interpolate import Akima1DInterpolator
from scipy.spatial.transform import Rotation, RotationSpline

from tests.studio.body import Body, load_body
from tests.studio.club import LIE_DEG, Club, load_club
from tests.studio.dials import ClipDials
from tests.studio.pose import Array, ClubPoint, Joint, Pose
from tests.studio.swing.holds import (
    Grip,
    Hold,
    address_hold,
    all_holds,
    fitting_bow,
    impact_hold,
)
from tests.studio.swing.keys import (
    BALL_FROM_MIDDLE_M,
    LEAST_KNEE_FLEX_DEG,
    STANCE_M,
    TRUNK_CHANNELS,
    Phase,
    Trunk,
    trunk,
)
from tests.studio.swing.skeleton import SIDES, Posture, Skeleton, Stance
from tests.studio.swing.soles import Lift
from tests.studio.swing.timing import RETURN_PHASE, Schedule, make_schedule, phase_curve
from tests.studio.swing.turns import Matrix, Vector

TRIGGER_M, TRIGGER_S = 0.022, 0.22
FORGET_S = 0.8
"""After a swing that stopped at the top the pelvis goes back with it in this time."""

BALL_SPEED_M_PER_S, BALL_LAUNCH_DEG = 50.0, 16.0
NEXT_BALL_PHASE = 8.7
"""On the way back to address the next ball lies there."""

POLE_PHASES = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 8.5, 9.0)
LEAD_POLES = (
    (0.6, 0.5, -0.5),
    (0.5, -0.2, -0.8),
    (0.1, -0.3, -1.0),
    (0.1, -0.4, -0.9),
    (0.1, -0.3, -1.0),
    (0.5, 0.0, -0.8),
    (0.6, 0.5, -0.5),
    (0.2, 0.6, -0.8),
    (0.5, 0.3, -0.9),
    (0.6, 0.3, -0.7),
    (0.6, 0.5, -0.5),
)
TRAIL_POLES = (
    (-0.6, 0.5, -0.5),
    (-0.4, 0.6, -0.6),
    (-0.1, 0.4, -1.0),
    (-0.2, 0.1, -1.0),
    (0.0, 0.2, -1.0),
    (0.2, 0.1, -1.0),
    (-0.2, 0.3, -0.9),
    (-0.2, 0.5, -0.8),
    (0.5, -0.6, -0.7),
    (-0.4, 0.3, -0.8),
    (-0.6, 0.5, -0.5),
)


class SwingMotion:
    """A golfer's motion from dials. See ``tests.studio.pose.Motion``."""

    def __init__(self, dials: ClipDials, body: Body, club: Club) -> None:
        self._dials = dials
        self.body, self.club = body, club
        self.schedule: Schedule = make_schedule(dials.swing)
        self._phase = phase_curve(self.schedule)
        self._size = body.stature_m / 1.78
        self._grip = Grip(body, club)
        self._stance = _stance(dials, body)
        self._unrest = np.random.default_rng(dials.seed).uniform(0.0, 2.0 * np.pi, (4, 3))
        self._solve()

    @property
    def duration_s(self) -> float:
        return self.schedule.duration_s

    @property
    def planned_impacts_s(self) -> tuple[float, ...]:
        return self.schedule.impacts_s

    def phase_at(self, time_s: float) -> float:
        """Phase of the swing under way, 0 (address) to 9 (back at address)."""
        phase = float(self._phase(np.clip(time_s, 0.0, self.duration_s)))
        return phase % RETURN_PHASE

    def at(self, time_s: float) -> Pose:
        phase = self.phase_at(time_s)
        values = {name: float(curve(phase)) for name, curve in self._trunk.items()}
        trigger, unrest, turn = self._small_moves(time_s, phase)
        skeleton = self._stood(Trunk(**values), trigger + unrest, turn)
        # The pelvis leads and the hands wait: at first the arms take up the trigger's shift.
        waiting = (1.0 - _smooth(phase / 1.5)) * trigger
        wrist = skeleton.place("upperarm01.L") + self._wrist(phase) - waiting
        frame: Matrix = self._club_turn(phase).as_matrix()
        butt = wrist - self._grip.wrist_from_butt(frame)
        skeleton.hold("lead", frame, butt, self._lead_pole(phase))
        skeleton.hold("trail", frame, butt, self._trail_pole(phase))
        return self._pose(time_s, skeleton, frame, butt)

    # ------------------------------------------------------------ set-up

    def _solve(self) -> None:
        dials = self._dials.swing
        self._origin = np.zeros(3)
        trunks = {phase: self._knees_bent(phase, trunk(phase, dials)) for phase in Phase}
        ball_x = BALL_FROM_MIDDLE_M[dials.club] * self._size

        def addressed(bow: float) -> tuple[Hold, Vector]:
            shoulder = self._shoulder(_bowed(trunks[Phase.ADDRESS], bow))
            return address_hold(self._grip, dials, shoulder, ball_x)

        bow = fitting_bow(LIE_DEG[dials.club], lambda bow: addressed(bow)[0])
        trunks = {p: self._knees_bent(p, _bowed(values, bow)) for p, values in trunks.items()}
        shoulders = {phase: self._shoulder(values) for phase, values in trunks.items()}
        address, ball = (
            addressed(0.0)
            if bow == 0.0
            else address_hold(self._grip, dials, shoulders[Phase.ADDRESS], ball_x)
        )
        before = trunks[Phase.IMPACT]

        def reaching(out: float) -> Trunk:
            return self._knees_bent(Phase.IMPACT, _reaching(before, out))

        impact, out = impact_hold(
            self._grip, dials, address, ball, lambda out: self._shoulder(reaching(out))
        )
        trunks[Phase.IMPACT] = reaching(out)
        self.bow_deg, self.impact_reach = bow, out
        holds = all_holds(self._grip, dials, shoulders, ball, address, impact)
        self._origin = np.array([ball[0], ball[1], 0.0])
        self._ball_height = float(ball[2])
        self._make_curves(trunks, holds)

    def _knees_bent(self, phase: Phase, values: Trunk) -> Trunk:
        """The posture lowered until the straighter knee has the key's least flex."""
        body = self.body
        least = np.cos(np.radians(LEAST_KNEE_FLEX_DEG[phase]))
        bones = [
            (
                body.length(f"upperleg01.{t}", f"lowerleg01.{t}"),
                body.length(f"lowerleg01.{t}", f"foot.{t}"),
            )
            for t in SIDES.values()
        ]
        longest = [np.sqrt(a * a + b * b + 2.0 * a * b * least) for a, b in bones]
        lowered = values
        for _ in range(60):
            skeleton = self._stood(lowered)
            over = max(
                float(
                    np.linalg.norm(skeleton.place(f"upperleg01.{t}") - skeleton.place(f"foot.{t}"))
                )
                - longest[i]
                for i, t in enumerate(SIDES.values())
            )
            if over <= 1e-4:
                break
            lowered = replace(lowered, drop=lowered.drop + over / self._size)
        return lowered

    def _shoulder(self, values: Trunk) -> Vector:
        """Lead shoulder of a posture, (3,)."""
        return self._stood(values).place("upperarm01.L").copy()

    def _make_curves(self, trunks: dict[Phase, Trunk], holds: dict[float, Hold]) -> None:
        phases = [float(phase) for phase in sorted(trunks)] + [float(RETURN_PHASE)]
        stood = [trunks[phase] for phase in sorted(trunks)] + [trunks[Phase.ADDRESS]]
        self._trunk = {
            name: _curve(phases, np.array([getattr(each, name) for each in stood], np.float64))
            for name in TRUNK_CHANNELS
        }
        when = sorted(holds)
        wrists = np.array([holds[phase].wrist for phase in when])
        spans = np.linalg.norm(wrists, axis=1)
        self._way = _curve(when, wrists / spans[:, None])
        self._span = _curve(when, spans)
        self._club_turn = RotationSpline(
            when, Rotation.from_matrix(np.array([holds[phase].club for phase in when]))
        )
        self._lead_pole = _curve(POLE_PHASES, np.array(LEAD_POLES))
        self._trail_pole = _curve(POLE_PHASES, np.array(TRAIL_POLES))

    # ------------------------------------------------------------ each instant

    def _wrist(self, phase: float) -> Vector:
        """Lead wrist from lead shoulder, (3,)."""
        way = self._way(phase)
        place: Vector = way / np.linalg.norm(way) * float(self._span(phase))
        return place

    def _small_moves(self, time_s: float, phase: float) -> tuple[Vector, Vector, float]:
        """Trigger's and unrest's move of the pelvis, (3,) each, metres; the chest's turn, degrees."""
        swing = self._dials.swing
        strength = (1.0 - swing.no_trigger) * (1.0 - swing.hands_first)
        move = np.zeros(3)
        for start, end in zip(self.schedule.starts_s, self.schedule.ends_s, strict=True):
            on = _smooth((time_s - (start - TRIGGER_S)) / TRIGGER_S)
            gone = max(_smooth((phase - Phase.TOP) / 2.0), _smooth((time_s - end) / FORGET_S))
            move[0] -= TRIGGER_M * self._size * strength * on * (1.0 - gone) * (time_s < end + 1.0)
        slow = 2.0 * np.pi * np.array([0.23, 0.31, 0.47])
        waves = np.sin(slow * time_s + self._unrest)
        calm = swing.unrest_m / 3.0
        unrest = np.array([*(calm * waves[:2].sum(axis=1)), 0.0])
        return move, unrest, float(np.degrees(calm * waves[2].sum() / 0.6))

    def _stood(
        self, values: Trunk, move: Vector | None = None, chest_more: float = 0.0
    ) -> Skeleton:
        skeleton = Skeleton(self.body)
        size = self._size
        feet = (self._stance.ankles["lead"] + self._stance.ankles["trail"]) / 2.0
        pelvis = np.array(
            [
                values.sway * size,
                feet[1] + values.back * size,
                self._hip_height - values.drop * size,
            ]
        )
        if move is not None:
            pelvis = pelvis + move
        posture = Posture(
            pelvis=pelvis - self._origin,
            pelvis_turn=values.pelvis_turn,
            pelvis_tilt=values.pelvis_tilt,
            chest_turn=values.chest_turn + chest_more,
            chest_tilt=values.chest_tilt,
            side_bend=values.side_bend,
            head_turn=values.head_turn,
            head_tilt=values.head_tilt,
            lead_reach=values.lead_reach,
            trail_reach=values.trail_reach,
            heel_up=values.heel_up,
            foot_turn=values.foot_turn,
        )
        skeleton.stand(posture, _shifted(self._stance, self._origin))
        return skeleton

    @property
    def _hip_height(self) -> float:
        """Hip centre above the ground with straight legs, metres."""
        body = self.body
        leg = body.length("upperleg01.L", "lowerleg01.L") + body.length("lowerleg01.L", "foot.L")
        return leg * 0.985 + float(body.joint("foot.L")[2]) - body.sole_z

    def _pose(self, time_s: float, skeleton: Skeleton, frame: Matrix, butt: Vector) -> Pose:
        placed = np.eye(4)
        placed[:3, :3], placed[:3, 3] = frame, butt
        points: dict[ClubPoint, Array] = {
            name: butt + frame @ point for name, point in self.club.points.items()
        }
        joints: dict[Joint, Array] = skeleton.joints()
        ball = self._ball(time_s)
        return Pose(time_s, skeleton.matrices(), joints, points, placed, ball)

    def _ball(self, time_s: float) -> Array | None:
        if not self._dials.swing.ball:
            return None
        rest = np.array([0.0, 0.0, self._ball_height])
        struck = [impact for impact in self.schedule.impacts_s if impact <= time_s]
        if not struck or self._since_return(time_s, struck[-1]) >= 0.0:
            return rest
        flown = BALL_SPEED_M_PER_S * (time_s - struck[-1])
        rise = np.radians(BALL_LAUNCH_DEG)
        return rest + flown * np.array([np.cos(rise), 0.0, np.sin(rise)])

    def _since_return(self, time_s: float, impact_s: float) -> float:
        """Phase past the moment the next ball is put down; negative before it."""
        ended = float(self._phase(time_s)) - float(self._phase(impact_s))
        return ended - (NEXT_BALL_PHASE - Phase.IMPACT)


@lru_cache(maxsize=8)
def make_motion(dials: ClipDials) -> SwingMotion:
    """The motion of a clip. Raises ``ValueError`` for dials no body can follow."""
    return SwingMotion(dials, load_body(dials.golfer), load_club(dials.swing.club))


def _stance(dials: ClipDials, body: Body) -> Stance:
    size = body.stature_m / 1.78
    half = STANCE_M[dials.swing.club] * size / 2.0
    height = float(body.joint("foot.L")[2]) - body.sole_z
    return Stance(
        ankles={"lead": np.array([half, 0.0, height]), "trail": np.array([-half, 0.0, height])},
        flare_deg={"lead": 14.0, "trail": 2.0},
        trail_lift=Lift(body, SIDES["trail"]),
    )


def _shifted(stance: Stance, origin: Vector) -> Stance:
    return replace(stance, ankles={side: at - origin for side, at in stance.ankles.items()})


def _bowed(values: Trunk, more_deg: float) -> Trunk:
    """The posture bent further forward; upright ones (the finish) hardly."""
    share = min(values.chest_tilt / 36.0, 1.0) ** 2
    return replace(values, chest_tilt=values.chest_tilt + share * more_deg)


def _reaching(values: Trunk, reach: float) -> Trunk:
    """The posture reaching for the ball: 1 is 5 cm with the pelvis and 4 degrees with the chest."""
    return replace(
        values, back=values.back - 0.05 * reach, chest_tilt=values.chest_tilt + 4.0 * reach
    )


def _curve(phases: object, values: Array) -> Akima1DInterpolator:
    return Akima1DInterpolator(np.asarray(phases, np.float64), values, axis=0, method="makima")


def _smooth(share: float) -> float:
    """0 to 1 with level ends."""
    held = float(np.clip(share, 0.0, 1.0))
    return held * held * (3.0 - 2.0 * held)

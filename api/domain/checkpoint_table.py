"""Every checkpoint's definition: words, view, instant, unit, what it is computed from, target.

Bands marked *working* are starting values of ours, to be refitted from coaches' corrections; *common
practice* are coaching rules without a published source. Formulas: ``checkpoint_formulas``.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from api.domain.bands import Bands
from api.domain.checkpoint_formulas import ANGLE_POINTS, BUTT_POINTS, EARS, HANDS, HIPS, SHOULDERS
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId, PointName, Unit, View
from api.domain.picture_formulas import COMMON_SIGMAS, sigma_input

FACE_ON, BEHIND = (View.FACE_ON,), (View.DOWN_THE_LINE,)
BOTH = (View.FACE_ON, View.DOWN_THE_LINE)
PRACTICE = "common practice, no published source"
WORKING = "working values, to be refitted from coaches' corrections"
NOTHING_ASKED = "no target: it is compared with other numbers"


@dataclass(frozen=True, slots=True)
class Checkpoint:
    """What a checkpoint is, for people and programs.

    ``keyframe``: the instant it is shown at; ``moment`` names it in words where no keyframe does.
    ``points`` must all be on the picture; ``inputs`` are the other numbers ``evaluate`` needs.
    ``bands``: ``None`` where nothing is asked of the number. ``bands_source`` says where they come from.
    ``most`` and ``least`` bound what the quantity can be. Above ``withhold_sigma`` no number is given:
    it could sit in any band. ``main``: one of the numbers a coach looks at first.
    ``quantity`` is the trade's name of what is measured, shared by its readings at several instants;
    ``part`` is ``change`` for a reading that is told against address.
    """

    id: CheckpointId
    name: str
    meaning: str
    views: tuple[View, ...]
    keyframe: KeyframeId
    unit: Unit
    points: tuple[PointName, ...]
    inputs: tuple[str, ...]
    bands: Bands | None
    bands_source: str
    withhold_sigma: float
    least: float = -math.inf
    most: float = math.inf
    main: bool = False
    moment: str = ""
    quantity: str = ""
    part: str = ""

    @property
    def measures(self) -> str:
        """The trade's name of the quantity."""
        return self.quantity or self.id.value


def _inputs(points: Iterable[PointName], *more: str) -> tuple[str, ...]:
    return (*(sigma_input(point) for point in points), *COMMON_SIGMAS, *more)


_SCALED = ("px_per_unit", "sigma_scale")
_SINCE = ("from_x_px", "sigma_from_px", *_SCALED)
_CHANGED = ("reference_deg", "sigma_reference")
_SPAN = ("from_s", "to_s", "sigma_from_s", "sigma_to_s")
_SPACE = ("value_deg", "sigma_depth")
_TRUNK = (*HIPS, *SHOULDERS)
_ELBOW = (PointName.LEAD_SHOULDER, PointName.LEAD_ELBOW, PointName.LEAD_WRIST)
_KNEE = (PointName.TRAIL_HIP, PointName.TRAIL_KNEE, PointName.TRAIL_ANKLE)
_SHAFT = (PointName.BUTT, PointName.CLUBHEAD)
_FEET_AND_BALL = (PointName.BALL, PointName.TRAIL_ANKLE, PointName.LEAD_ANKLE)

_MAIN = (
    Checkpoint(
        id=CheckpointId.LEAD_ARM_SHAFT_ANGLE,
        name="Lead arm to shaft angle",
        meaning=(
            "The angle between your lead arm and the shaft, as the camera sees it, when the "
            "lead arm is level on the way back. 90 degrees is an upright L; larger means the "
            "wrists have set less, smaller means they have closed more."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL,
        unit=Unit.DEGREES,
        points=ANGLE_POINTS,
        inputs=_inputs(ANGLE_POINTS),
        bands=Bands(watch_low=70.0, good_low=80.0, good_high=100.0, watch_high=112.0),
        bands_source=PRACTICE,
        withhold_sigma=20.0,
        least=0.0,
        most=180.0,
        main=True,
    ),
    Checkpoint(
        id=CheckpointId.BUTT_END_INSIDE,
        name="Where the grip end points",
        meaning=(
            "Prolong the shaft beyond the grip end down to the ground: how far that spot lies "
            "from the ball-target line towards you, in grip lengths, when the lead arm is "
            "level on the way back. 0 is on the line, 1 is one grip length nearer your toes."
        ),
        views=BEHIND,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL,
        unit=Unit.GRIP_LENGTHS,
        points=BUTT_POINTS,
        inputs=_inputs(
            BUTT_POINTS,
            "px_per_grip",
            "ground_row_shift_px",
            "scale_ratio",
            "baseline_slope",
            "sigma_depth",
            "sigma_scale",
        ),
        bands=Bands(watch_low=-0.5, good_low=0.0, good_high=1.0, watch_high=1.75),
        bands_source="0 to 1: common practice, no published source; watch limits: working",
        withhold_sigma=1.0,
        main=True,
    ),
)

_WRISTS = (
    Checkpoint(
        id=CheckpointId.SET_BEFORE_TRAIL_LEG,
        name="Wrist set used early",
        meaning=(
            "How much of the whole wrist set (from address to lead arm level) is already used when "
            "your hands pass the trail leg: 0 is none, 1 is all of it. Loading should only begin there."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.HANDS_PAST_TRAIL_LEG,
        unit=Unit.RATIO,
        points=ANGLE_POINTS,
        inputs=_inputs(
            ANGLE_POINTS, "address_deg", "parallel_deg", "sigma_address", "sigma_parallel"
        ),
        bands=Bands(watch_low=-0.4, good_low=-0.2, good_high=0.5, watch_high=0.6),
        bands_source=WORKING,
        withhold_sigma=0.4,
    ),
    Checkpoint(
        id=CheckpointId.LEAD_ARM_SHAFT_ANGLE_AT_TOP,
        name="Lead arm to shaft angle at the top",
        meaning=(
            "The angle between your lead arm and the shaft, as the camera sees it, at the top: how far "
            "the wrists have set in the end. 90 degrees is an L; larger means they have set less."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.TOP,
        unit=Unit.DEGREES,
        points=ANGLE_POINTS,
        inputs=_inputs(ANGLE_POINTS),
        bands=Bands(watch_low=60.0, good_low=70.0, good_high=100.0, watch_high=112.0),
        bands_source="70 to 100: common practice, no published source; watch limits: working",
        withhold_sigma=20.0,
        least=0.0,
        most=180.0,
        quantity="lead_arm_shaft_angle",
    ),
    Checkpoint(
        id=CheckpointId.WRIST_SET_KEPT,
        name="Wrist set kept coming down",
        meaning=(
            "The lead arm to shaft angle when the arm is level coming down, less what it was going "
            "back. 0 or below: the set was kept. Well above 0: it was let go early."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL_DOWN,
        unit=Unit.DEGREES,
        points=ANGLE_POINTS,
        inputs=_inputs(ANGLE_POINTS, *_CHANGED),
        bands=Bands(watch_low=-80.0, good_low=-60.0, good_high=5.0, watch_high=15.0),
        bands_source=WORKING,
        withhold_sigma=20.0,
    ),
)

_START = (
    Checkpoint(
        id=CheckpointId.START_ORDER,
        name="Body before hands",
        meaning=(
            "How long before the hands the body (pelvis or chest) began to move, in seconds. "
            "Above 0 the body leads, below 0 the hands do. Wrists that clearly set before the hands move "
            "count as the hands."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.TAKEAWAY,
        unit=Unit.SECONDS,
        points=(),
        inputs=_inputs((), *_SPAN),
        bands=Bands(watch_low=-0.03, good_low=0.03, good_high=0.35, watch_high=0.5),
        bands_source=WORKING,
        withhold_sigma=0.2,
    ),
    Checkpoint(
        id=CheckpointId.TRIGGER_SHIFT,
        name="Shift before the club",
        meaning=(
            "How far the middle of the pelvis moves away from the target before the club starts, in "
            "stance widths. A camera sees the body move, never the pressure under the feet."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.TAKEAWAY,
        unit=Unit.STANCES,
        points=HIPS,
        inputs=_inputs(HIPS, *_SINCE),
        bands=Bands(watch_low=-0.02, good_low=0.01, good_high=0.12, watch_high=0.18),
        bands_source=WORKING,
        withhold_sigma=0.1,
    ),
)


def _turn(id_: CheckpointId, part: str, keyframe: KeyframeId, bands: Bands | None) -> Checkpoint:
    when = "at the top" if keyframe is KeyframeId.TOP else "with the lead arm level"
    return Checkpoint(
        id=id_,
        name=f"{part.capitalize()} turn {when}",
        meaning=(
            f"How far the {part} has turned since address, {when}, told from how much narrower its "
            "line looks. Weak below 20 degrees: read it as small, medium or large."
        ),
        views=FACE_ON,
        keyframe=keyframe,
        unit=Unit.DEGREES,
        points=SHOULDERS if part == "chest" else HIPS,
        inputs=_inputs(
            SHOULDERS if part == "chest" else HIPS, "address_width_px", "sigma_width_px"
        ),
        bands=bands,
        bands_source=NOTHING_ASKED if bands is None else WORKING,
        withhold_sigma=20.0,
        least=0.0,
        most=180.0,
        quantity=f"{part}_turn",
    )


_BODY = (
    _turn(CheckpointId.CHEST_TURN_AT_PARALLEL, "chest", KeyframeId.LEAD_ARM_PARALLEL, None),
    # Trunk turn of professionals at the top: 60 +- 7 degrees (Zheng et al. 2008).
    _turn(CheckpointId.CHEST_TURN, "chest", KeyframeId.TOP, Bands(40.0, 55.0, 110.0, 125.0)),
    _turn(CheckpointId.PELVIS_TURN_AT_PARALLEL, "pelvis", KeyframeId.LEAD_ARM_PARALLEL, None),
    _turn(CheckpointId.PELVIS_TURN, "pelvis", KeyframeId.TOP, Bands(15.0, 25.0, 65.0, 80.0)),
    Checkpoint(
        id=CheckpointId.PELVIS_SWAY,
        name="Pelvis sway to the top",
        meaning=(
            "How far the middle of the pelvis has moved sideways from address to the top, in stance "
            "widths. Below 0 is away from the target."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.TOP,
        unit=Unit.STANCES,
        points=HIPS,
        inputs=_inputs(HIPS, *_SINCE),
        bands=Bands(watch_low=-0.2, good_low=-0.12, good_high=0.08, watch_high=0.16),
        bands_source=WORKING,
        withhold_sigma=0.15,
    ),
    Checkpoint(
        id=CheckpointId.HEAD_SWAY,
        name="Head sway to the top",
        meaning=(
            "How far the head has moved sideways from address to the top, in head heights. Below 0 "
            "is away from the target."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.TOP,
        unit=Unit.HEADS,
        points=EARS,
        inputs=_inputs(EARS, *_SINCE),
        bands=Bands(watch_low=-0.45, good_low=-0.31, good_high=0.1, watch_high=0.25),
        bands_source=WORKING,
        withhold_sigma=0.3,
    ),
    *(
        Checkpoint(
            id=id_,
            name=f"Lead elbow bend {when}",
            meaning=f"How far the lead elbow is bent, {when}. 0 is a straight arm.",
            views=FACE_ON,
            keyframe=keyframe,
            unit=Unit.DEGREES,
            points=_ELBOW,
            inputs=_inputs(_ELBOW),
            bands=Bands(watch_low=0.0, good_low=0.0, good_high=25.0, watch_high=35.0),
            bands_source=PRACTICE,
            withhold_sigma=15.0,
            least=0.0,
            most=180.0,
            quantity="lead_elbow_bend",
        )
        for id_, keyframe, when in (
            (
                CheckpointId.LEAD_ELBOW_BEND,
                KeyframeId.LEAD_ARM_PARALLEL,
                "with the lead arm level",
            ),
            (CheckpointId.LEAD_ELBOW_BEND_AT_TOP, KeyframeId.TOP, "at the top"),
        )
    ),
    *(
        Checkpoint(
            id=id_,
            name=f"Side tilt {when}",
            meaning=(
                f"How far the line from pelvis to chest leans sideways, {when}. Above 0 it leans away "
                "from the target."
            ),
            views=FACE_ON,
            keyframe=keyframe,
            unit=Unit.DEGREES,
            points=_TRUNK,
            inputs=_inputs(_TRUNK),
            bands=bands,
            bands_source=WORKING,
            withhold_sigma=12.0,
            quantity="spine_side_tilt",
        )
        for id_, keyframe, when, bands in (
            (
                CheckpointId.SPINE_SIDE_TILT_AT_ADDRESS,
                KeyframeId.ADDRESS,
                "at address",
                Bands(-4.0, 2.0, 12.0, 18.0),
            ),
            (
                CheckpointId.SPINE_SIDE_TILT,
                KeyframeId.TOP,
                "at the top",
                Bands(-10.0, -5.0, 15.0, 22.0),
            ),
            (
                CheckpointId.SPINE_SIDE_TILT_AT_IMPACT,
                KeyframeId.IMPACT,
                "at impact",
                Bands(7.0, 15.0, 35.0, 43.0),
            ),
        )
    ),
    Checkpoint(
        id=CheckpointId.BALL_POSITION,
        name="Ball position",
        meaning=(
            "Where the ball lies between your feet: 0 is opposite the trail ankle, 1 the lead ankle. "
            "Longer clubs want it nearer the lead foot."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.ADDRESS,
        unit=Unit.RATIO,
        points=_FEET_AND_BALL,
        inputs=_inputs(_FEET_AND_BALL),
        bands=None,
        bands_source="no target: it depends on the club, and the coach sets it",
        withhold_sigma=0.3,
    ),
)

_HINGE = (
    Checkpoint(
        id=CheckpointId.HANDS_OVER_TRAIL_SHOULDER,
        name="Hands before the trail shoulder",
        meaning=(
            "With the shaft at 45 degrees on the way up, how far the hands are from the trail shoulder "
            "sideways, in shoulder widths. 0 is straight before it, above 0 towards the target. It checks "
            "the diagonal hinge."
        ),
        views=FACE_ON,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL,
        moment="Shaft at 45 degrees, going back",
        unit=Unit.SHOULDERS,
        points=(*HANDS, PointName.TRAIL_SHOULDER),
        inputs=_inputs((*HANDS, PointName.TRAIL_SHOULDER), *_SCALED),
        bands=None,
        bands_source="no target: in a full swing nothing is asked of it, the diagonal hinge does (api.domain.proof)",
        withhold_sigma=0.4,
    ),
)


def _shaft_pitch(
    id_: CheckpointId, keyframe: KeyframeId, when: str, bands: Bands | None, caution: str = ""
) -> Checkpoint:
    return Checkpoint(
        id=id_,
        name=f"Shaft pitch {when}",
        meaning=(
            f"How steep the shaft looks from behind, {when}: 0 is level, 90 upright. It is compared "
            f"with address.{caution}"
        ),
        views=BEHIND,
        keyframe=keyframe,
        unit=Unit.DEGREES,
        points=_SHAFT,
        inputs=_inputs(_SHAFT),
        bands=bands,
        bands_source=NOTHING_ASKED if bands is None else WORKING,
        withhold_sigma=12.0,
        least=0.0,
        most=90.0,
        quantity="shaft_pitch",
    )


_BEHIND = (
    _shaft_pitch(CheckpointId.SHAFT_PITCH_AT_ADDRESS, KeyframeId.ADDRESS, "at address", None),
    _shaft_pitch(
        CheckpointId.SHAFT_PITCH,
        KeyframeId.LEAD_ARM_PARALLEL,
        "with the lead arm level",
        # 58.7 to 69.4 point the grip end from the ball line to one grip length inside it.
        Bands(52.0, 58.7, 69.4, 76.0),
    ),
    _shaft_pitch(
        CheckpointId.SHAFT_PITCH_COMING_DOWN,
        KeyframeId.LEAD_ARM_PARALLEL_DOWN,
        "with the lead arm level coming down",
        None,
    ),
    # Level by what delivery is: a picture shows a pitch only where the shaft crosses the target line (C14).
    _shaft_pitch(
        CheckpointId.SHAFT_PITCH_AT_DELIVERY,
        KeyframeId.DELIVERY,
        "at delivery",
        None,
        " There the shaft mostly points at the camera, and then there is no number.",
    ),
    Checkpoint(
        id=CheckpointId.CLUBHEAD_INSIDE_EARLY,
        name="Clubhead early in the backswing",
        meaning=(
            "With the shaft first level, how far the clubhead lies from the hands across the target "
            "line, in grip lengths. Below 0 is behind you (rolled inside), above 0 is outside."
        ),
        views=BEHIND,
        keyframe=KeyframeId.TAKEAWAY,
        moment="Shaft level, going back",
        unit=Unit.GRIP_LENGTHS,
        points=(PointName.CLUBHEAD, *HANDS),
        inputs=_inputs((PointName.CLUBHEAD, *HANDS), *_SCALED),
        bands=Bands(watch_low=-0.9, good_low=-0.5, good_high=0.35, watch_high=0.7),
        bands_source=WORKING,
        withhold_sigma=0.6,
    ),
    *(
        Checkpoint(
            id=id_,
            name=f"Depth of the hands {when}",
            meaning=(
                f"How far the hands are behind the trail toe, {when}, in shoulder widths. Above 0 is "
                "behind the toes, below 0 in front of them."
            ),
            views=BEHIND,
            keyframe=keyframe,
            unit=Unit.SHOULDERS,
            points=(*HANDS, PointName.TRAIL_TOE),
            inputs=_inputs((*HANDS, PointName.TRAIL_TOE), *_SCALED),
            bands=bands,
            bands_source=WORKING,
            withhold_sigma=0.4,
            quantity="hand_depth",
        )
        for id_, keyframe, when, bands in (
            (
                CheckpointId.HAND_DEPTH,
                KeyframeId.LEAD_ARM_PARALLEL,
                "with the lead arm level",
                Bands(-0.15, 0.0, 0.45, 0.7),
            ),
            (
                CheckpointId.HAND_DEPTH_AT_TOP,
                KeyframeId.TOP,
                "at the top",
                Bands(0.2, 0.37, 0.96, 1.2),
            ),
        )
    ),
    Checkpoint(
        id=CheckpointId.HANDS_IN_FRONT,
        name="Hands in front of the chest",
        meaning=(
            "Seen from above with the lead arm level: where the hands are against the way the chest "
            "faces. 0 is straight in front of the breastbone, below 0 dragged to the trail side."
        ),
        views=BOTH,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL,
        unit=Unit.DEGREES,
        points=(),
        inputs=_inputs((), *_SPACE),
        bands=Bands(watch_low=-35.0, good_low=-20.0, good_high=20.0, watch_high=35.0),
        bands_source=WORKING,
        withhold_sigma=20.0,
    ),
    Checkpoint(
        id=CheckpointId.PATH_OUTSIDE,
        name="Hands' path coming down",
        meaning=(
            "Half-way up the trunk, how far the hands come down outside the way they went back, in "
            "shares of your height. Above 0 is outside."
        ),
        views=BEHIND,
        keyframe=KeyframeId.LEAD_ARM_PARALLEL_DOWN,
        moment="Hands half-way up the trunk, coming down",
        unit=Unit.STATURES,
        points=HANDS,
        inputs=_inputs(HANDS, *_SINCE),
        bands=Bands(watch_low=-0.2, good_low=-0.12, good_high=0.01, watch_high=0.04),
        bands_source=WORKING,
        withhold_sigma=0.04,
    ),
    Checkpoint(
        id=CheckpointId.SHAFT_AT_TOP,
        name="Shaft at the top",
        meaning=(
            "Seen from above at the top: which way the shaft points against the target. Above 0 it "
            "points across the line, below 0 it is laid off."
        ),
        views=BOTH,
        keyframe=KeyframeId.TOP,
        unit=Unit.DEGREES,
        points=(),
        inputs=_inputs((), *_SPACE),
        bands=Bands(watch_low=-35.0, good_low=-20.0, good_high=20.0, watch_high=35.0),
        bands_source=WORKING,
        withhold_sigma=20.0,
    ),
    Checkpoint(
        id=CheckpointId.SPINE_TILT,
        name="Forward tilt at address",
        meaning=(
            "How far the line from pelvis to chest leans towards the ball at address, from upright."
        ),
        views=BEHIND,
        keyframe=KeyframeId.ADDRESS,
        unit=Unit.DEGREES,
        points=_TRUNK,
        inputs=_inputs(_TRUNK),
        bands=Bands(watch_low=24.0, good_low=30.0, good_high=45.0, watch_high=51.0),
        bands_source=PRACTICE,
        withhold_sigma=12.0,
    ),
    *(
        Checkpoint(
            id=id_,
            name=f"Change of forward tilt {when}",
            meaning=(
                f"How the forward tilt has changed since address, {when}. Well below 0: the body has "
                "stood up."
            ),
            views=BEHIND,
            keyframe=keyframe,
            unit=Unit.DEGREES,
            points=_TRUNK,
            inputs=_inputs(_TRUNK, *_CHANGED),
            bands=Bands(watch_low=-12.0, good_low=-10.0, good_high=5.0, watch_high=12.0),
            bands_source=WORKING,
            withhold_sigma=12.0,
            quantity="spine_tilt",
            part="change",
        )
        for id_, keyframe, when in (
            (
                CheckpointId.SPINE_TILT_CHANGE_AT_PARALLEL,
                KeyframeId.LEAD_ARM_PARALLEL,
                "with the lead arm level",
            ),
            (CheckpointId.SPINE_TILT_CHANGE_AT_TOP, KeyframeId.TOP, "at the top"),
            (CheckpointId.SPINE_TILT_CHANGE_AT_IMPACT, KeyframeId.IMPACT, "at impact"),
        )
    ),
    Checkpoint(
        id=CheckpointId.KNEE_FLEX,
        name="Trail knee flex at address",
        meaning="How far the trail knee is bent at address. 0 is a straight leg.",
        views=BEHIND,
        keyframe=KeyframeId.ADDRESS,
        unit=Unit.DEGREES,
        points=_KNEE,
        inputs=_inputs(_KNEE),
        bands=Bands(watch_low=6.0, good_low=12.0, good_high=30.0, watch_high=38.0),
        bands_source=PRACTICE,
        withhold_sigma=12.0,
        least=0.0,
        most=180.0,
    ),
)

_TIMES = (
    Checkpoint(
        id=CheckpointId.TEMPO_RATIO,
        name="Tempo",
        meaning="Backswing time against downswing time. About 3 to 1 in good players.",
        views=BOTH,
        keyframe=KeyframeId.TOP,
        unit=Unit.RATIO,
        points=(),
        inputs=_inputs(
            (),
            *(f"{name}_s" for name in ("takeaway", "top", "impact")),
            *(f"sigma_{name}_s" for name in ("takeaway", "top", "impact")),
        ),
        bands=Bands(watch_low=2.0, good_low=2.4, good_high=3.6, watch_high=4.2),
        bands_source=PRACTICE,
        withhold_sigma=1.2,
        least=0.0,
    ),
    Checkpoint(
        id=CheckpointId.PAUSE_LENGTH,
        name="Pause",
        meaning=(
            "The longest time the hands stand still between the start and the strike, in seconds. "
            "It checks a pause drill; a swing without a pause has none."
        ),
        views=BOTH,
        keyframe=KeyframeId.TOP,
        unit=Unit.SECONDS,
        points=(),
        inputs=_inputs((), *_SPAN),
        bands=None,
        bands_source="no target: a drill asks for its own length",
        withhold_sigma=0.3,
        least=0.0,
    ),
    Checkpoint(
        id=CheckpointId.FINISH_HOLD,
        name="Finish held",
        meaning=(
            "How long the finish is held, in seconds, as far as the clip shows it: until the hands move, the "
            "pelvis drifts or the lead foot steps. Whether the weight is on the lead foot is judged by eye."
        ),
        views=BOTH,
        keyframe=KeyframeId.FINISH,
        unit=Unit.SECONDS,
        points=(),
        inputs=_inputs((), *_SPAN),
        bands=None,
        bands_source="no target: the clip may end before the finish does",
        withhold_sigma=0.5,
        least=0.0,
    ),
)

CHECKPOINTS: Mapping[CheckpointId, Checkpoint] = MappingProxyType(
    {
        one.id: one
        for one in sorted(
            (*_MAIN, *_WRISTS, *_START, *_BODY, *_HINGE, *_BEHIND, *_TIMES),
            key=lambda one: list(CheckpointId).index(one.id),
        )
    }
)

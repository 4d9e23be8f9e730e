"""Checkpoints of arm and club. Formulas: the trade notes; signs beside each."""

import numpy as np

from api.domain.names import KeyframeId
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.names import Moment, Sight, TruthId, Unit
from tests.studio.truth.recipes import DOWN_THE_LINE, FACE_ON, Quantity, Recipe
from tests.studio.truth.sights import Look, Scene, Seen, bearing, between, full_turn, half_turn
from tests.studio.truth.track import Figure, elevation, lead_arm_elevation
from tests.studio.truth.when import Absent, Key, Times

HANDS_ON_SHAFT_M = 0.05
"""From the butt end to where the lead hand closes: the arm's end where its line is taken from the
grip. The other renderer's ``grip`` point lies there too."""
SHORT_SHAFT = 0.35
"""A projected shaft shorter than this share of its length at address points at the lens."""

NO_GROUND_HIT = "no ground hit: the shaft is level or its clubhead end is the lower one"
NO_BALL = "no ball in the picture to measure from"
AT_THE_LENS = "the shaft points at the lens: its pitch in the picture means nothing"
TOO_LITTLE_SET = "the wrists set by less than a degree: no share of it"
ONLY_A_SIDE = "one picture shows a side, not degrees"


def arm_shaft_turn(seen: Seen) -> float:
    """Turn from wrist -> shoulder to butt -> hosel: degrees in [0, 360); 180 straight, 90 an L."""
    arm = seen.joints[Joint.LEAD_SHOULDER] - seen.joints[Joint.LEAD_WRIST]
    return full_turn(bearing(seen.shaft) - bearing(arm))


def arm_shaft_seen(seen: Seen) -> float:
    """lead_arm_shaft_angle in a picture: degrees in [0, 180]."""
    turn = arm_shaft_turn(seen)
    return min(turn, 360.0 - turn)


def arm_shaft_in_space(figure: Figure) -> float:
    """The same angle in space: degrees in [0, 180]."""
    return between(-figure.arm, figure.shaft)


def arm_shaft_from_grip(look: Look, time_s: float) -> float:
    """The angle in a picture with the arm's line from the grip to the lead shoulder."""
    figure = look.scene.track.at(time_s)
    share = HANDS_ON_SHAFT_M / look.scene.club_m
    grip = look.camera.project((figure.club[ClubPoint.BUTT] + figure.shaft * share)[None], time_s)
    seen = look(time_s)
    arm = seen.joints[Joint.LEAD_SHOULDER] - grip[0]
    return abs(half_turn(bearing(seen.shaft) - bearing(arm)))


def arm_elevation_seen(seen: Seen) -> float:
    """Elevation of lead shoulder -> lead wrist in a picture: degrees in [-90, 90], up positive."""
    arm = seen.joints[Joint.LEAD_WRIST] - seen.joints[Joint.LEAD_SHOULDER]
    return float(np.degrees(np.arctan2(-arm[1], abs(arm[0]))))


def set_share(angles: list[float]) -> Quantity:
    """set_before_trail_leg from the angle at address, passing the leg, and parallel."""
    whole = angles[0] - angles[2]
    return Absent(TOO_LITTLE_SET) if abs(whole) < 1.0 else (angles[0] - angles[1]) / whole


def _set_seen(look: Look, times: Times) -> Quantity:
    """A turn in [0, 360), so that a shaft which passes the straight line does not fold back."""
    return set_share([arm_shaft_turn(look(one)) for one in times])


def _set_in_space(scene: Scene, times: Times) -> Quantity:
    return set_share([arm_shaft_in_space(scene.track.at(one)) for one in times])


def ground_hit(figure: Figure) -> Array | Absent:
    """(3,) where the shaft's line, prolonged beyond the butt end, meets the ground (z = 0)."""
    butt, back = figure.club[ClubPoint.BUTT], -figure.shaft
    if back[2] >= 0 or butt[2] <= 0:
        return Absent(NO_GROUND_HIT)
    return np.asarray(butt + back * (butt[2] / -back[2]))


def butt_inside_in_space(figure: Figure, grip_m: float) -> Quantity:
    """butt_end_inside as defined: grip lengths from the ball line, + inside."""
    ball_y = 0.0 if figure.ball is None else float(figure.ball[1])
    hit = ground_hit(figure)
    return hit if isinstance(hit, Absent) else float((hit[1] - ball_y) / grip_m)


def butt_inside_seen(seen: Seen, ball: Array, grip_px: float) -> Quantity:
    """The uncorrected estimate in a picture, at the row of the resting ball's centre."""
    butt, back = seen.club[ClubPoint.BUTT], -seen.shaft
    if back[1] <= 0 or butt[1] >= ball[1]:
        return Absent(NO_GROUND_HIT)
    hit_x = butt[0] + back[0] * (ball[1] - butt[1]) / back[1]
    return float((ball[0] - hit_x) / grip_px)


def _butt_seen(look: Look, times: Times) -> Quantity:
    parallel_s, address_s = times
    ball = look(address_s).ball
    if ball is None:
        return Absent(NO_BALL)
    return butt_inside_seen(look(parallel_s), ball, look.grip_px(address_s))


def pitch_seen(vector: Array) -> float:
    """Acute angle of a picture vector to level: degrees in [0, 90]."""
    return float(np.degrees(np.arctan2(abs(vector[1]), abs(vector[0]))))


def _shaft_pitch(look: Look, times: Times) -> Quantity:
    seen = look(times[0])
    if seen.shaft_px < SHORT_SHAFT * look(times[1]).shaft_px:
        return Absent(AT_THE_LENS)
    return pitch_seen(seen.shaft)


def _inside_seen(look: Look, times: Times) -> Quantity:
    seen = look(times[0])
    across = seen.club[ClubPoint.HOSEL][0] - seen.hands[0]
    return float(across / look.grip_px(times[1]))


def _inside_in_space(scene: Scene, times: Times) -> Quantity:
    """The picture's x runs against Y."""
    figure = scene.track.at(times[0])
    return float((figure.hands[1] - figure.club[ClubPoint.HOSEL][1]) / scene.grip_m)


def _across_the_line(scene: Scene, times: Times) -> Quantity:
    """From above: degrees from the target's direction, + across (beyond the ball line)."""
    shaft = scene.track.at(times[0]).shaft
    return float(np.degrees(np.arctan2(-shaft[1], shaft[0])))


_ANGLES: tuple[Key, ...] = (
    Moment.ARM_LEVEL_SEEN,
    KeyframeId.ADDRESS,
    KeyframeId.HANDS_PAST_TRAIL_LEG,
    KeyframeId.LEAD_ARM_PARALLEL,
    KeyframeId.TOP,
    KeyframeId.LEAD_ARM_PARALLEL_DOWN,
    KeyframeId.IMPACT,
)
_PITCHES = (
    KeyframeId.ADDRESS,
    KeyframeId.HANDS_PAST_TRAIL_LEG,
    KeyframeId.LEAD_ARM_PARALLEL,
    KeyframeId.LEAD_ARM_PARALLEL_DOWN,
    KeyframeId.DELIVERY,
)

CLUB_RECIPES: tuple[Recipe, ...] = (
    *(
        Recipe(
            id=TruthId.LEAD_ARM_SHAFT_ANGLE,
            unit=Unit.DEGREES,
            needs=(key,),
            picture=lambda look, times: arm_shaft_seen(look(times[0])),
            space=lambda scene, times: arm_shaft_in_space(scene.track.at(times[0])),
            views=FACE_ON,
            at=key,
        )
        for key in _ANGLES
    ),
    *(
        Recipe(
            id=TruthId.LEAD_ARM_SHAFT_ANGLE,
            unit=Unit.DEGREES,
            needs=(key,),
            picture=lambda look, times: arm_shaft_from_grip(look, times[0]),
            space=Absent("the arm's line from the grip is for comparing pictures"),
            views=FACE_ON,
            at=key,
            part="from_grip",
        )
        for key in _ANGLES
    ),
    Recipe(  # how far from level the picture shows an arm that is level in space: lens below shoulders
        id=TruthId.LEAD_ARM_SHAFT_ANGLE,
        unit=Unit.DEGREES,
        needs=(KeyframeId.LEAD_ARM_PARALLEL,),
        picture=lambda look, times: arm_elevation_seen(look(times[0])),
        space=lambda scene, times: lead_arm_elevation(scene.track.at(times[0])),
        views=FACE_ON,
        at=KeyframeId.LEAD_ARM_PARALLEL,
        part="arm_elevation",
    ),
    Recipe(
        id=TruthId.SET_BEFORE_TRAIL_LEG,
        unit=Unit.RATIO,
        needs=(
            KeyframeId.ADDRESS,
            KeyframeId.HANDS_PAST_TRAIL_LEG,
            KeyframeId.LEAD_ARM_PARALLEL,
        ),
        picture=_set_seen,
        space=_set_in_space,
        views=FACE_ON,
    ),
    Recipe(  # coming down less going back: 0 kept, + let go
        id=TruthId.WRIST_SET_KEPT,
        unit=Unit.DEGREES,
        needs=(KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.LEAD_ARM_PARALLEL_DOWN),
        picture=lambda look, times: arm_shaft_seen(look(times[1])) - arm_shaft_seen(look(times[0])),
        space=lambda scene, times: (
            arm_shaft_in_space(scene.track.at(times[1]))
            - arm_shaft_in_space(scene.track.at(times[0]))
        ),
        views=FACE_ON,
    ),
    Recipe(
        id=TruthId.BUTT_END_INSIDE,
        unit=Unit.GRIPS,
        needs=(KeyframeId.LEAD_ARM_PARALLEL,),
        also=(KeyframeId.ADDRESS,),
        picture=_butt_seen,
        space=lambda scene, times: butt_inside_in_space(scene.track.at(times[0]), scene.grip_m),
        views=DOWN_THE_LINE,
        at=KeyframeId.LEAD_ARM_PARALLEL,
        defined=Sight.SPACE,
    ),
    *(
        Recipe(  # in space the shaft's own inclination to the ground
            id=TruthId.SHAFT_PITCH,
            unit=Unit.DEGREES,
            needs=(key,),
            also=(KeyframeId.ADDRESS,),
            picture=_shaft_pitch,
            space=lambda scene, times: abs(elevation(scene.track.at(times[0]).shaft)),
            views=DOWN_THE_LINE,
            at=key,
        )
        for key in _PITCHES
    ),
    Recipe(  # - rolled inside, + outside
        id=TruthId.CLUBHEAD_INSIDE_EARLY,
        unit=Unit.GRIPS,
        needs=(Moment.SHAFT_LEVEL_BACK,),
        also=(KeyframeId.ADDRESS,),
        picture=_inside_seen,
        space=_inside_in_space,
        views=DOWN_THE_LINE,
        at=Moment.SHAFT_LEVEL_BACK,
    ),
    Recipe(
        id=TruthId.SHAFT_AT_TOP,
        unit=Unit.DEGREES,
        needs=(KeyframeId.TOP,),
        picture=Absent(ONLY_A_SIDE),
        space=_across_the_line,
        views=DOWN_THE_LINE,
        at=KeyframeId.TOP,
        defined=Sight.SPACE,
    ),
)

"""Checkpoints of posture: tilts, bends, and how deep the hands are. Signs beside each."""

import numpy as np

from api.domain.names import KeyframeId
from tests.studio.pose import Array, Joint
from tests.studio.truth.body_recipes import SHOULDERS, shoulder_m
from tests.studio.truth.names import Sight, TruthId, Unit
from tests.studio.truth.recipes import DOWN_THE_LINE, FACE_ON, Recipe
from tests.studio.truth.sights import Look, Scene, Seen, between
from tests.studio.truth.track import Figure
from tests.studio.truth.when import Absent, Times

TWO_VIEWS = "needs the turn of the chest, which one picture does not show"


def lean_seen(seen: Seen) -> float:
    """Mid-hips -> mid-shoulders from the picture's vertical: degrees, + to the picture's right."""
    spine = seen.shoulders - seen.hips
    return float(np.degrees(np.arctan2(spine[0], -spine[1])))


def spine_tilt_in_space(figure: Figure) -> float:
    """The same along the target line: degrees, + towards the ball line."""
    spine = figure.shoulders - figure.hips
    return float(np.degrees(np.arctan2(-spine[1], spine[2])))


def side_tilt_in_space(figure: Figure) -> float:
    """Across the target line: degrees, + away from the target."""
    spine = figure.shoulders - figure.hips
    return float(np.degrees(np.arctan2(-spine[0], spine[2])))


def bend(first: Array, vertex: Array, last: Array) -> float:
    """180 less the angle at a joint, in a picture or in space: degrees, 0 straight."""
    return 180.0 - between(first - vertex, last - vertex)


KNEE = Joint.TRAIL_HIP, Joint.TRAIL_KNEE, Joint.TRAIL_ANKLE
ELBOW = Joint.LEAD_SHOULDER, Joint.LEAD_ELBOW, Joint.LEAD_WRIST


def _bend_of(joints: dict[Joint, Array], chain: tuple[Joint, Joint, Joint]) -> float:
    return bend(*(joints[one] for one in chain))


def _depth(look: Look, times: Times) -> float:
    """Hands behind the trail foot's toe, + inside, shoulder widths: those of space at address,
    scaled by the club, since the shoulder line points at this camera.
    """
    seen, scene = look(times[1]), look.scene
    metre_px = look.grip_px(times[0]) / scene.grip_m
    behind = seen.joints[Joint.TRAIL_TOE][0] - seen.hands[0]
    return float(behind / (metre_px * shoulder_m(scene.track.at(times[0]))))


def _depth_in_space(scene: Scene, times: Times) -> float:
    start, figure = (scene.track.at(one) for one in times)
    behind = figure.hands[1] - figure.joints[Joint.TRAIL_TOE][1]
    return float(behind / shoulder_m(start))


def _in_front(scene: Scene, times: Times) -> float:
    """Hands from the chest's facing, seen from above: degrees, - dragged to the trail side."""
    figure = scene.track.at(times[0])
    line = (figure.joints[SHOULDERS[0]] - figure.joints[SHOULDERS[1]])[:2]
    along = line / np.linalg.norm(line)
    facing = np.array([along[1], -along[0]])
    hands = (figure.hands - figure.shoulders)[:2]
    return float(np.degrees(np.arctan2(hands @ along, hands @ facing)))


_TILTS = KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP, KeyframeId.IMPACT

POSTURE_RECIPES: tuple[Recipe, ...] = (
    *(
        Recipe(
            id=TruthId.LEAD_ELBOW_BEND,
            unit=Unit.DEGREES,
            needs=(key,),
            picture=lambda look, times: _bend_of(look(times[0]).joints, ELBOW),
            space=lambda scene, times: _bend_of(scene.track.at(times[0]).joints, ELBOW),
            views=FACE_ON,
            at=key,
        )
        for key in (KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP)
    ),
    *(
        Recipe(  # + away from the target: the picture's left
            id=TruthId.SPINE_SIDE_TILT,
            unit=Unit.DEGREES,
            needs=(key,),
            picture=lambda look, times: -lean_seen(look(times[0])),
            space=lambda scene, times: side_tilt_in_space(scene.track.at(times[0])),
            views=FACE_ON,
            at=key,
        )
        for key in (KeyframeId.ADDRESS, KeyframeId.TOP, KeyframeId.IMPACT)
    ),
    Recipe(
        id=TruthId.SPINE_TILT,
        unit=Unit.DEGREES,
        needs=(KeyframeId.ADDRESS,),
        picture=lambda look, times: lean_seen(look(times[0])),
        space=lambda scene, times: spine_tilt_in_space(scene.track.at(times[0])),
        views=DOWN_THE_LINE,
        at=KeyframeId.ADDRESS,
    ),
    *(
        Recipe(  # change since address
            id=TruthId.SPINE_TILT,
            unit=Unit.DEGREES,
            needs=(KeyframeId.ADDRESS, key),
            picture=lambda look, times: lean_seen(look(times[1])) - lean_seen(look(times[0])),
            space=lambda scene, times: (
                spine_tilt_in_space(scene.track.at(times[1]))
                - spine_tilt_in_space(scene.track.at(times[0]))
            ),
            views=DOWN_THE_LINE,
            at=key,
            part="change",
        )
        for key in _TILTS
    ),
    Recipe(
        id=TruthId.KNEE_FLEX,
        unit=Unit.DEGREES,
        needs=(KeyframeId.ADDRESS,),
        picture=lambda look, times: _bend_of(look(times[0]).joints, KNEE),
        space=lambda scene, times: _bend_of(scene.track.at(times[0]).joints, KNEE),
        views=DOWN_THE_LINE,
        at=KeyframeId.ADDRESS,
    ),
    *(
        Recipe(
            id=TruthId.HAND_DEPTH,
            unit=Unit.SHOULDERS,
            needs=(KeyframeId.ADDRESS, key),
            picture=_depth,
            space=_depth_in_space,
            views=DOWN_THE_LINE,
            at=key,
        )
        for key in (KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP)
    ),
    Recipe(
        id=TruthId.HANDS_IN_FRONT,
        unit=Unit.DEGREES,
        needs=(KeyframeId.LEAD_ARM_PARALLEL,),
        picture=Absent(TWO_VIEWS),
        space=_in_front,
        views=DOWN_THE_LINE,
        at=KeyframeId.LEAD_ARM_PARALLEL,
        defined=Sight.SPACE,
    ),
)

"""Checkpoints of the body: turns and sideways moves. Signs beside each.

Pictures are read as the trade notes do: widths along the picture's x, turn from a line's shortening.
"""

import numpy as np

from api.domain.names import KeyframeId
from tests.studio.pose import Array, Joint
from tests.studio.truth.names import Moment, TruthId, Unit
from tests.studio.truth.recipes import FACE_ON, Quantity, Recipe
from tests.studio.truth.sights import Look, Scene, Seen
from tests.studio.truth.stillness import calm_window
from tests.studio.truth.track import Figure
from tests.studio.truth.when import Absent, Times

HEAD_SHARE = 0.130
"""Head height over stature, Drillis and Contini 1966, as printed in Winter (from memory)."""

WIDER = "the line is wider than at address: no shortening to read a turn from"
SHOULDERS = Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER
HIPS = Joint.LEAD_HIP, Joint.TRAIL_HIP
ANKLES = Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE
Pair = tuple[Joint, Joint]


# ---------------------------------------------------------------- turns


def width_seen(seen: Seen, pair: Pair) -> float:
    """Lead less trail along the picture's x, pixels: positive square to a face-on camera."""
    return float(seen.joints[pair[0]][0] - seen.joints[pair[1]][0])


def turn_seen(look: Look, times: Times, pair: Pair) -> Quantity:
    """acos(width / width at address): degrees, 0 to 180."""
    share = width_seen(look(times[1]), pair) / width_seen(look(times[0]), pair)
    return Absent(WIDER) if share > 1.0 else float(np.degrees(np.arccos(max(share, -1.0))))


def turn_in_space(scene: Scene, times: Times, pair: Pair) -> float:
    """Turn about the vertical since address: degrees, away from the target positive."""
    one, two = (_heading(scene.track.at(time_s), pair) for time_s in times)
    return float((one - two + 180.0) % 360.0 - 180.0)


def _heading(figure: Figure, pair: Pair) -> float:
    """Direction of trail -> lead seen from above: degrees, from X towards Y."""
    line = figure.joints[pair[0]] - figure.joints[pair[1]]
    return float(np.degrees(np.arctan2(line[1], line[0])))


def _turns(id_: TruthId, pair: Pair) -> tuple[Recipe, ...]:
    return tuple(
        Recipe(
            id=id_,
            unit=Unit.DEGREES,
            needs=(KeyframeId.ADDRESS, key),
            picture=lambda look, times: turn_seen(look, times, pair),
            space=lambda scene, times: turn_in_space(scene, times, pair),
            views=FACE_ON,
            at=key,
        )
        for key in (KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP)
    )


# ---------------------------------------------------------------- sideways


def stance_m(figure: Figure) -> float:
    """Ankle to ankle, metres."""
    return float(np.linalg.norm(figure.joints[ANKLES[0]] - figure.joints[ANKLES[1]]))


def stance_px(seen: Seen) -> float:
    """Ankle to ankle, pixels."""
    return float(np.linalg.norm(seen.joints[ANKLES[0]] - seen.joints[ANKLES[1]]))


def shoulder_m(figure: Figure) -> float:
    """Shoulder to shoulder, metres."""
    return float(np.linalg.norm(figure.joints[SHOULDERS[0]] - figure.joints[SHOULDERS[1]]))


def _pelvis_moved(look: Look, times: Times) -> float:
    """+ to the target, stance widths of address."""
    start, end = look(times[0]), look(times[1])
    return float((end.hips[0] - start.hips[0]) / stance_px(start))


def _pelvis_moved_in_space(scene: Scene, times: Times) -> float:
    start, end = (scene.track.at(one) for one in times)
    return float((end.hips[0] - start.hips[0]) / stance_m(start))


def _calm_times(times: Times) -> Array:
    return np.linspace(*calm_window(times[0], times[1]), 5)


def _triggered(look: Look, times: Times) -> float:
    """Away from the target positive, since the body was at rest, stance widths."""
    rest = float(np.mean([look(float(one)).hips[0] for one in _calm_times(times)]))
    return float((rest - look(times[2]).hips[0]) / stance_px(look(times[1])))


def _triggered_in_space(scene: Scene, times: Times) -> float:
    at = scene.track.at
    rest = float(np.mean([at(float(one)).hips[0] for one in _calm_times(times)]))
    return float((rest - at(times[2]).hips[0]) / stance_m(at(times[1])))


def _head_moved(look: Look, times: Times) -> float:
    """+ to the target, head heights as this camera sees one at the head's place."""
    start, end = look(times[0]), look(times[1])
    up = np.array([0.0, 0.0, HEAD_SHARE * look.scene.stature_m / 2.0])
    head = look.scene.track.at(times[0]).head
    ends = look.camera.project(np.array([head - up, head + up]), times[0])
    return float((end.head[0] - start.head[0]) / np.linalg.norm(ends[1] - ends[0]))


def _head_moved_in_space(scene: Scene, times: Times) -> float:
    start, end = (scene.track.at(one) for one in times)
    return float((end.head[0] - start.head[0]) / (HEAD_SHARE * scene.stature_m))


def _over_shoulder(look: Look, times: Times) -> float:
    """Hands from the trail shoulder, + to the target, shoulder widths of address."""
    seen = look(times[1])
    across = seen.hands[0] - seen.joints[Joint.TRAIL_SHOULDER][0]
    return float(across / width_seen(look(times[0]), SHOULDERS))


def _over_shoulder_in_space(scene: Scene, times: Times) -> float:
    start, figure = (scene.track.at(one) for one in times)
    across = figure.hands[0] - figure.joints[Joint.TRAIL_SHOULDER][0]
    return float(across / shoulder_m(start))


def _ball_place(look: Look, times: Times) -> Quantity:
    """From the trail ankle (0) to the lead ankle (1)."""
    seen = look(times[0])
    if seen.ball is None:
        return Absent("no ball")
    trail = seen.joints[Joint.TRAIL_ANKLE][0]
    return float((seen.ball[0] - trail) / width_seen(seen, ANKLES))


def _ball_place_in_space(scene: Scene, times: Times) -> Quantity:
    figure = scene.track.at(times[0])
    if figure.ball is None:
        return Absent("no ball")
    lead, trail = (figure.joints[one][0] for one in ANKLES)
    return float((figure.ball[0] - trail) / (lead - trail))


BODY_RECIPES: tuple[Recipe, ...] = (
    *_turns(TruthId.CHEST_TURN, SHOULDERS),
    *_turns(TruthId.PELVIS_TURN, HIPS),
    Recipe(
        id=TruthId.TRIGGER_SHIFT,
        unit=Unit.STANCES,
        needs=(Moment.SETTLED, KeyframeId.ADDRESS, KeyframeId.TAKEAWAY),
        picture=_triggered,
        space=_triggered_in_space,
        views=FACE_ON,
    ),
    Recipe(
        id=TruthId.PELVIS_SWAY,
        unit=Unit.STANCES,
        needs=(KeyframeId.ADDRESS, KeyframeId.TOP),
        picture=_pelvis_moved,
        space=_pelvis_moved_in_space,
        views=FACE_ON,
    ),
    Recipe(
        id=TruthId.HEAD_SWAY,
        unit=Unit.HEADS,
        needs=(KeyframeId.ADDRESS, KeyframeId.TOP),
        picture=_head_moved,
        space=_head_moved_in_space,
        views=FACE_ON,
    ),
    Recipe(
        id=TruthId.HANDS_OVER_TRAIL_SHOULDER,
        unit=Unit.SHOULDERS,
        needs=(KeyframeId.ADDRESS, Moment.SHAFT_45_BACK),
        picture=_over_shoulder,
        space=_over_shoulder_in_space,
        views=FACE_ON,
        at=Moment.SHAFT_45_BACK,
    ),
    Recipe(
        id=TruthId.BALL_POSITION,
        unit=Unit.STANCES,
        needs=(KeyframeId.ADDRESS,),
        picture=_ball_place,
        space=_ball_place_in_space,
        views=FACE_ON,
        at=KeyframeId.ADDRESS,
    ),
)

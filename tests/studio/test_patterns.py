"""The trade's patterns are there in the truth, by the numbers that define them, not by a dial's name.

Limits: the project's own bands for the two readings; for the rest common practice, no source.
"""

from collections.abc import Mapping
from functools import cache

import pytest

from api.domain.names import KeyframeId, View
from tests.studio.dials import CameraDials, ClipDials, FilmDials, SwingDials
from tests.studio.filming import set_up
from tests.studio.truth.compute import compute_truth
from tests.studio.truth.contents import SwingTruth
from tests.studio.truth.names import TruthId

LEVEL = KeyframeId.LEAD_ARM_PARALLEL
SWINGS: Mapping[str, SwingDials] = {
    "neutral": SwingDials(),
    "roll": SwingDials(early_roll=1.0, butt_grips=-1.2),
    "lift": SwingDials(arm_lift=1.0, butt_grips=2.6),
    "under": SwingDials(hinge_deg=128.0),
    "narrow": SwingDials(hinge_deg=60.0),
    "hands": SwingDials(hands_first=1.0),
    "still": SwingDials(no_trigger=1.0),
    "sway": SwingDials(sway=1.0),
}


@cache
def truth(name: str, view: View) -> SwingTruth:
    dials = ClipDials(
        "pattern",
        3,
        swing=SWINGS[name],
        camera=CameraDials(view=view),
        film=FilmDials(fps=24.0),
    )
    scene = set_up(dials)
    return compute_truth(dials, scene.motion, scene.camera, scene.times).swings[0]


def value(
    name: str, id_: TruthId, at: KeyframeId | None = None, *, behind: bool = False, part: str = ""
) -> float:
    view = View.DOWN_THE_LINE if behind else View.FACE_ON
    found = truth(name, view).checkpoint(id_, at, part).value
    assert isinstance(found, float), found
    return found


def test_early_roll_points_outside_flatter_than_at_address_with_the_clubhead_behind() -> None:
    assert value("roll", TruthId.BUTT_END_INSIDE, LEVEL, behind=True) < -0.5
    pitch = [
        value("roll", TruthId.SHAFT_PITCH, at, behind=True) for at in (KeyframeId.ADDRESS, LEVEL)
    ]
    assert pitch[1] < pitch[0] - 10.0
    inside = [value(n, TruthId.CLUBHEAD_INSIDE_EARLY, behind=True) for n in ("roll", "neutral")]
    assert inside[0] < inside[1] - 1.0
    depth = [value(n, TruthId.HAND_DEPTH, LEVEL, behind=True) for n in ("roll", "neutral")]
    assert depth[0] > depth[1]


def test_arm_lift_points_far_inside_with_little_turn_and_depth() -> None:
    assert value("lift", TruthId.BUTT_END_INSIDE, LEVEL, behind=True) > 1.75
    assert value("lift", TruthId.SHAFT_PITCH, LEVEL, behind=True) > 75.0
    depth = [value(n, TruthId.HAND_DEPTH, LEVEL, behind=True) for n in ("lift", "neutral")]
    assert depth[0] < depth[1]
    turn = [value(n, TruthId.CHEST_TURN, LEVEL) for n in ("lift", "neutral")]
    assert turn[0] < turn[1] - 10.0


def test_under_set_and_over_narrow_lie_outside_the_bands() -> None:
    assert value("under", TruthId.LEAD_ARM_SHAFT_ANGLE, LEVEL) > 112.0
    assert value("narrow", TruthId.LEAD_ARM_SHAFT_ANGLE, LEVEL) < 70.0


def test_hands_first_has_used_most_of_the_set_and_starts_before_the_body() -> None:
    assert value("hands", TruthId.SET_BEFORE_TRAIL_LEG) > 0.6
    assert value("neutral", TruthId.SET_BEFORE_TRAIL_LEG) < 0.3
    for name, body_first in (("hands", False), ("neutral", True)):
        shift = value(name, TruthId.START_ORDER, part="pelvis_shift")
        hands = value(name, TruthId.START_ORDER, part="hands")
        assert (shift < hands) is body_first


def test_no_trigger_has_none_and_a_sway_slides() -> None:
    assert value("still", TruthId.TRIGGER_SHIFT) < 0.01
    assert value("neutral", TruthId.TRIGGER_SHIFT) > 0.02
    slide = [value(n, TruthId.PELVIS_SWAY) for n in ("sway", "neutral")]
    assert abs(slide[0]) > abs(slide[1]) + 0.1


@pytest.mark.parametrize("name", sorted(SWINGS))
def test_every_pattern_still_meets_its_ball(name: str) -> None:
    instants = truth(name, View.FACE_ON).instants
    assert hasattr(instants[KeyframeId.IMPACT], "life_s")

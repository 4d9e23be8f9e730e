"""When the arm is level in space and in the picture, and the angle's error against either."""

from dataclasses import replace
from pathlib import Path

import pytest

from api.domain.names import KeyframeId
from tests.accuracy.arm_level import ANGLE, ANGLE_SEEN, SEEN, arm_level, level_table, level_words
from tests.accuracy.made_up import reading_row, true_clip, true_swing
from tests.accuracy.studio_truth import _swing
from tests.accuracy.truths import Absent, TrueClip, TrueInstant, TrueSwing, TrueValue, at_once
from tests.studio.truth.contents import InstantTruth, SwingTruth
from tests.studio.truth.names import Moment, Sight, TruthId, Unit
from tests.studio.truth.recipes import CheckpointTruth

LEVEL = KeyframeId.LEAD_ARM_PARALLEL
MINUS = "\N{MINUS SIGN}"


def _clip(
    name: str, later_s: float, seen_deg: float, *, stay_s: float = 0.0, slowed: float = 1.0
) -> TrueClip:
    """Level in space at 1.5 s of the file with an angle of 90."""
    swing = true_swing()
    instants = {**swing.instants, LEVEL: TrueInstant(1.5, 1.5, 1.5 + stay_s)}
    values = {**swing.checkpoints, ANGLE_SEEN: TrueValue(seen_deg, seen_deg)}
    moments: dict[str, TrueInstant | Absent] = {SEEN: at_once(1.5 + later_s)}
    clip = true_clip(Path(name), swings=(TrueSwing(instants, values, moments),))
    return replace(clip, slowed=slowed)


CLIPS = [
    _clip("a", 0.004, 89.0),
    _clip("b", 0.080, 80.0, slowed=8.0),
    _clip("c", -0.010, 92.0),
    _clip("d", 1.000, 70.0, stay_s=0.9),
    true_clip(Path("e")),
]


def test_stops_are_left_out_and_slowed_files_count_in_life() -> None:
    level = arm_level(CLIPS, [])
    assert level.later_ms == pytest.approx((4.0, 10.0, -10.0))
    assert level.turned_deg == pytest.approx((-1.0, -10.0, 2.0))
    words = level_words(level)
    assert f"later by a median of +4 ms ({MINUS}10 to +10) over the 3 true swings" in words
    assert f"another by a median of {MINUS}1.0 degrees ({MINUS}10.0 to +2.0)" in words


def test_the_same_readings_stand_against_both() -> None:
    rows = [reading_row("a", -2.0), reading_row("b", None), reading_row("d", -12.0)]
    level = arm_level(CLIPS, [*rows, reading_row("e", 1.0)])
    assert level.against_space == pytest.approx((-2.0, -12.0))
    assert level.against_picture == pytest.approx((-1.0, 8.0))
    space, picture = level_table(level).rows
    assert space[1:] == ("2", f"{MINUS}7.0", "7.0", "12.0")
    assert picture[1:] == ("2", "+3.5", "4.5", "8.0")


def test_without_such_truths_nothing_is_claimed() -> None:
    words = level_words(arm_level([true_clip(Path("e"))], []))
    assert words.endswith("by how much no clip here tells.")


def test_the_studios_moment_and_angle_are_found_under_these_names() -> None:
    at = InstantTruth(life_s=1.0, file_s=1.0, from_file_s=1.0, to_file_s=1.0)
    seen = CheckpointTruth(
        TruthId.LEAD_ARM_SHAFT_ANGLE,
        Moment.ARM_LEVEL_SEEN.value,
        "",
        Unit.DEGREES,
        Sight.IDEAL,
        88.0,
        88.0,
        88.0,
    )
    scored = replace(seen, at=LEVEL.value, ideal=90.0)
    swing = _swing(
        SwingTruth({LEVEL: at}, {Moment.ARM_LEVEL_SEEN: replace(at, file_s=1.02)}, (seen, scored))
    )
    assert swing.checkpoints[ANGLE] == TrueValue(90.0, 88.0)
    level = arm_level([true_clip(Path("x"), swings=(swing,))], [])
    assert level.later_ms == pytest.approx((20.0,))
    assert level.turned_deg == pytest.approx((-2.0,))

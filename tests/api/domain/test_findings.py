"""Findings say what one number shows, and are sure only when its whole interval is past a limit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.bands import Bands, band_of
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, NO_GROUND_HIT
from api.domain.findings import FINDINGS, PATTERNS, FindingCode, find
from api.domain.measurement import Finding, Missing, Reading
from api.domain.names import Band
from api.domain.uncertainty import interval95

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
BUTT_END = CheckpointId.BUTT_END_INSIDE


def asked(checkpoint: CheckpointId) -> Bands:
    bands = CHECKPOINTS[checkpoint].bands
    assert bands is not None
    return bands


def reading(
    checkpoint: CheckpointId, value: float, sigma: float, bands: Bands | None = None
) -> Reading:
    low, high = interval95(value, sigma)
    definition = CHECKPOINTS[checkpoint]
    return Reading(
        value=value,
        sigma=sigma,
        low=low,
        high=high,
        unit=definition.unit,
        band=Band.NO_TARGET
        if bands is None and definition.bands is None
        else band_of(low, high, bands or asked(checkpoint)),
        frame=1,
        points={},
    )


@pytest.mark.parametrize(
    ("checkpoint", "value", "sigma", "expected"),
    [
        (ANGLE, 130.0, 3.0, ("under_set", True)),
        (ANGLE, 114.0, 3.0, ("under_set", False)),
        (ANGLE, 55.0, 3.0, ("over_narrow", True)),
        (ANGLE, 68.0, 3.0, ("over_narrow", False)),
        (ANGLE, 90.0, 3.0, None),
        (ANGLE, 111.0, 3.0, None),
        (ANGLE, 75.0, 8.0, None),
        (BUTT_END, -1.5, 0.2, ("butt_end_outside", True)),
        (BUTT_END, -0.6, 0.2, ("butt_end_outside", False)),
        (BUTT_END, 2.4, 0.2, ("butt_end_far_inside", True)),
        (BUTT_END, 1.8, 0.2, ("butt_end_far_inside", False)),
        (BUTT_END, 0.5, 0.2, None),
    ],
)
def test_a_value_past_its_watch_limit_makes_a_finding(
    checkpoint: CheckpointId, value: float, sigma: float, expected: tuple[str, bool] | None
) -> None:
    found = find({checkpoint: reading(checkpoint, value, sigma)})

    wanted = () if expected is None else (Finding(expected[0], expected[1], (checkpoint,)),)
    assert found == wanted


def test_a_reading_too_wide_to_place_is_never_sure_however_far_out() -> None:
    wide = reading(ANGLE, 165.0, 12.0)

    assert wide.low > asked(ANGLE).watch_high
    assert find({ANGLE: wide}) == (Finding("under_set", sure=False, because=(ANGLE,)),)


def test_a_withheld_reading_makes_no_finding() -> None:
    assert find({ANGLE: Missing("no"), BUTT_END: Missing("no")}) == ()


def test_no_ground_hit_is_withheld_too_and_leaves_the_finding_to_the_coach() -> None:
    flat: dict[CheckpointId, Reading | Missing] = {BUTT_END: Missing(NO_GROUND_HIT)}

    assert find(flat) == ()
    assert found_of("early_roll", flat | seen((_C.HAND_DEPTH, 0.9, 0.05))) is None


def test_own_bands_move_the_limits() -> None:
    bands = Bands(watch_low=50, good_low=60, good_high=75, watch_high=80)
    seen = {ANGLE: reading(ANGLE, 90.0, 3.0, bands)}

    assert find(seen, bands={ANGLE: bands}) == (Finding("under_set", sure=True, because=(ANGLE,)),)


def test_a_reading_judged_by_other_bands_is_not_sure_unless_clear_of_these() -> None:
    # Watch by the default bands, 73.1 to 78.9 degrees; a coach's lower limit lies inside that.
    seen = {ANGLE: reading(ANGLE, 76.0, 1.5)}
    bands = Bands(watch_low=77, good_low=80, good_high=100, watch_high=112)

    assert find(seen, bands={ANGLE: bands}) == (
        Finding("over_narrow", sure=False, because=(ANGLE,)),
    )


def test_findings_come_in_the_order_of_the_checkpoints() -> None:
    seen = {BUTT_END: reading(BUTT_END, 2.4, 0.1), ANGLE: reading(ANGLE, 130.0, 2.0)}

    assert [finding.code for finding in find(seen)] == ["under_set", "butt_end_far_inside"]


@given(st.floats(0, 180), st.floats(0.01, 20))
def test_a_sure_finding_has_its_whole_interval_beyond_the_limit(value: float, sigma: float) -> None:
    bands = asked(ANGLE)
    seen = reading(ANGLE, value, sigma)

    for finding in find({ANGLE: seen}):
        if finding.sure:
            assert seen.high < bands.watch_low or seen.low > bands.watch_high


_C = CheckpointId


def seen(*values: tuple[CheckpointId, float, float]) -> dict[CheckpointId, Reading | Missing]:
    """Readings by checkpoint, value and sigma."""
    return {checkpoint: reading(checkpoint, value, sigma) for checkpoint, value, sigma in values}


def found_of(code: str, readings: dict[CheckpointId, Reading | Missing]) -> Finding | None:
    """The finding of that code, if it was made."""
    return next((one for one in find(readings) if one.code == code), None)


FLAT, UPRIGHT = (BUTT_END, -1.5, 0.2), (BUTT_END, 2.4, 0.2)
_SET_EARLY = (_C.SET_BEFORE_TRAIL_LEG, 0.9, 0.05)
NOT_QUITE_FLAT = (BUTT_END, -0.6, 0.2)


@pytest.mark.parametrize(
    ("code", "checkpoint", "sure", "unsure", "none"),
    [
        ("no_trigger", _C.TRIGGER_SHIFT, (-0.03, 0.01), (0.0, 0.02), (0.02, 0.01)),
        ("sway", _C.PELVIS_SWAY, (-0.3, 0.02), (-0.21, 0.02), (-0.19, 0.02)),
        ("reverse_tilt", _C.SPINE_SIDE_TILT, (-16.0, 2.0), (-6.0, 2.0), (-4.0, 2.0)),
        ("set_let_go", _C.WRIST_SET_KEPT, (30.0, 4.0), (17.0, 4.0), (14.0, 4.0)),
        ("over_the_top", _C.PATH_OUTSIDE, (0.08, 0.01), (0.045, 0.01), (0.035, 0.01)),
        (
            "early_standing_up",
            _C.SPINE_TILT_CHANGE_AT_IMPACT,
            (-20.0, 2.0),
            (-13.0, 2.0),
            (-11.0, 2.0),
        ),
    ],
)
def test_a_pattern_of_one_number(
    code: str,
    checkpoint: CheckpointId,
    sure: tuple[float, float],
    unsure: tuple[float, float],
    none: tuple[float, float],
) -> None:
    because = (checkpoint,)

    assert found_of(code, seen((checkpoint, *sure))) == Finding(code, sure=True, because=because)
    assert found_of(code, seen((checkpoint, *unsure))) == Finding(code, sure=False, because=because)
    assert found_of(code, seen((checkpoint, *none))) is None
    assert found_of(code, {checkpoint: Missing("no")}) is None


@pytest.mark.parametrize(
    ("support", "because"),
    [
        ((_C.CLUBHEAD_INSIDE_EARLY, -1.4, 0.1), (BUTT_END, _C.CLUBHEAD_INSIDE_EARLY)),
        ((_C.HAND_DEPTH, 0.9, 0.05), (BUTT_END, _C.HAND_DEPTH)),
    ],
)
def test_an_early_roll_needs_a_flat_shaft_and_a_number_that_says_the_same(
    support: tuple[CheckpointId, float, float], because: tuple[CheckpointId, ...]
) -> None:
    assert found_of("early_roll", seen(FLAT, support)) == Finding(
        "early_roll", sure=True, because=because
    )
    assert found_of("early_roll", seen(FLAT)) is None
    assert found_of("early_roll", seen(support)) is None
    assert found_of("early_roll", seen((BUTT_END, 0.5, 0.2), support)) is None


def test_a_pattern_is_as_sure_as_its_lead_and_its_best_support() -> None:
    doubtful = (_C.HAND_DEPTH, 0.72, 0.05)
    clear = (_C.CLUBHEAD_INSIDE_EARLY, -1.4, 0.1)
    both = (BUTT_END, _C.CLUBHEAD_INSIDE_EARLY, _C.HAND_DEPTH)

    assert found_of("early_roll", seen(FLAT, doubtful)) == Finding(
        "early_roll", sure=False, because=(BUTT_END, _C.HAND_DEPTH)
    )
    assert found_of("early_roll", seen(FLAT, doubtful, clear)) == Finding(
        "early_roll", sure=True, because=both
    )
    assert found_of("early_roll", seen(NOT_QUITE_FLAT, clear)) == Finding(
        "early_roll", sure=False, because=(BUTT_END, _C.CLUBHEAD_INSIDE_EARLY)
    )


def test_a_withheld_number_neither_leads_nor_supports() -> None:
    withheld: dict[CheckpointId, Reading | Missing] = {
        _C.HAND_DEPTH: Missing("no"),
        _C.CLUBHEAD_INSIDE_EARLY: Missing("no"),
    }

    assert found_of("early_roll", seen(FLAT) | withheld) is None
    support = seen((_C.HAND_DEPTH, 0.9, 0.05))
    assert found_of("early_roll", {**support, BUTT_END: Missing("no")}) is None


@pytest.mark.parametrize(
    ("here", "expected"),
    # 61 at address: 10 flatter is 51. Errors of 3 and 4 make 5, so 95 % reaches 9.8 further.
    [(40.0, "sure"), (42.0, "unsure"), (50.0, "unsure"), (51.5, "none")],
)
def test_a_support_may_be_the_difference_of_two_numbers(here: float, expected: str) -> None:
    two = seen(FLAT, (_C.SHAFT_PITCH, here, 3.0), (_C.SHAFT_PITCH_AT_ADDRESS, 61.0, 4.0))
    found = found_of("early_roll", two)

    if expected == "none":
        assert found is None
    else:
        because = (BUTT_END, _C.SHAFT_PITCH, _C.SHAFT_PITCH_AT_ADDRESS)
        assert found == Finding("early_roll", sure=expected == "sure", because=because)
    assert found_of("early_roll", two | {_C.SHAFT_PITCH_AT_ADDRESS: Missing("no")}) is None


def test_an_arm_lift_needs_an_upright_shaft_and_hands_in_front_of_the_toes_or_little_turn() -> None:
    in_front, little = (_C.HAND_DEPTH, -0.2, 0.03), (_C.CHEST_TURN_AT_PARALLEL, 8.0, 4.0)

    assert found_of("arm_lift", seen(UPRIGHT, in_front)) == Finding(
        "arm_lift", sure=True, because=(BUTT_END, _C.HAND_DEPTH)
    )
    assert found_of("arm_lift", seen(UPRIGHT, little)) == Finding(
        "arm_lift", sure=True, because=(BUTT_END, _C.CHEST_TURN_AT_PARALLEL)
    )
    assert found_of("arm_lift", seen(UPRIGHT, (_C.CHEST_TURN_AT_PARALLEL, 18.0, 8.0))) == Finding(
        "arm_lift", sure=False, because=(BUTT_END, _C.CHEST_TURN_AT_PARALLEL)
    )
    assert found_of("arm_lift", seen(UPRIGHT, (_C.CHEST_TURN_AT_PARALLEL, 40.0, 4.0))) is None
    assert found_of("arm_lift", seen(UPRIGHT)) is None


def test_hands_first_needs_both_of_its_numbers() -> None:
    early, hands = (_C.SET_BEFORE_TRAIL_LEG, 0.9, 0.05), (_C.START_ORDER, -0.1, 0.02)
    because = (_C.SET_BEFORE_TRAIL_LEG, _C.START_ORDER)

    assert found_of("hands_first", seen(early, hands)) == Finding(
        "hands_first", sure=True, because=because
    )
    assert found_of("hands_first", seen(early, (_C.START_ORDER, -0.02, 0.02))) == Finding(
        "hands_first", sure=False, because=because
    )
    assert found_of("hands_first", seen(early)) is None
    assert found_of("hands_first", seen(hands)) is None
    assert found_of("hands_first", seen(early, (_C.START_ORDER, 0.1, 0.02))) is None


@pytest.mark.parametrize(
    ("checkpoint", "value", "sigma", "own", "code", "others"),
    [
        (_C.PELVIS_SWAY, -0.3, 0.02, (-0.5, -0.4, 0.2, 0.4), "sway", ()),
        (_C.TRIGGER_SHIFT, -0.01, 0.004, (-0.2, -0.1, 0.12, 0.2), "no_trigger", ()),
        (_C.SPINE_SIDE_TILT, -8.0, 1.0, (-20, -15, 15, 20), "reverse_tilt", ()),
        (_C.START_ORDER, -0.1, 0.02, (-0.3, -0.2, 0.3, 0.4), "hands_first", (_SET_EARLY,)),
        (_C.CHEST_TURN_AT_PARALLEL, 10.0, 1.0, (0, 5, 30, 40), "arm_lift", (UPRIGHT,)),
        (_C.HAND_DEPTH, -0.2, 0.03, (-0.5, -0.4, 0.1, 0.2), "arm_lift", (UPRIGHT,)),
    ],
)
def test_what_is_good_for_this_student_is_no_fault(
    checkpoint: CheckpointId,
    value: float,
    sigma: float,
    own: tuple[float, float, float, float],
    code: str,
    others: tuple[tuple[CheckpointId, float, float], ...],
) -> None:
    """Also where the pattern's usual limit is the trade notes' and not the checkpoint's."""
    bands = Bands(*own)
    shown = seen(*others) | {checkpoint: reading(checkpoint, value, sigma, bands)}
    assert reading(checkpoint, value, sigma, bands).band is Band.GOOD
    assert code in {one.code for one in find(shown)}
    assert code not in {one.code for one in find(shown, bands={checkpoint: bands})}


def test_a_difference_is_no_fault_where_the_number_is_good_for_this_student() -> None:
    flat = seen(FLAT, (_C.SHAFT_PITCH, 42.0, 1.0), (_C.SHAFT_PITCH_AT_ADDRESS, 58.0, 1.0))
    assert found_of("early_roll", flat) is not None
    own = {_C.SHAFT_PITCH: Bands(35.0, 38.0, 46.0, 50.0)}
    assert "early_roll" not in {one.code for one in find(flat, bands=own)}


def test_a_students_own_limit_makes_a_fault_where_the_usual_one_does_not() -> None:
    tilted = {_C.SPINE_SIDE_TILT: reading(_C.SPINE_SIDE_TILT, -3.0, 0.5)}
    assert find(tilted) == ()
    strict = {_C.SPINE_SIDE_TILT: Bands(0.0, 2.0, 15.0, 20.0)}
    assert [one.code for one in find(tilted, bands=strict)] == ["reverse_tilt"]


def test_every_pattern_has_a_limit_to_be_past() -> None:
    for pattern in PATTERNS:
        for limit in (*pattern.leads, *pattern.supports):
            assert limit.value is not None or CHECKPOINTS[limit.checkpoint].bands is not None
    assert {pattern.code for pattern in PATTERNS} == set(FindingCode)


def test_every_finding_has_words_and_says_what_it_cannot_tell() -> None:
    assert set(FINDINGS) == set(FindingCode)
    assert all(words.name and words.meaning and words.caution for words in FINDINGS.values())

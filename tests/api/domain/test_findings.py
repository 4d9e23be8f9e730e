"""Findings say what one number shows, and are sure only when its whole interval is past a limit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.bands import Bands, band_of
from api.domain.checkpoints import CHECKPOINTS, NO_GROUND_HIT
from api.domain.findings import FINDINGS, FindingCode, find
from api.domain.measurement import Finding, Missing, Reading
from api.domain.names import CheckpointId
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
        band=band_of(low, high, bands or asked(checkpoint)),
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


def test_no_ground_hit_points_to_a_flat_shaft_and_is_not_sure() -> None:
    found = find({BUTT_END: Missing(NO_GROUND_HIT)})

    assert found == (Finding("butt_end_outside", sure=False, because=(BUTT_END,)),)


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


def test_every_finding_has_words_and_says_what_it_cannot_tell() -> None:
    assert set(FINDINGS) == set(FindingCode)
    assert all(words.name and words.meaning and words.caution for words in FINDINGS.values())

"""Patterns scored by hand: the lead arm to shaft angle alone decides under-set and over-narrow."""

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.findings import FindingCode
from api.domain.uncertainty import interval95
from tests.accuracy.content import Table, Words
from tests.accuracy.made_up import ANGLE
from tests.accuracy.patterns import PatternScore, PatternTally, pattern_blocks, tally_patterns
from tests.accuracy.rows import Kind, Row, Status

BANDS = CHECKPOINTS[ANGLE].bands
assert BANDS is not None
LIMIT = BANDS.watch_high


def angle_row(
    clip: str, true: float | None, found: float | None, sigma: float = 2.0, swing: int = 0
) -> Row:
    if found is None:
        return Row(clip, swing, Kind.CHECKPOINT, ANGLE, "deg", Status.WITHHELD, "why", true)
    low, high = interval95(found, sigma)
    return Row(
        clip,
        swing,
        Kind.CHECKPOINT,
        ANGLE,
        "deg",
        Status.INVENTED if true is None else Status.GIVEN,
        ideal=true,
        value=found,
        sigma=sigma,
        low=low,
        high=high,
    )


def under_set(*rows: Row) -> PatternScore:
    (score,) = (s for s in tally_patterns(rows).patterns if s.code is FindingCode.UNDER_SET)
    return score


def test_a_clear_pattern_that_is_named_surely() -> None:
    score = under_set(angle_row("a", LIMIT + 10.0, LIMIT + 9.0))
    assert (score.there, score.clear, score.named, score.surely) == (1, 1, 1, 1)
    assert (score.absent, score.wrongly, score.surely_wrong) == (0, 0, 0)


@pytest.mark.parametrize(("beyond", "clear"), [(3.9, 0), (4.1, 1)])
def test_clear_is_beyond_the_limit_by_twice_the_sigma(beyond: float, clear: int) -> None:
    score = under_set(angle_row("a", LIMIT + beyond, LIMIT - 1.0))
    assert (score.there, score.clear, score.named) == (1, clear, 0)


def test_named_within_reach_of_its_limit_is_not_sure() -> None:
    score = under_set(angle_row("a", LIMIT + 10.0, LIMIT + 1.0))
    assert (score.named, score.surely) == (1, 0)


def test_a_withheld_reading_names_nothing_and_is_asked_for_by_the_usual_sigma() -> None:
    others = [angle_row(clip, 90.0, 90.0, sigma=3.0) for clip in "bcd"]
    near = under_set(angle_row("a", LIMIT + 5.0, None), *others)
    far = under_set(angle_row("a", LIMIT + 7.0, None), *others)
    assert (near.there, near.clear) == (1, 0)
    assert (far.clear, far.named) == (1, 0)


def test_a_swing_without_pattern_that_gets_one() -> None:
    rows = [
        angle_row("sure", 90.0, LIMIT + 20.0),
        angle_row("close", 90.0, LIMIT + 1.0),
        angle_row("right", 90.0, 91.0),
    ]
    score = under_set(*rows)
    assert (score.absent, score.wrongly, score.surely_wrong) == (3, 2, 1)
    tally = tally_patterns(rows)
    assert (tally.neutral, tally.accused, tally.surely_accused) == (3, 2, 1)


def test_the_wrong_pattern_is_a_false_one_and_no_swing_with_a_pattern_is_neutral() -> None:
    tally = tally_patterns([angle_row("a", LIMIT + 10.0, BANDS.watch_low - 10.0 if BANDS else 0.0)])
    by_code = {score.code: score for score in tally.patterns}
    assert by_code[FindingCode.OVER_NARROW].surely_wrong == 1
    assert by_code[FindingCode.UNDER_SET].named == 0
    assert tally.neutral == 0


def test_a_finding_on_an_invented_swing_is_false() -> None:
    tally = tally_patterns([angle_row("a", None, LIMIT + 20.0, swing=1)])
    assert (tally.neutral, tally.surely_accused) == (1, 1)


def test_patterns_of_the_other_view_are_not_scored() -> None:
    codes = {score.code for score in tally_patterns([angle_row("a", 90.0, 90.0)]).patterns}
    assert codes == {FindingCode.UNDER_SET, FindingCode.OVER_NARROW}


def test_other_rows_do_not_matter() -> None:
    instant = Row("a", 0, Kind.INSTANT, "top", "ms", Status.GIVEN, ideal=1.0, value=2.0)
    unread = Row("a", 0, Kind.CHECKPOINT, "no such checkpoint", "deg", Status.NO_TRUTH)
    assert tally_patterns([instant, unread]) == PatternTally((), 0, 0, 0)


def test_a_difference_of_two_readings_errs_by_both() -> None:
    """Early roll: the grip end beyond the line by far, and the shaft flatter than at address by 11.5 degrees; the
    limit is 10. With sigmas of 0.5 each the two are apart by 0.7, twice which is less than 1.5; with
    1.5 each it is more.
    """
    butt = CHECKPOINTS[CheckpointId.BUTT_END_INSIDE].bands
    assert butt is not None

    def rows(sigma: float) -> list[Row]:
        def one(checkpoint: CheckpointId, value: float, own: float) -> Row:
            low, high = interval95(value, own)
            return Row(
                "a",
                0,
                Kind.CHECKPOINT,
                checkpoint,
                "deg",
                Status.GIVEN,
                ideal=value,
                value=value,
                sigma=own,
                low=low,
                high=high,
            )

        return [
            one(CheckpointId.BUTT_END_INSIDE, butt.watch_low - 1.0, 0.1),
            one(CheckpointId.SHAFT_PITCH, 45.0, sigma),
            one(CheckpointId.SHAFT_PITCH_AT_ADDRESS, 56.5, sigma),
        ]

    def clear(sigma: float) -> int:
        scores = tally_patterns(rows(sigma)).patterns
        return next(s.clear for s in scores if s.code is FindingCode.EARLY_ROLL)

    assert (clear(0.5), clear(1.5)) == (1, 0)


def test_the_section_says_the_numbers_in_words_and_in_a_table() -> None:
    words, table = pattern_blocks([angle_row("a", LIMIT + 10.0, LIMIT + 9.0)])
    assert isinstance(words, Words)
    assert words.text.startswith("Of 1 patterns that are clearly there 1 were named, 1 of them")
    assert isinstance(table, Table)
    assert ("Under-set", "1", "1", "1", "1", "0", "0", "0") in table.rows


def test_without_truth_the_section_says_so() -> None:
    (words,) = pattern_blocks([])
    assert isinstance(words, Words)

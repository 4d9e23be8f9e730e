"""What moved between two reports, and whether chance explains it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from tests.accuracy.comparing import (
    BIAS,
    GIVEN,
    INSIDE,
    SIZE,
    Change,
    Comparison,
    Count,
    Whole,
    cluster_interval,
    compare,
    sentence,
)
from tests.accuracy.made_up import clip_row, instant_row, reading_row
from tests.accuracy.outline import Outline, outline_of
from tests.accuracy.summary import wilson

CLIPS = [f"clip{i}" for i in range(20)]


def _outline(errors: Sequence[float | None], digest: str = "d") -> Outline:
    rows = [reading_row(clip, error) for clip, error in zip(CLIPS, errors, strict=False)]
    clips = [clip_row(row.clip, digest) for row in rows]
    return Outline({"date": "then"}, {"report": outline_of(clips, rows)})


def _compared(before: Outline, after: Outline) -> Comparison:
    comparison = compare(before, after, "report")
    assert comparison is not None
    return comparison


def _change(comparison: Comparison, metric: str) -> Change:
    (change,) = [one for one in comparison.changes if one.metric == metric]
    return change


def test_the_same_report_did_not_move() -> None:
    outline = _outline([1.0, -2.0, None, 3.0])
    assert not any(change.moved for change in _compared(outline, outline).changes)


def test_reports_of_other_clips_are_summed_up_side_by_side() -> None:
    before, after = _outline([1.0, -2.0, None, 3.0]), _outline([4.0, None, None, None], "other")
    comparison = _compared(before, after)
    assert comparison.clips == 0
    assert comparison.changes == ()
    (angle,) = comparison.unpaired
    assert (angle.id, angle.unit) == ("lead_arm_shaft_angle", "deg")
    assert angle.before == Whole(wilson(3, 4), 0.6667, 2.0, wilson(3, 3))  # four decimals are kept
    assert angle.after == Whole(wilson(1, 4), 4.0, 4.0, wilson(0, 1))


def test_what_one_report_does_not_know_is_none_there() -> None:
    rows = [reading_row("a", None), instant_row("a", 20.0)]
    before = Outline({}, {"report": outline_of([clip_row("a", "x")], rows[:1])})
    after = Outline({}, {"report": outline_of([clip_row("a", "y")], rows[1:])})
    top, angle = _compared(before, after).unpaired
    assert (top.id, top.before) == ("top", None)
    assert (angle.id, angle.after) == ("lead_arm_shaft_angle", None)
    assert angle.before == Whole(wilson(0, 1), None, None, wilson(0, 0))


def test_common_clips_leave_nothing_unpaired() -> None:
    outline = _outline([1.0, 2.0])
    assert _compared(outline, outline).unpaired == ()


def test_errors_smaller_on_every_clip_are_more_than_chance() -> None:
    rng = np.random.default_rng(0)
    before = list(rng.normal(0.0, 5.0, 20))
    change = _change(
        _compared(_outline(before), _outline([0.5 * error for error in before])),
        SIZE,
    )
    assert change.beyond_chance is True
    assert change.after == pytest.approx(0.5 * change.before, abs=1e-4)  # four decimals are kept
    assert change.high < 0.0


def test_errors_moved_up_and_down_alike_are_chance() -> None:
    before = [3.0] * 20
    after = [3.0 + (1.0 if i % 2 else -1.0) for i in range(20)]
    change = _change(_compared(_outline(before), _outline(after)), BIAS)
    assert change.beyond_chance is False


def test_too_few_clips_cannot_tell() -> None:
    comparison = _compared(_outline([5.0] * 5), _outline([1.0] * 5))
    assert _change(comparison, BIAS).beyond_chance is None


def test_only_the_same_file_is_compared() -> None:
    comparison = _compared(_outline([5.0] * 8), _outline([1.0] * 8, digest="other"))
    assert comparison.clips == 0
    assert comparison.changes == ()


def test_withheld_now_and_given_now_are_counted_each() -> None:
    before = [None] * 8 + [1.0] * 4
    after = [1.0] * 8 + [None] + [1.0] * 3
    change = _change(_compared(_outline(before), _outline(after)), GIVEN)
    assert (change.before, change.after) == pytest.approx((4 / 12, 11 / 12))
    # Eight gained, one lost: as rare as 8 or more heads, or tails, in nine throws.
    assert stats.binomtest(8, 9, 0.5).pvalue == pytest.approx(0.0390625)
    assert change.beyond_chance is True


def test_coverage_is_compared_where_both_gave_a_value() -> None:
    comparison = _compared(_outline([1.0] * 8), _outline([9.0] * 8))  # 1.96 * 2 holds 1, not 9
    change = _change(comparison, INSIDE)
    assert (change.before, change.after) == (1.0, 0.0)
    assert change.beyond_chance is True


def test_swings_of_one_clip_do_not_count_as_clips() -> None:
    values = np.random.default_rng(5).normal(0.0, 1.0, 10)
    alone = cluster_interval(values, [str(i) for i in range(10)])
    tenfold = cluster_interval(np.repeat(values, 10), [str(i // 10) for i in range(100)])
    assert tenfold == pytest.approx(alone)


def test_the_interval_is_the_bootstraps_of_scipy() -> None:
    values = np.random.default_rng(6).normal(1.0, 2.0, 40)
    ours = cluster_interval(values, [str(i) for i in range(40)])
    theirs = stats.bootstrap(
        (values,), np.mean, n_resamples=4000, method="percentile", rng=np.random.default_rng(1)
    ).confidence_interval
    # Two runs of 4000 draws differ by some hundredths of the spread.
    assert ours == pytest.approx((theirs.low, theirs.high), abs=0.06)


def test_a_sentence_has_numbers_and_units() -> None:
    change = Change("lead_arm_shaft_angle", BIAS, -2.0, -1.0, 30, 0.4, 1.6, True)  # noqa: FBT003 - a verdict
    words = sentence(change, "deg")
    assert "mean error rose from \N{MINUS SIGN}2.0 to \N{MINUS SIGN}1.0 deg over 30" in words
    share = Change("top", GIVEN, 0.5, 0.5, 4, -1.0, 1.0, False)  # noqa: FBT003 - a verdict
    assert share.moved
    assert "stayed from 50 % to 50 % of 4 (1 gained, 1 lost)" in sentence(share, "ms")


def test_counts_and_correct_events_are_compared_plainly() -> None:
    clips = [clip_row(name) for name in "ab"]
    worse = [replace(clips[0], missed=1, invented=2), clip_row("b", outcome="refused")]
    before = Outline({}, {"report": outline_of(clips, [instant_row("a", 0.0)])})
    after = Outline({}, {"report": outline_of(worse, [instant_row("a", 99.0)])})
    assert _compared(before, before).counts == ()
    assert _compared(before, after).counts == (
        Count("swings missed", "0", "1"),
        Count("swings invented", "0", "2"),
        Count("clips refused", "0", "1"),
        Count("correct events of all", "1 of 1", "0 of 1"),
        Count("correct events of those given", "1 of 1", "0 of 1"),
    )


@pytest.mark.parametrize(("clips", "rate"), [(6, 1 / 8), (35, 1 / 14)])
def test_how_often_nothing_is_called_more_than_chance(clips: int, rate: float) -> None:
    rng, times = np.random.default_rng(1), 400
    names = [str(i) for i in range(clips)]
    ends = [cluster_interval(rng.normal(0.0, 1.0, clips), names) for _ in range(times)]
    called = sum(low > 0.0 or high < 0.0 for low, high in ends) / times
    # Three standard errors of 400 tries; the report's own words give these rates.
    assert called == pytest.approx(rate, abs=3.0 * (rate * (1.0 - rate) / times) ** 0.5)

"""The report's statistics against scipy and against cases worked by hand."""

import math

import numpy as np
import pytest
from scipy import stats

from tests.accuracy.summary import reliability, risk_curve, spread, summarise, wilson


@pytest.mark.parametrize("total", [1, 2, 9, 10, 57, 400])
@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.93, 1.0])
@pytest.mark.parametrize("level", [0.5, 0.95, 0.99])
def test_wilson_is_scipys(total: int, share: float, level: float) -> None:
    count = round(share * total)
    ours = wilson(count, total, level)
    theirs = stats.binomtest(count, total).proportion_ci(level, method="wilson")
    assert ours.low == pytest.approx(theirs.low, abs=1e-12)
    assert ours.high == pytest.approx(theirs.high, abs=1e-12)
    assert ours.low <= ours.value <= ours.high


def test_wilson_of_nothing_says_nothing() -> None:
    nothing = wilson(0, 0)
    assert (nothing.low, nothing.high) == (0.0, 1.0)
    assert math.isnan(nothing.value)


@pytest.mark.parametrize(("count", "total"), [(-1, 3), (4, 3)])
def test_wilson_refuses_what_is_no_share(count: int, total: int) -> None:
    with pytest.raises(ValueError, match="is no share"):
        wilson(count, total)


def test_a_summary_worked_by_hand() -> None:
    summary = summarise([-3.0, 1.0, 2.0, 4.0])
    assert summary is not None
    assert summary.n == 4
    assert summary.mean == 1.0
    assert summary.rmse == pytest.approx(math.sqrt(30.0 / 4.0))
    assert summary.median_size == 2.5
    assert summary.mean_size == 2.5
    # Sizes 1 2 3 4: rank 0.9 * 3 = 2.7, so seven tenths of the way from 3 to 4.
    assert summary.p90_size == pytest.approx(3.7)
    assert summary.worst_size == 4.0


def test_a_summary_of_nothing_is_none() -> None:
    assert summarise([]) is None


def test_spread_is_the_samples() -> None:
    assert spread([1.0, 2.0, 6.0]) == pytest.approx((3.0, math.sqrt(7.0)))
    assert spread([1.0]) is None


def test_a_kept_promise_lies_on_the_diagonal() -> None:
    curve = reliability(list(np.random.default_rng(3).standard_normal(20_000)))
    for point in curve:
        # Four standard errors of 20,000 draws.
        assert point.observed.value == pytest.approx(point.level, abs=4 * 0.5 / math.sqrt(20_000))


def test_too_small_a_sigma_shows_below_the_diagonal() -> None:
    curve = reliability(list(2.0 * np.random.default_rng(4).standard_normal(5_000)))
    assert all(point.observed.high < point.level for point in curve)


def test_reliability_counts_by_hand() -> None:
    half, *_, most = reliability([0.0, -0.67, 0.68, 2.5, -3.0])
    # Half of a normal lies within 0.6745 sigma, 99 % within 2.576.
    assert (half.observed.count, half.observed.total) == (2, 5)
    assert most.observed.count == 4


def test_risk_rises_with_what_is_given() -> None:
    given = [(2.0, -4.0), (0.5, 1.0), (1.0, 2.0)]
    points = risk_curve(given, true_total=4)
    assert [point.share for point in points] == [0.25, 0.5, 0.75]
    assert [point.mean_size for point in points] == pytest.approx([1.0, 1.5, 7.0 / 3.0])


def test_readings_of_equal_sigma_enter_together() -> None:
    points = risk_curve([(1.0, 9.0), (1.0, 1.0)], true_total=2)
    assert [(point.share, point.mean_size) for point in points] == [(1.0, 5.0)]


def test_no_more_can_be_given_than_there_is() -> None:
    with pytest.raises(ValueError, match="more readings"):
        risk_curve([(1.0, 1.0)], true_total=0)

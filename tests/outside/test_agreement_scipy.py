"""Agreement against scipy and numpy, and against the same quantity written otherwise."""

import numpy as np
import pytest
from scipy import stats

from api.domain.agreement import differences, reliability, t_quantile


@pytest.mark.parametrize("freedom", [10, 15, 29, 30, 59, 200, 5000])
def test_students_t(freedom: int) -> None:
    assert t_quantile(freedom) == pytest.approx(stats.t.ppf(0.975, freedom), abs=2e-4)


@pytest.mark.parametrize("seed", range(20))
def test_icc_of_two_readers_by_their_covariance(seed: int) -> None:
    # With two readers ICC(2,1) is 2 cov / (var1 + var2 + d**2 - sd**2 / n), without any analysis of variance.
    numbers = np.random.default_rng(seed)
    clips = numbers.normal(90.0, 8.0, 40)
    first = clips + numbers.normal(0.0, 2.0, 40)
    second = clips + numbers.normal(seed / 5.0, 3.0, 40)
    apart = second - first
    covariance = np.cov(first, second)
    whole = covariance[0, 0] + covariance[1, 1] + apart.mean() ** 2 - apart.var(ddof=1) / 40
    found = reliability(np.column_stack([first, second]).tolist())
    assert found is not None
    assert found.icc == pytest.approx(2 * covariance[0, 1] / whole)


@pytest.mark.parametrize("seed", range(5))
def test_the_mean_difference_and_its_interval(seed: int) -> None:
    numbers = np.random.default_rng(seed)
    pairs = numbers.normal(0.0, 3.0, (35, 2))
    test = stats.ttest_1samp(pairs[:, 1] - pairs[:, 0], 0.0)
    interval = test.confidence_interval(0.95)
    found = differences([(float(a), float(b)) for a, b in pairs])
    assert found.mean == pytest.approx(float(np.mean(pairs[:, 1] - pairs[:, 0])))
    assert found.mean_interval.low == pytest.approx(interval.low, abs=1e-3)
    assert found.mean_interval.high == pytest.approx(interval.high, abs=1e-3)
    assert found.sd == pytest.approx(float(np.std(pairs[:, 1] - pairs[:, 0], ddof=1)))


def test_the_intervals_of_the_limits_hold_the_limits() -> None:
    # 4,000 samples of 30 pairs from a known spread: the interval is to hold the true limit about 95 times in 100.
    numbers = np.random.default_rng(7)
    held = 0
    for _ in range(4000):
        apart = numbers.normal(1.0, 2.0, 30)
        found = differences([(0.0, float(one)) for one in apart])
        held += found.upper_interval.low <= 1.0 + 1.959964 * 2.0 <= found.upper_interval.high
    assert 0.935 < held / 4000 < 0.965

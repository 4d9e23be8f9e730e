"""What is more than noise, against published smallest detectable changes and the normal distribution."""

import math

import pytest
from scipy import stats

from api.domain.bands import Bands
from api.domain.change import Moved, change, detectable_change
from api.domain.measurement import Estimate

TARGET = Bands(70.0, 80.0, 100.0, 110.0)


def test_the_published_pair_of_standard_error_and_detectable_change() -> None:
    """Guadagnin et al. 2025 (Braz J Motor Behav 19): SEM up to 2.6 degrees between raters, detectable change up to 7.2."""
    assert round(detectable_change(2.6), 1) == 7.2


def test_the_factor_is_that_of_a_difference_of_two_normal_errors() -> None:
    """Of two readings of a thing that did not change, 95 % lie within it: scipy's normal distribution."""
    within = stats.norm(0.0, math.sqrt(2.0)).cdf([-detectable_change(1.0), detectable_change(1.0)])
    assert within[1] - within[0] == pytest.approx(0.95, abs=1e-12)


@pytest.mark.parametrize(("before", "after"), [(1.5, 1.5), (0.5, 3.0)])
def test_either_clip_brings_its_own_error(before: float, after: float) -> None:
    found = change(Estimate(90.0, before), Estimate(90.0, after), None)
    assert found.least == pytest.approx(1.959964 * math.hypot(before, after), rel=1e-6)
    if before == after:
        assert found.least == pytest.approx(detectable_change(before))


@pytest.mark.parametrize(
    ("before", "after", "moved"),
    [
        (120.0, 117.0, Moved.NOT_CLEAR),
        (120.0, 105.0, Moved.NEARER),
        (120.0, 95.0, Moved.NEARER),
        (95.0, 108.0, Moved.FARTHER),
        (97.0, 84.0, Moved.WITHIN),
        (108.0, 66.0, Moved.FARTHER),
        (110.0, 70.0, Moved.CHANGED),
    ],
)
def test_what_a_change_means_for_the_target(before: float, after: float, moved: Moved) -> None:
    found = change(Estimate(before, 2.0), Estimate(after, 2.0), TARGET)
    assert found.moved is moved
    assert found.difference == pytest.approx(after - before)
    assert found.is_real is (moved is not Moved.NOT_CLEAR)


def test_without_a_target_it_only_changed() -> None:
    assert change(Estimate(1.0, 0.1), Estimate(2.0, 0.1), None).moved is Moved.CHANGED

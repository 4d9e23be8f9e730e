"""Agreement of two readers, against worked examples that were published."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.agreement import (
    LEAST_PAIRS,
    NoFigure,
    agreement_of,
    differences,
    reliability,
    t_quantile,
)

# Shrout and Fleiss, Psychological Bulletin 86 (1979), table 2: six targets, four judges.
FOUR_JUDGES = [(9, 2, 5, 8), (6, 1, 3, 2), (8, 4, 6, 8), (7, 1, 2, 6), (10, 5, 6, 9), (6, 2, 4, 7)]
# Bland and Altman, Lancet 1 (1986) 307-310, table: peak flow, l/min, first reading of each meter.
LARGE = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
MINI = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]


def test_icc_of_shrout_and_fleiss() -> None:
    found = reliability(FOUR_JUDGES)
    assert found is not None
    assert round(found.icc, 2) == 0.29  # their table 4, ICC(2,1)
    # From their table 3, JMS 32.49 and EMS 1.02: sqrt(1.02 + (32.49 - 1.02) / 6).
    assert found.sem == pytest.approx(2.502, abs=0.003)


def test_differences_of_bland_and_altman() -> None:
    found = differences(list(zip(MINI, LARGE, strict=True)))
    assert round(found.mean, 1) == -2.1
    assert round(found.sd, 1) == 38.8
    assert round(found.mean_interval.low, 1) == -22.0
    assert round(found.mean_interval.high, 1) == 17.8
    # They write 2 for 1.96 in the limits (-79.7 and 75.5) and 3/n for their variance (-114.3 to -45.1 for the lower).
    assert found.limits.low == pytest.approx(-79.7, abs=2.0)
    assert found.limits.high == pytest.approx(75.5, abs=2.0)
    assert found.lower_interval.low == pytest.approx(-114.3, abs=2.5)
    assert found.lower_interval.high == pytest.approx(-45.1, abs=2.5)


def test_a_reader_who_always_says_more_counts_as_error() -> None:
    same = [(float(value), float(value)) for value in range(40)]
    shifted = [(first, second + 10.0) for first, second in same]
    alike, apart = reliability(same), reliability(shifted)
    assert alike is not None
    assert apart is not None
    assert alike.icc == pytest.approx(1.0)
    assert alike.sem == pytest.approx(0.0)
    assert apart.icc < 0.8
    assert apart.sem == pytest.approx(50**0.5)  # the readers' variance: 10**2 / 2


def test_too_few_pairs_have_no_figure_and_say_so() -> None:
    pairs = [(float(value), value + 1.0) for value in range(LEAST_PAIRS - 1)]
    few = agreement_of(pairs)
    assert (few.pairs, few.differences, few.reliability) == (LEAST_PAIRS - 1, None, None)
    assert few.reason is NoFigure.TOO_FEW
    enough = agreement_of([*pairs, (100.0, 101.0)])
    assert enough.reason is None
    assert enough.differences is not None
    assert enough.differences.mean == pytest.approx(1.0)
    assert enough.reliability is not None


def test_of_the_same_number_everywhere_only_the_differences_are_told() -> None:
    found = agreement_of([(5.0, 5.0)] * LEAST_PAIRS)
    assert found.reason is NoFigure.NO_SPREAD
    assert found.reliability is None
    assert found.differences is not None
    assert found.differences.sd == 0.0


@given(
    st.lists(st.tuples(*[st.floats(-180, 180)] * 2), min_size=2, max_size=40),
    st.floats(-50, 50),
)
def test_where_the_zero_of_the_scale_lies_changes_no_agreement(
    pairs: list[tuple[float, float]], zero: float
) -> None:
    here, there = reliability(pairs), reliability([(a + zero, b + zero) for a, b in pairs])
    if here is None or there is None or here.sem < 1e-3:  # rounding alone
        return
    assert here.icc == pytest.approx(there.icc, abs=1e-3)
    assert here.sem == pytest.approx(there.sem, rel=1e-3)
    assert here.icc <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("freedom", "t"), [(10, 2.2281), (16, 2.1199), (29, 2.0452), (120, 1.9799)]
)
def test_students_t_as_it_is_tabled(freedom: int, t: float) -> None:
    assert t_quantile(freedom) == pytest.approx(t, abs=0.0002)

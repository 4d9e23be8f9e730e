"""Corrections move the machine little while they are few, and wholly when they are many."""

import numpy as np
import pytest

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.corrections import (
    FEWEST,
    LEFT_ALONE_WEIGHT,
    Correction,
    Learnt,
    RateClass,
    adjusted,
    learn,
    rate_class,
)
from api.domain.measurement import Missing, Reading
from api.domain.names import Band
from api.domain.uncertainty import Z95
from tests.api.domain.test_findings import reading

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE


def corrections(count: int, bias: float, spread: float, seed: int = 3) -> list[Correction]:
    random = np.random.default_rng(seed)
    return [
        Correction(float(bias + random.normal() * spread), machine_sigma=3.0, coach_sigma=2.6)
        for _ in range(count)
    ]


def test_none_and_two_teach_nothing() -> None:
    for count in (0, 2):
        assert learn(corrections(count, 9.0, 1.0)).bias == 0.0
        assert learn(corrections(count, 9.0, 1.0)).spread == 0.0


def test_few_are_drawn_towards_zero_and_many_are_believed() -> None:
    few, many = learn(corrections(4, 5.0, 4.0)), learn(corrections(400, 5.0, 4.0))
    mean_of_few = float(np.mean([one.difference for one in corrections(4, 5.0, 4.0)]))
    assert abs(few.bias) < abs(mean_of_few)
    assert many.bias == pytest.approx(5.0, abs=0.4)
    assert many.bias_sigma < few.bias_sigma


def test_the_posterior_is_that_of_the_normal_model() -> None:
    """By hand: four differences of mean 4 and variance below the stated 3^2 + 2.6^2 = 15.76."""
    given = [Correction(value, 3.0, 2.6) for value in (3.0, 5.0, 3.0, 5.0)]
    found = learn(given)
    assert found.bias == pytest.approx(4.0 * (4 / 15.76) / (4 / 15.76 + 1 / 9))
    assert found.bias_sigma == pytest.approx((4 / 15.76 + 1 / 9) ** -0.5)
    assert found.spread == 0.0


def test_spread_beyond_what_was_stated_is_found_and_no_other() -> None:
    stated = (3.0**2 + 2.6**2) ** 0.5
    assert learn(corrections(600, 0.0, stated)).spread < 1.2
    assert learn(corrections(600, 0.0, (stated**2 + 25.0) ** 0.5)).spread == pytest.approx(
        5.0, rel=0.15
    )


@pytest.mark.parametrize("count", [4, 30])
def test_learning_helps_where_there_is_a_bias_and_hardly_harms_where_there_is_none(
    count: int,
) -> None:
    left: dict[float, list[float]] = {bias: [] for bias in (0.0, 4.0)}
    for bias, found in left.items():
        for seed in range(200):
            found.append(abs(bias - learn(corrections(count, bias, 4.0, seed)).bias))
    assert float(np.mean(left[4.0])) < 4.0 * 0.6
    assert float(np.mean(left[0.0])) < 1.3


def test_the_fewest_that_teach_do_and_one_less_does_not() -> None:
    assert not learn(corrections(FEWEST - 1, 5.0, 1.0)).teaches
    assert learn(corrections(FEWEST, 5.0, 1.0)).teaches


class TestLeftAlone:
    def test_three_corrected_among_a_hundred_hardly_move_the_rest(self) -> None:
        """Coaches correct the worst: those three say little of the ninety-seven they let stand."""
        worst = [Correction(8.0, 3.0, 2.6)] * 3
        alone = learn(worst)
        among = learn(worst, left_alone=97)
        assert alone.bias > 4.0
        assert 0.0 < among.bias < 1.0
        assert among.spread == 0.0
        assert (among.cases, among.left_alone) == (3, 97)

    def test_they_count_as_weaker_corrections_of_nothing(self) -> None:
        """By hand: four of 4 degrees and eight left alone are six corrections' worth of mean 16 / 6."""
        found = learn([Correction(4.0, 3.0, 2.6)] * 4, left_alone=8)
        total = 4 + LEFT_ALONE_WEIGHT * 8
        assert total == 6.0
        assert found.bias == pytest.approx((16 / 6) * (6 / 15.76) / (6 / 15.76 + 1 / 9))
        assert found.bias_sigma == pytest.approx((6 / 15.76 + 1 / 9) ** -0.5)

    def test_alone_they_teach_nothing(self) -> None:
        assert learn(corrections(2, 5.0, 1.0), left_alone=500) == Learnt(0.0, 0.0, 0.0, 2, 500)

    def test_a_machine_without_a_bias_is_left_where_it_is_though_its_worst_are_corrected(
        self,
    ) -> None:
        """Errors of sigma 3 without bias, and a coach who corrects what lies more than 6 too high."""
        random = np.random.default_rng(5)
        errors = random.normal(0.0, 3.0, 4000)
        worst = [Correction(float(error), 3.0, 2.6) for error in errors if error > 6.0]
        assert learn(worst).bias > 5.0
        assert learn(worst, left_alone=len(errors) - len(worst)).bias < 0.8

    def test_the_more_were_left_alone_the_less_the_rest_are_moved(self) -> None:
        for given in ((8.0, 8.0, 8.0), (0.5, -0.5, 40.0), (2.0, 6.0, 9.0, -1.0)):
            few = [Correction(each, 4.0, 2.6) for each in given]
            moved = [
                abs(learn(few, left_alone=count).bias) for count in (0, 1, 2, 5, 10, 20, 50, 100)
            ]
            assert moved == sorted(moved, reverse=True)


class TestOneSlip:
    def test_it_does_not_teach_everybody(self) -> None:
        """A point put down in the wrong place, 40 degrees off: the machine's clear reading stays clear."""
        slip = [Correction(each, 4.0, 2.6) for each in (0.5, -0.5, 40.0)]
        clear = reading(ANGLE, 125.0, 3.5)
        told = adjusted(ANGLE, clear, learn(slip))
        assert isinstance(told, Reading)
        assert told.band is clear.band is Band.OUTSIDE

    def test_among_many_it_hardly_counts(self) -> None:
        many = [Correction(each / 10.0, 4.0, 2.6) for each in range(-4, 5)]
        found = learn([*many, Correction(40.0, 4.0, 2.6)])
        assert abs(found.bias) < 1.2
        assert found.spread < 1.0

    def test_a_bias_that_all_show_is_no_slip(self) -> None:
        assert learn([Correction(20.0, 4.0, 2.6)] * 12).bias == pytest.approx(20.0, rel=0.15)


def test_coaches_who_agree_with_the_machine_widen_nothing() -> None:
    raw = reading(ANGLE, 85.0, 3.5)
    for count in (3, 10, 100):
        told = adjusted(ANGLE, raw, learn([Correction(0.0, 3.5, 2.6)] * count))
        assert isinstance(told, Reading)
        assert told.sigma == pytest.approx(raw.sigma, rel=0.02)


@pytest.mark.parametrize(
    ("pictures_per_s", "expected"),
    [
        (23.976, RateClass.UNDER_45),
        (29.97, RateClass.UNDER_45),
        (44.9, RateClass.UNDER_45),
        (45.0, RateClass.FROM_45),
        (50.0, RateClass.FROM_45),
        (239.76, RateClass.FROM_45),
    ],
)
def test_rates_fall_into_two_classes(pictures_per_s: float, expected: RateClass) -> None:
    assert rate_class(pictures_per_s) is expected


class TestAdjusted:
    LEARNT = Learnt(bias=4.0, bias_sigma=1.2, spread=2.0, cases=9)

    def test_the_bias_comes_off_and_the_spread_is_added_in_squares(self) -> None:
        told = adjusted(ANGLE, reading(ANGLE, 94.0, 3.0), self.LEARNT)
        assert isinstance(told, Reading)
        assert told.value == pytest.approx(90.0)
        assert told.sigma == pytest.approx((9.0 + 4.0) ** 0.5)
        assert told.high - told.low == pytest.approx(2 * Z95 * told.sigma)
        assert (told.points, told.inputs, told.frame) == ({}, {}, 1)

    def test_the_band_is_decided_anew(self) -> None:
        raw = reading(ANGLE, 103.0, 1.0)
        assert raw.band is Band.WATCH
        told = adjusted(ANGLE, raw, Learnt(8.0, 0.5, 0.0, 40))
        assert isinstance(told, Reading)
        assert told.band is Band.GOOD

    def test_against_the_students_own_bands_where_there_are_any(self) -> None:
        own = Bands(90.0, 96.0, 110.0, 115.0)
        told = adjusted(ANGLE, reading(ANGLE, 103.0, 0.5), Learnt(10.0, 0.5, 0.0, 40), bands=own)
        assert isinstance(told, Reading)
        assert told.band is Band.WATCH

    def test_nothing_learnt_leaves_the_very_reading(self) -> None:
        raw = reading(ANGLE, 94.0, 3.0)
        assert adjusted(ANGLE, raw, Learnt(0.0, 0.0, 0.0, 2)) is raw

    def test_what_is_then_too_uncertain_is_no_number(self) -> None:
        told = adjusted(ANGLE, reading(ANGLE, 94.0, 15.0), Learnt(1.0, 5.0, 15.0, 9))
        assert isinstance(told, Missing)
        assert "Too uncertain" in told.reason

    def test_a_value_stays_what_the_quantity_can_be(self) -> None:
        bend = CheckpointId.LEAD_ELBOW_BEND
        told = adjusted(bend, reading(bend, 3.0, 2.0), self.LEARNT)
        assert isinstance(told, Reading)
        assert (told.value, told.low) == (0.0, 0.0)

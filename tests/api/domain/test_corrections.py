"""Corrections move the machine little while they are few, and wholly when they are many."""

import numpy as np
import pytest

from api.domain.corrections import Correction, learn


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

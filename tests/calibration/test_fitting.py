"""The residual makes intervals hold on cases that it was not fitted to, and adds nothing where none is due."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.uncertainty import Z95
from tests.calibration.fitting import FEWEST, residual


def held(errors: NDArray[np.float64], sigmas: NDArray[np.float64], added: float) -> float:
    return float((np.abs(errors) <= Z95 * np.hypot(sigmas, added)).mean())


@pytest.mark.parametrize("hidden", [0.5, 2.0])
@pytest.mark.parametrize(("cases", "promised"), [(60, 0.95), (40, 0.95), (30, 0.935)])
def test_fresh_cases_are_held_as_often_as_promised(
    hidden: float, cases: int, promised: float
) -> None:
    random = np.random.default_rng(5)
    shares = []
    for _ in range(200):
        sigmas = random.uniform(0.5, 1.5, 2_000 + cases)
        errors = random.normal(size=2_000 + cases) * np.hypot(sigmas, hidden)
        added = residual(errors[:cases].tolist(), sigmas[:cases].tolist())
        assert added is not None
        shares.append(held(errors[cases:], sigmas[cases:], added))
    assert float(np.mean(shares)) == pytest.approx(promised, abs=0.015)


def test_sigmas_that_were_right_need_nothing_to_speak_of() -> None:
    random = np.random.default_rng(6)
    errors = 0.8 * random.normal(size=400)
    assert residual(errors.tolist(), [1.0] * 400) == pytest.approx(0.0, abs=0.1)


def test_with_few_cases_the_worst_weighs_most() -> None:
    """Of ten, 0.95 * 9 = 8.55: between the ninth and the tenth."""
    errors = [0.1] * 9 + [3.0]
    worst = math.sqrt((3.0 / Z95) ** 2 - 1.0)
    assert residual(errors, [1.0] * 10) == pytest.approx(0.55 * worst)


def test_one_case_in_thirty_may_be_something_else_altogether() -> None:
    errors = [0.5] * 58 + [900.0] * 2
    assert residual(errors, [1.0] * 60) == 0.0


def test_too_few_fit_nothing() -> None:
    assert residual([5.0] * (FEWEST - 1), [1.0] * (FEWEST - 1)) is None

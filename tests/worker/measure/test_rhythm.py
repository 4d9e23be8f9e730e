"""Pauses: short interruptions are bridged, as the notes on pauses have it (C12: 70 ms)."""

import numpy as np
import pytest

from worker.measure.rhythm import _longest_below

TIMES = np.arange(61) / 60.0


def slow_between(first: int, last: int, *fast: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Over the threshold everywhere but from sample ``first`` to ``last``, and there in ``fast``."""
    over = np.ones(len(TIMES))
    over[first : last + 1] = -1.0
    over[list(fast)] = 1.0
    return over


@pytest.mark.parametrize("fast", [(), (30,), (30, 31, 32)])
def test_a_short_interruption_is_bridged(fast: tuple[int, ...]) -> None:
    found = _longest_below(TIMES, slow_between(12, 48, *fast))
    assert found == pytest.approx((11.5 / 60.0, 48.5 / 60.0))


def test_a_longer_one_ends_the_pause() -> None:
    found = _longest_below(TIMES, slow_between(12, 48, 30, 31, 32, 33, 34))
    assert found == pytest.approx((11.5 / 60.0, 29.5 / 60.0))


def test_no_slow_sample_is_no_pause() -> None:
    assert _longest_below(TIMES, np.ones(len(TIMES))) is None

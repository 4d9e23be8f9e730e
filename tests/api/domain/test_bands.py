"""Where an interval sits against its limits; the cases are shared with the page."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.bands import Bands, band_of, region
from api.domain.names import Band
from tests.api.domain import vector_files

SHARED = vector_files.read("bands")
ANGLE = Bands(**SHARED["bands"])


@pytest.mark.parametrize("case", SHARED["cases"], ids=lambda case: f"{case['low']}-{case['high']}")
def test_the_band_of_an_interval(case: dict[str, Any]) -> None:
    assert band_of(case["low"], case["high"], ANGLE) == case["expected"]


@pytest.mark.parametrize(
    ("value", "expected"),
    [(69.9, 0), (70, 1), (79.9, 1), (80, 2), (100, 2), (100.1, 3), (112, 3), (112.1, 4)],
)
def test_a_limit_belongs_to_the_better_band(value: float, expected: int) -> None:
    assert region(value, ANGLE) == expected


@given(st.floats(0, 180), st.floats(0, 180))
def test_a_placed_interval_touches_one_stretch_only(one: float, other: float) -> None:
    low, high = min(one, other), max(one, other)

    if band_of(low, high, ANGLE) is not Band.TOO_CLOSE:
        assert region(low, ANGLE) == region((low + high) / 2, ANGLE) == region(high, ANGLE)


@pytest.mark.parametrize(
    "limits",
    [(80, 70, 100, 112), (70, 80, 80, 112), (70, 80, 112, 100), (float("nan"), 80, 100, 112)],
)
def test_limits_out_of_order_are_refused(limits: tuple[float, float, float, float]) -> None:
    with pytest.raises(ValueError, match="must rise"):
        Bands(*limits)

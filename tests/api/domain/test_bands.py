"""Where an interval sits against its limits; the cases are shared with the page."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.bands import PLAUSIBLE, Bands, band_of, own_bands, region
from api.domain.checkpoints import CHECKPOINTS
from api.domain.errors import Invalid
from api.domain.names import Band, Unit
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


NAN, INFINITE = float("nan"), float("inf")


class TestOwnBands:
    def test_four_rising_limits_are_taken_as_they_are(self) -> None:
        assert own_bands((78, 85, 95, 105), Unit.DEGREES) == Bands(78, 85, 95, 105)

    def test_a_watch_limit_may_close_its_band(self) -> None:
        assert own_bands((85, 85, 95, 95), Unit.DEGREES) == Bands(85, 85, 95, 95)

    @pytest.mark.parametrize(
        ("limits", "code", "words"),
        [
            ((NAN, 85, 95, 105), "bands_not_finite", "The lower watch limit is not a number."),
            ((78, 85, 95, INFINITE), "bands_not_finite", "The upper watch limit is not a number."),
            (
                (78, 85, 950, 1050),
                "bands_out_of_range",
                "The upper end of the target is 950; for this number it lies between 0 and 180 degrees.",
            ),
            (
                (-1, 85, 95, 105),
                "bands_out_of_range",
                "The lower watch limit is -1; for this number it lies between 0 and 180 degrees.",
            ),
            (
                (90, 85, 95, 105),
                "bands_out_of_order",
                "The lower watch limit (90) lies above the lower end of the target (85)",
            ),
            (
                (78, 96, 95, 105),
                "bands_out_of_order",
                "The lower end of the target (96) lies above the upper end of the target (95)",
            ),
            (
                (78, 85, 106, 105),
                "bands_out_of_order",
                "The upper end of the target (106) lies above the upper watch limit (105)",
            ),
            ((78, 90, 90, 105), "bands_out_of_order", "The target has no width"),
        ],
    )
    def test_what_cannot_be_is_refused_in_words(
        self, limits: tuple[float, float, float, float], code: str, words: str
    ) -> None:
        with pytest.raises(Invalid) as refused:
            own_bands(limits, Unit.DEGREES, least=0.0, most=180.0)
        assert refused.value.code == code
        assert refused.value.message.startswith(words)

    def test_without_bounds_of_its_own_a_number_has_those_of_its_unit(self) -> None:
        with pytest.raises(Invalid, match="between -10 and 10"):
            own_bands((-0.5, 0.0, 1.0, 17.5), Unit.GRIP_LENGTHS)

    def test_every_usual_band_could_be_set_for_one_student(self) -> None:
        """Otherwise the range would refuse what the trade itself asks for."""
        assert set(PLAUSIBLE) == set(Unit)
        for one in CHECKPOINTS.values():
            if one.bands is None:
                continue
            usual = one.bands
            limits = (usual.watch_low, usual.good_low, usual.good_high, usual.watch_high)
            assert own_bands(limits, one.unit, least=one.least, most=one.most) == usual

"""The mirror is its own inverse and touches left-handers only."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain import mirror
from api.domain.names import Hand, PointName
from tests.api.domain import vector_files


@pytest.mark.parametrize("case", vector_files.read("geometry")["mirror_x"])
def test_columns_mirror_onto_columns(case: dict[str, Any]) -> None:
    assert mirror.mirror_x(case["x"], case["width_px"]) == case["expected"]


@given(st.integers(0, 2159), st.integers(0, 3839))
def test_a_left_handers_point_comes_back(x: int, y: int) -> None:
    there = mirror.normalise_point((x, y), Hand.LEFT, 2160)

    assert there == (2159 - x, y)
    assert mirror.normalise_point(there, Hand.LEFT, 2160) == (x, y)


def test_a_right_handers_points_stay() -> None:
    seen = {PointName.BUTT: (12.5, 7.0)}

    assert mirror.normalise_points(seen, Hand.RIGHT, 720) == seen


def test_lead_and_trail_swap_body_sides_with_the_hand() -> None:
    assert (mirror.lead_side(Hand.RIGHT), mirror.trail_side(Hand.RIGHT)) == ("left", "right")
    assert (mirror.lead_side(Hand.LEFT), mirror.trail_side(Hand.LEFT)) == ("right", "left")

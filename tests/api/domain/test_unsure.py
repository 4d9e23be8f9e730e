"""Points that the machine was unsure of."""

import random
from typing import Any

import pytest

from api.domain.unsure import doubt_px, is_unsure
from tests.api.domain import vector_files


@pytest.mark.parametrize("case", vector_files.read("desk")["unsure"], ids=vector_files.ids)
def test_the_page_draws_the_same(case: dict[str, Any]) -> None:
    assert is_unsure(case["sigma_px"], case["width"], case["height"]) is case["unsure"]
    assert doubt_px(case["sigma_px"]) == pytest.approx(case["doubt_px"], abs=1e-6, rel=0)


@pytest.mark.parametrize("size", [(720, 1280), (1280, 720)])
def test_the_limit_goes_with_the_longer_side(size: tuple[int, int]) -> None:
    assert not is_unsure(12.8, *size)
    assert is_unsure(12.9, *size)


def test_the_ring_holds_the_true_point_95_times_in_100() -> None:
    throws = random.Random(7)
    sigma = 13.0
    inside = sum(
        throws.gauss(0, sigma) ** 2 + throws.gauss(0, sigma) ** 2 < doubt_px(sigma) ** 2
        for _ in range(40_000)
    )
    assert inside / 40_000 == pytest.approx(0.95, abs=0.005)

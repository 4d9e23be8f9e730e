"""The server's side of what the page computes besides the checkpoints: the page runs the same file.

Where the server has no function of that name it has the parts: how errors add up, and how wide a 95 % interval is.
"""

from typing import Any

import pytest

from api.domain import uncertainty
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import Value, evaluate
from api.domain.coach_points import place_points
from api.domain.names import Hand, PointName
from tests.api.domain import vector_files

VECTORS: dict[str, Any] = vector_files.read("page")
TO = 1e-6


def points_of(given: dict[str, list[float]]) -> dict[PointName, tuple[float, float]]:
    return {PointName(name): (x, y) for name, (x, y) in given.items()}


@pytest.mark.parametrize("case", VECTORS["live"], ids=vector_files.ids)
def test_what_a_coachs_points_make_of_a_number(case: dict[str, Any]) -> None:
    checkpoint = CheckpointId(case["checkpoint"])
    points, inputs = place_points(
        checkpoint, points_of(case["points"]), case["inputs"], points_of(case["placed"])
    )
    answer = evaluate(
        checkpoint, points, inputs, handed=Hand(case["handed"]), width_px=case["width_px"]
    )
    assert isinstance(answer, Value), answer
    expected = case["expected"]
    assert answer.band == expected["band"]
    for name in ("value", "sigma", "low", "high"):
        assert getattr(answer, name) == pytest.approx(expected[name], rel=TO, abs=TO)


def half_width(sigma: float) -> float:
    low, high = uncertainty.interval95(0.0, sigma)
    return (high - low) / 2


@pytest.mark.parametrize("case", VECTORS["onsets"], ids=vector_files.ids)
def test_the_doubt_between_two_onsets(case: dict[str, Any]) -> None:
    inputs = case["inputs"]
    sigma = uncertainty.combine(inputs["sigma_chest_s"], inputs["sigma_hands_s"])
    assert half_width(sigma) == pytest.approx(case["expected"]["doubt_s"], abs=TO)


@pytest.mark.parametrize("case", VECTORS["trends"], ids=vector_files.ids)
def test_the_doubt_between_two_values(case: dict[str, Any]) -> None:
    halves = [(high - low) / 2 for _, low, high in (case["before"], case["now"])]
    assert uncertainty.combine(*halves) == pytest.approx(case["expected"]["doubt"], abs=TO)


@pytest.mark.parametrize("case", VECTORS["instants"], ids=vector_files.ids)
def test_the_doubt_of_an_instant(case: dict[str, Any]) -> None:
    assert half_width(case["sigma_s"]) == pytest.approx(case["expected"]["half_s"], abs=TO)

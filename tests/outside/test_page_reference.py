"""The vectors of what the page computes besides the checkpoints are the reference's, and nobody edited them."""

import json
from typing import Any

import pytest

from tests.outside import page_reference


def numbers_in(value: Any) -> list[Any]:  # noqa: ANN401 - any JSON value
    """Every leaf, in order."""
    if isinstance(value, dict):
        return [leaf for one in value.values() for leaf in numbers_in(one)]
    if isinstance(value, list):
        return [leaf for one in value for leaf in numbers_in(one)]
    return [value]


def test_the_vector_file_is_the_reference() -> None:
    stored = json.loads(page_reference.VECTORS.read_text())
    built = json.loads(page_reference.written(page_reference.build()))
    assert stored.keys() == built.keys()
    for part in stored:
        one, other = numbers_in(stored[part]), numbers_in(built[part])
        assert len(one) == len(other)
        for kept, now in zip(one, other, strict=True):
            # Numerical differences differ in the last digits between machines.
            assert kept == (pytest.approx(now, rel=1e-7, abs=1e-9) if type(now) is float else now)


def test_both_sides_of_every_judgement_are_among_them() -> None:
    built = page_reference.build()
    assert {case["expected"]["apart"] for case in built["onsets"]} == {
        "before",
        "after",
        "together",
    }
    assert {case["expected"]["change"] for case in built["trends"]} == {
        "up",
        "down",
        "no clear change",
    }
    assert len({case["checkpoint"] for case in built["live"]}) > 20

"""The shared vectors are what the second way of computing them gives, and nobody edited them."""

import json

import pytest

from tests.outside import evaluate_reference


def test_the_vector_file_is_the_reference() -> None:
    stored = json.loads(evaluate_reference.VECTORS.read_text())
    built = evaluate_reference.build()

    assert [case["id"] for case in stored["cases"]] == [case["id"] for case in built["cases"]]
    for old, new in zip(stored["cases"], built["cases"], strict=True):
        assert {**old, "expected": None} == {**new, "expected": None}
        if "missing" in new["expected"]:
            assert old["expected"] == new["expected"]
        else:
            band = new["expected"].pop("band")
            assert old["expected"].pop("band") == band
            # Numerical differences differ in the last digits between machines.
            assert old["expected"] == pytest.approx(new["expected"], rel=1e-7)


@pytest.mark.parametrize("checkpoint", evaluate_reference.DEFINITIONS)
def test_every_band_and_both_hands_are_among_the_vectors(checkpoint: str) -> None:
    cases = json.loads(evaluate_reference.VECTORS.read_text())["cases"]
    seen = {
        (case["expected"].get("band"), case["handed"])
        for case in cases
        if case["checkpoint"] == checkpoint
    }
    wanted = {"good", "watch", "outside", "too_close"}
    if evaluate_reference.DEFINITIONS[checkpoint]["bands"] is None:
        wanted = {"no_target"}

    for hand in ("right", "left"):
        assert wanted <= {band for band, side in seen if side == hand}


def test_both_hands_read_the_same_from_mirrored_pictures() -> None:
    cases = {case["id"]: case["expected"] for case in evaluate_reference.build()["cases"]}
    pairs = [name for name in cases if name.endswith(" right")]

    assert len(pairs) > 100
    for name in pairs:
        other = cases.get(f"{name.removesuffix('right')}left")
        if other is not None and "value" in other:
            assert other["value"] == pytest.approx(cases[name]["value"], abs=1e-9)
            assert other["band"] == cases[name]["band"]

"""Numbers and doses on paper, against the vectors that the pages are held to."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.sheet import amounts, words
from api.sheet.groups import GROUPS, PLACE
from tests.api.domain.vector_files import read

ROOT = Path(__file__).resolve().parents[3]
VECTORS: dict[str, list[list[Any]]] = read("amounts")
SAYERS: dict[str, Callable[..., str]] = {
    "amount": amounts.amount,
    "bound": amounts.bound,
    "target": amounts.target,
    "range": amounts.span,
    "with_doubt": amounts.amount_with_doubt,
}


@pytest.mark.parametrize(
    ("name", "case"),
    [(name, case) for name in SAYERS for case in VECTORS[name]],
    ids=str,
)
def test_a_number_is_said_as_on_the_page(name: str, case: list[Any]) -> None:
    *values, measure, said = case
    assert SAYERS[name](*values, amounts.SAYINGS[measure]) == said


@pytest.mark.parametrize(("dose", "said"), VECTORS["dose"])
def test_a_dose_is_said_as_on_the_page(dose: dict[str, Any], said: str) -> None:
    assert words.dose(dose) == said


def test_every_unit_has_a_saying() -> None:
    for checkpoint, defined in CHECKPOINTS.items():
        saying = amounts.saying_of(checkpoint, defined.unit)
        assert amounts.amount(0.5, saying).endswith(saying.words)


def test_groups_are_those_of_the_page() -> None:
    source = (ROOT / "web" / "src" / "answer" / "groups.ts").read_text()
    table = source[source.index("const GROUPS") : source.index("/** Where numbers go")]
    on_page = {
        name: tuple(re.findall(r'"(\w+)"', ids))
        for name, ids in re.findall(r'name: "([^"]+)",\s*ids: \[([^\]]*)\]', table)
    }
    assert dict(GROUPS) == on_page
    assert set(PLACE) == {one for one in CheckpointId if not CHECKPOINTS[one].main}

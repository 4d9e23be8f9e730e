"""The vectors that Python and the page share are there, and both sides read every one of them."""

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
VECTORS = sorted((ROOT / "tests" / "vectors").glob("*.json"))
PYTHON_TESTS = sorted(
    path
    for folder in ("api/domain", "api/sheet", "worker/measure")
    for path in (ROOT / "tests" / folder).glob("*.py")
)
PAGE_TESTS = sorted((ROOT / "web" / "src").rglob("*.test.ts"))
# What the page does not compute has no twin in TypeScript.
PYTHON_ALONE: frozenset[str] = frozenset()


def test_there_are_vectors() -> None:
    assert {path.stem for path in VECTORS} >= {"geometry", "checkpoints", "trade"}


@pytest.mark.parametrize("path", VECTORS, ids=lambda path: path.stem)
def test_a_vector_file_is_read_by_a_test_on_each_side(path: Path) -> None:
    assert json.loads(path.read_text())
    assert any(f'"{path.stem}"' in test.read_text() for test in PYTHON_TESTS)
    if path.stem not in PYTHON_ALONE:
        assert any(f"vectors/{path.name}" in test.read_text() for test in PAGE_TESTS)

"""Reads the vectors that Python and the page share."""

import json
from pathlib import Path
from typing import Any

VECTORS = Path(__file__).parents[2] / "vectors"


def read(name: str) -> Any:  # noqa: ANN401 - JSON of a shape each test knows
    """The content of ``tests/vectors/<name>.json``."""
    return json.loads((VECTORS / f"{name}.json").read_text())


def ids(case: dict[str, Any]) -> str:
    """A case's name for the test report."""
    return str(case["id"])

"""``results.json``: every row of a report, for programs. Versioned; a field is never given new meaning."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from tests.accuracy.comparing import Comparison
from tests.accuracy.rows import ClipRow, Row, clip_row_from_json, row_from_json, row_to_json

SCHEMA = "fairlead.accuracy/1"


def write_results(
    path: Path,
    made: Mapping[str, str],
    sets: Mapping[str, tuple[Sequence[ClipRow], Sequence[Row]]],
    comparisons: Mapping[str, Comparison],
    real_pictures: Mapping[str, float],
) -> None:
    """Write every row of every set, what moved, and the numbers from photographs."""
    content = {
        "schema": SCHEMA,
        "made": dict(made),
        "sets": {
            name: {"clips": [*map(row_to_json, clips)], "rows": [*map(row_to_json, rows)]}
            for name, (clips, rows) in sets.items()
        },
        "moved": {name: _moved(comparison) for name, comparison in comparisons.items()},
        "real_pictures": dict(real_pictures),
    }
    path.write_text(json.dumps(content, indent=1, allow_nan=False) + "\n", encoding="utf-8")


def _moved(comparison: Comparison) -> dict[str, Any]:
    return {
        "against": dict(comparison.before),
        "same_clips": comparison.clips,
        "changes": [
            {
                "id": change.id,
                "metric": change.metric,
                "before": change.before,
                "after": change.after,
                "cases": change.cases,
                "beyond_chance": change.beyond_chance,
            }
            for change in comparison.changes
        ],
        "unpaired": [asdict(one) for one in comparison.unpaired],
    }


def read_results(path: Path) -> dict[str, tuple[list[ClipRow], list[Row]]]:
    """Sets of a results file. Raises ``ValueError`` for another schema."""
    content = json.loads(path.read_text(encoding="utf-8"))
    if content.get("schema") != SCHEMA:
        raise ValueError(f"{path.name} is {content.get('schema')!r}; this version reads {SCHEMA!r}")
    return {
        name: ([*map(clip_row_from_json, one["clips"])], [*map(row_from_json, one["rows"])])
        for name, one in content["sets"].items()
    }

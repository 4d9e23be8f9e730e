"""A report in short: its summary and every error, small enough to keep and to compare with later.

``tests/accuracy/standard.json`` is the one kept in git; README's table is made from it.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from tests.accuracy.rows import LOST, ClipRow, Row, Status
from tests.accuracy.tally import Tally, share_of_correct_events, tally_all
from tests.accuracy.targets import targets_of

SCHEMA = "fairlead.accuracy.outline/1"
STANDARD = Path(__file__).resolve().parent / "standard.json"
SHORT = 16
"""Hexadecimal digits of a digest that an outline keeps."""

Value = tuple[float, float | None] | None
"""Error and sigma of a given value; ``None`` of a true one that was not given."""


@dataclass(frozen=True, slots=True)
class SetOutline:
    """One set of clips. ``clips``: name to digest; ``values``: id to (clip#swing to value)."""

    clips: Mapping[str, str]
    values: Mapping[str, Mapping[str, Value]]
    summary: Mapping[str, Mapping[str, Any]]
    swings: Mapping[str, int]
    correct_events: Mapping[str, Any]
    targets: Sequence[Mapping[str, Any]] = ()


@dataclass(frozen=True, slots=True)
class Outline:
    """Sets by name, and what made them (date, pipeline, studio, commit)."""

    made: Mapping[str, str]
    sets: Mapping[str, SetOutline]


def outline_of(clips: Sequence[ClipRow], rows: Sequence[Row]) -> SetOutline:
    """Outline of one set."""
    of_all, of_given = share_of_correct_events(rows)
    values: dict[str, dict[str, Value]] = {}
    for row in rows:
        if row.error is not None:
            sigma = None if row.sigma is None else round(row.sigma, 4)
            values.setdefault(row.id, {})[row.key] = (round(row.error, 4), sigma)
        elif row.status in LOST:
            values.setdefault(row.id, {})[row.key] = None
    return SetOutline(
        clips={clip.clip: clip.digest[:SHORT] for clip in clips},
        values=values,
        summary={tally.id: _summary(tally) for tally in tally_all(rows)},
        swings={
            "true": sum(clip.swings_true for clip in clips),
            "missed": sum(clip.missed for clip in clips),
            "invented": sum(clip.invented for clip in clips),
            "clips_refused": sum(clip.outcome == "refused" for clip in clips),
            "clips_crashed": sum(clip.outcome == "crashed" for clip in clips),
        },
        correct_events={"of_all": asdict(of_all), "of_given": asdict(of_given)},
        targets=[asdict(target) for target in targets_of(clips, rows)],
    )


def _summary(tally: Tally) -> dict[str, Any]:
    summary: dict[str, Any] = {
        "kind": tally.kind.value,
        "unit": tally.unit,
        "true": tally.true,
        "given": tally.given,
        "withheld": tally.counts[Status.WITHHELD],
        "invented": tally.counts[Status.INVENTED],
        "sure_wrong": tally.sure_wrong,
        "without_sigma": tally.without_sigma,
        "inside": asdict(tally.inside),
    }
    if tally.half_width is not None:
        summary["median_half_width"] = round(tally.half_width, 4)
    if tally.errors is not None:
        summary["errors"] = _rounded(asdict(tally.errors))
    if tally.correct is not None:
        summary["correct"] = asdict(tally.correct)
    if tally.own is not None:
        summary["own"] = asdict(tally.own)
    return summary


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, 4) for name, value in values.items()}


def write_outline(outline: Outline, path: Path) -> None:
    """Write an outline as JSON: one thing a line, so that a change can be read."""
    content = {
        "schema": SCHEMA,
        "made": dict(outline.made),
        "sets": {name: asdict(one) for name, one in outline.sets.items()},
    }
    text = json.dumps(_no_long_floats(content), indent=1, sort_keys=True, allow_nan=False)
    path.write_text(_on_one_line(text) + "\n", encoding="utf-8")


def _no_long_floats(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    if isinstance(value, float):
        return round(value, 4)
    if isinstance(value, dict):
        return {name: _no_long_floats(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_no_long_floats(item) for item in value]
    return value


def _on_one_line(text: str) -> str:
    """Pull lists of numbers, which ``indent`` spreads over lines, together again."""
    out: list[str] = []
    open_list = False
    for line in text.split("\n"):
        if open_list:
            out[-1] += line.strip() + (" " if line.rstrip().endswith(",") else "")
            open_list = not line.strip().startswith("]")
        else:
            out.append(line)
            open_list = line.rstrip().endswith("[")
    return "\n".join(out)


def read_outline(path: Path) -> Outline:
    """Read what ``write_outline`` wrote. Raises ``ValueError`` for another schema."""
    content = json.loads(path.read_text(encoding="utf-8"))
    if content.get("schema") != SCHEMA:
        raise ValueError(f"{path.name} is {content.get('schema')!r}; this version reads {SCHEMA!r}")
    return Outline(
        content["made"],
        {name: _set_from(one) for name, one in content["sets"].items()},
    )


def _set_from(data: Mapping[str, Any]) -> SetOutline:
    values = {
        name: {key: None if value is None else (value[0], value[1]) for key, value in own.items()}
        for name, own in data["values"].items()
    }
    return SetOutline(**{**data, "values": values})

"""README's accuracy table, made from the outline that is kept in git."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.names import KeyframeId
from tests.accuracy.markdown import row_of
from tests.accuracy.outline import STANDARD, Outline, SetOutline, read_outline
from tests.accuracy.rows import NOT_LOOKED_FOR_YET
from tests.accuracy.seen_before import is_seen
from tests.accuracy.targets import Target, word_of
from tests.accuracy.words import UNIT_WORDS, name_of, number

README = Path(__file__).resolve().parents[2] / "README.md"
BEGIN = "<!-- accuracy: begin; made by `make accuracy-table` from tests/accuracy/standard.json -->"
END = "<!-- accuracy: end -->"
SET, OTHERS = "report", "strangers"

_HEADERS = (
    "",
    "given",
    "mean error",
    "median size",
    "90 % below",
    "worst",
    "median half-width",
    "truth inside the 95 % interval",
    "surely wrong",
)


_FOLDED = frozenset(checkpoint.value for checkpoint, told in CHECKPOINTS.items() if not told.main)


class NoMarkers(ValueError):
    """README has no place for the table."""


def table_of(outline: Outline) -> str:
    """The block between the markers: one sentence, the table, what is folded away, one sentence."""
    one = outline.sets[SET]
    rows = [(identifier, row_of(_cells(identifier, each))) for identifier, each in _ordered(one)]
    others = [row for identifier, row in rows if identifier in _FOLDED]
    shown = [row for identifier, row in rows if identifier not in _FOLDED]
    made = outline.made
    swings = one.swings
    new = (
        ", on which an earlier pipeline was scored before "
        if is_seen(made)
        else " that no rule was made on "
    )
    lead = (
        f"On {len(one.clips)} rendered clips with {swings['true']} swings{new}"
        f"(pipeline {made['pipeline']}, studio {made['studio']}, {made['date'][:10]}): "
        f"swings missed: {swings['missed']}, invented: {swings['invented']}; "
        f"clips refused: {swings['clips_refused']}, crashed: {swings['clips_crashed']}."
    )
    events = one.correct_events
    untried = " and ".join(name_of(name).lower() for name in sorted(NOT_LOOKED_FOR_YET))
    without = f"{untried.capitalize()} are not looked for yet and are in no share. " * bool(untried)
    tail = (
        f"Of the {events['of_all']['total']} instants looked for, {_share(events['of_all'])} are correct by the "
        "published rule (within a thirtieth of the frames from address to impact, at least one); of those given, "
        f"{_share(events['of_given'])}. {without}Swings "
        "without an impact have no such tolerance. Errors are against what an ideally placed camera sees; "
        "half-width is that of the 95 % interval; surely wrong means more than two half-widths off, or given where "
        "there is none, as in an invented swing."
    )
    return "\n".join([lead, "", *_table(shown), "", *_folded(others), tail])


def block_of(outline: Outline) -> str:
    """All that stands between the markers: the table, and the targets where the kept outline knows of them."""
    others = outline.sets.get(OTHERS)
    return "\n".join([table_of(outline), *_targets(outline.sets[SET], others)])


def _targets(one: SetOutline, others: SetOutline | None) -> list[str]:
    """Beside the set's, what the other renderer's clips reached: targets hold for both."""
    if not one.targets:
        return []
    headers = ("target", "wanted", "reached", "cases", "met", "other renderer", "cases", "met")
    there = {each["what"]: Target(**each) for each in (others.targets if others else ())}
    rows = [
        row_of(
            (
                each.what,
                each.wanted,
                *(each.reached, str(each.cases), word_of(each)),
                *_beside(there.get(each.what)),
            )
        )
        for each in (Target(**target) for target in one.targets)
    ]
    return ["", row_of(headers), "|" + "---|" * len(headers), *rows]


def _beside(target: Target | None) -> tuple[str, str, str]:
    if target is None or not target.cases:
        return "-", "0", "-"
    return target.reached, str(target.cases), word_of(target)


def _table(rows: Sequence[str]) -> list[str]:
    return [row_of(_HEADERS), "|" + "---|" * len(_HEADERS), *rows]


def _folded(rows: Sequence[str]) -> list[str]:
    """The numbers that the coach's desk folds away too, folded away."""
    if not rows:
        return []
    summary = f"<details><summary>{len(rows)} more numbers</summary>"
    return [summary, "", *_table(rows), "", "</details>", ""]


def _ordered(one: SetOutline) -> list[tuple[str, Mapping[str, Any]]]:
    """Checkpoints first, they are what the student reads; then the instants as they come."""
    places = [*CheckpointId, *KeyframeId]
    return sorted(one.summary.items(), key=lambda item: places.index(_known(item[0])))


def _known(identifier: str) -> CheckpointId | KeyframeId:
    known: dict[str, CheckpointId | KeyframeId] = {each.value: each for each in CheckpointId}
    known |= {each.value: each for each in KeyframeId}
    return known[identifier]


def _cells(identifier: str, summary: Mapping[str, Any]) -> tuple[str, ...]:
    unit, errors, inside = summary["unit"], summary.get("errors", {}), summary["inside"]
    return (
        f"{name_of(identifier).lower()}, {UNIT_WORDS[unit]}",
        f"{summary['given']} of {summary['true']}",
        number(errors.get("mean"), unit, sign=True),
        number(errors.get("median_size"), unit),
        number(errors.get("p90_size"), unit),
        number(errors.get("worst_size"), unit),
        number(summary.get("median_half_width"), unit),  # an older outline has none
        f"{inside['count']} of {inside['total']}",
        str(summary["sure_wrong"]),
    )


def _share(share: Mapping[str, Any]) -> str:
    if not share["total"]:
        return "none"
    return f"{100.0 * share['count'] / share['total']:.0f} % ({share['count']} of {share['total']})"


def replaced(text: str, block: str) -> str:
    """README's text with the block between its markers replaced. Raises ``NoMarkers``."""
    head, begin, rest = text.partition(BEGIN)
    _, end, tail = rest.partition(END)
    if not begin or not end:
        raise NoMarkers("README.md lacks the two lines that hold the accuracy table")
    return f"{head}{BEGIN}\n\n{block}\n\n{END}{tail}"


def rewrite_readme(readme: Path = README, standard: Path = STANDARD) -> bool:
    """Rewrite README's table; whether anything changed."""
    before = readme.read_text(encoding="utf-8")
    after = replaced(before, block_of(read_outline(standard)))
    if after != before:
        readme.write_text(after, encoding="utf-8")
    return after != before

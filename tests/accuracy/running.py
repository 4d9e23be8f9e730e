"""One run of the report, from clips to files."""

import importlib
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import Protocol

from tests.accuracy import comparing
from tests.accuracy.arm_level import arm_level
from tests.accuracy.comparing import Comparison
from tests.accuracy.content import RealPictures, Section
from tests.accuracy.conventions import CONVENTIONS
from tests.accuracy.html import html_of
from tests.accuracy.made import made_by
from tests.accuracy.markdown import write_markdown
from tests.accuracy.measuring import Measured
from tests.accuracy.outline import Outline, outline_of, read_outline, write_outline
from tests.accuracy.results import write_results
from tests.accuracy.scored import Scored, measure_and_score, unread_checkpoints, worst_figures
from tests.accuracy.sections import Part, all_sections, part
from tests.accuracy.seen_before import SEEN, YES
from tests.accuracy.truths import Absent, TrueClip

TITLE = "How far Fairlead's numbers are from the truth"
REPORT, STRANGERS = "report", "strangers"
SECONDS = "those of this run; clips and measurements that were there already are not made again"
OUTLINE, RESULTS = "outline.json", "results.json"


class Bars(Protocol):
    """Progress of one set: how many clips there are, and each one that is done."""

    def __call__(self, what: str, total: int) -> AbstractContextManager[Callable[[], None]]: ...


@dataclass(frozen=True, slots=True)
class Plan:
    """What one run does. ``before``: the outline to compare with, if there is one. ``quick``: leave
    the photographs out. ``started``: ``time.perf_counter`` when the command began, so that rendering
    counts too. ``seen``: an earlier pipeline was scored on the same clips."""

    out: Path
    kept: Path
    before: Path | None
    studio_version: str
    quick: bool = False
    started: float = field(default_factory=time.perf_counter)
    seen: bool = False


@dataclass(frozen=True, slots=True)
class Done:
    """What a run made, and what it found."""

    report: Path
    outline: Outline
    scored: dict[str, Scored]
    sections: list[Section]


def run(
    plan: Plan,
    standard: Sequence[TrueClip] | Absent,
    strangers: Sequence[TrueClip] | Absent,
    bars: Bars,
) -> Done:
    """Measure, score, compare and write ``report.md``, ``report.html`` and ``results.json``."""
    before = _before(plan)
    plan.out.mkdir(parents=True, exist_ok=True)
    scored: dict[str, Scored] = {}
    parts: dict[str, Part | Absent] = {}
    titles = {REPORT: "Studio clips", STRANGERS: "Agreement with strangers"}
    for name, clips in ((REPORT, standard), (STRANGERS, strangers)):
        if isinstance(clips, Absent):
            parts[name] = clips
            continue
        scored[name] = _scored(titles[name], clips, plan.kept, bars)
        seen = plan.seen and name == REPORT
        parts[name] = _part(name, titles[name], scored[name], seen=seen)
    made = made_by(plan.studio_version)
    if plan.seen:
        made[SEEN] = YES
    outlines = {name: outline_of(one.clip_rows, one.rows) for name, one in scored.items()}
    outline = Outline(made, outlines)
    comparisons = _compared(before, outline)
    real = Absent("the quick report leaves them out.") if plan.quick else real_pictures()
    made["seconds"] = f"{time.perf_counter() - plan.started:.0f}"
    sections = all_sections(
        parts[REPORT],
        parts[STRANGERS],
        comparisons,
        CONVENTIONS,
        real,
        [*made.items(), ("seconds are", SECONDS), *_work(scored)],
    )
    return _written(plan, Done(plan.out, outline, scored, sections), comparisons, real)


def _before(plan: Plan) -> Outline | None:
    return None if plan.before is None else read_outline(plan.before)


def _scored(title: str, clips: Sequence[TrueClip], kept: Path, bars: Bars) -> Scored:
    with bars(f"Measuring: {title.lower()}", len(clips)) as step:

        def on_done(_clip: TrueClip, _measured: Measured) -> None:
            step()

        return measure_and_score(clips, kept, on_done)


def _part(name: str, title: str, one: Scored, *, seen: bool) -> Part:
    return part(
        name,
        title,
        one.clip_rows,
        one.rows,
        unread=unread_checkpoints(list(one.clips.values())),
        worst=worst_figures(name, one, 10 if name == REPORT else 3),
        level=arm_level(one.clips.values(), one.rows),
        seen=seen,
    )


def _compared(before: Outline | None, after: Outline) -> dict[str, Comparison]:
    if before is None:
        return {}
    pairs = {name: comparing.compare(before, after, name) for name in after.sets}
    return {name: comparison for name, comparison in pairs.items() if comparison is not None}


def _work(scored: dict[str, Scored]) -> list[tuple[str, str]]:
    """Processor time of measuring, as it was when each clip was measured."""
    lines = []
    for name, one in scored.items():
        seconds = [clip.cpu_s for clip in one.clip_rows]
        frames = sum(clip.frames for clip in one.clip_rows)
        words = f"{sum(seconds):.0f} s for {len(seconds)} clips of {frames} frames in all"
        lines.append((f"processor time of measuring, {name}", words))
    return lines


def _written(
    plan: Plan, done: Done, comparisons: dict[str, Comparison], real: RealPictures | Absent
) -> Done:
    made = done.outline.made
    facts = f"Pipeline {made['pipeline']}, studio {made['studio']}, commit {made['commit']}, {made['date']}."
    page = html_of(TITLE, facts, done.sections)
    (plan.out / "report.html").write_text(page, encoding="utf-8")
    write_markdown(TITLE, facts, done.sections, plan.out)
    sets = {name: (one.clip_rows, one.rows) for name, one in done.scored.items()}
    numbers = {} if isinstance(real, Absent) else real.numbers
    write_results(plan.out / RESULTS, made, sets, comparisons, numbers)
    write_outline(done.outline, plan.out / OUTLINE)
    return done


def real_pictures() -> RealPictures | Absent:
    """What was checked on photographs."""
    name = "tests.accuracy.real_pictures"
    if find_spec(name) is None:
        return Absent("this version has no such check.")
    found: RealPictures = importlib.import_module(name).section()
    return found

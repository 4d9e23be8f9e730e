"""How far instants and readings are from the truth: ``python -m tests.accuracy``.

Renders the report set's missing clips, measures what changed, and writes ``report.html``,
``report.md`` and ``results.json`` into ``var/accuracy/``. Cut off, it goes on where it stopped.
"""

import argparse
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)
from rich.table import Table as RichTable

from tests.accuracy import tables
from tests.accuracy.content import Table
from tests.accuracy.outline import STANDARD
from tests.accuracy.readme import rewrite_readme
from tests.accuracy.running import OUTLINE, REPORT, STRANGERS, Done, Plan, run
from tests.accuracy.seen_before import seen_before
from tests.accuracy.standard_set import standard_clips
from tests.accuracy.strangers import find_strangers, load_strangers
from tests.accuracy.tally import tally_all
from tests.accuracy.truths import Absent, TrueClip
from tests.studio.clip import studio_version

ROOT = Path(__file__).resolve().parents[2]
OUT = ROOT / "var" / "accuracy"
WIDTH = 118
"""Signs a line where nobody's terminal says."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit status (1: clips were measured, but none could be scored)."""
    parser = _parser()
    chosen = parser.parse_args(arguments)
    if chosen.keep and chosen.quick:
        parser.error("--keep keeps the whole report; it does not go with --quick")
    if chosen.keep and _changed():
        parser.error("--keep needs a tree without changes: commit them first, then measure")
    if chosen.seen and not chosen.keep:
        parser.error("--seen goes with --keep; the report says by itself what it knows")
    console = Console() if sys.stdout.isatty() else Console(width=WIDTH)
    if chosen.readme:
        changed = rewrite_readme()
        console.print("README.md rewritten." if changed else "README.md is as the results say.")
        return 0
    out = chosen.out or (OUT / "quick" if chosen.quick else OUT)
    started = time.perf_counter()
    standard = standard_clips(only_quick=chosen.quick)
    # The report kept in git, and the last one made on this machine, kept or not.
    seen = ""
    if not isinstance(standard, Absent):
        seen = seen_before(standard, STANDARD) or seen_before(standard, out / OUTLINE)
    if seen and chosen.keep and not chosen.seen:
        parser.error(
            f"--keep: {seen}. Take the next block (BLOCK in tests/accuracy/standard_set.py), or add "
            "--seen, which is then kept and said in README"
        )
    plan = Plan(
        out,
        OUT / "measured",
        _before(chosen.against, out),
        studio_version(),
        chosen.quick,
        started,
        seen=bool(seen) or chosen.seen,
    )
    done = run(plan, standard, _strangers(chosen.strangers, quick=chosen.quick), _bars)
    _tell(done, console, time.perf_counter() - started)
    if chosen.keep:
        _keep(done, console)
    return 0 if done.scored else 1


def _changed() -> bool:
    """Whether a tracked file differs from the commit: the outcome would be of no commit."""
    asked = ["git", "status", "--porcelain", "--untracked-files=no"]
    return bool(subprocess.run(asked, cwd=ROOT, check=True, capture_output=True).stdout)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument(
        "--quick", action="store_true", help="a few small clips, under four minutes"
    )
    parser.add_argument("--strangers", type=Path, help="folder of the independent renderer's clips")
    parser.add_argument("--against", type=Path, help="an outline.json to compare with")
    parser.add_argument("--out", type=Path, help="folder for the report, else var/accuracy")
    parser.add_argument(
        "--keep",
        action="store_true",
        help="keep the outcome in git as tests/accuracy/standard.json",
    )
    parser.add_argument(
        "--seen",
        action="store_true",
        help="with --keep: an earlier pipeline was scored on these clips; say so",
    )
    parser.add_argument(
        "--readme", action="store_true", help="only rewrite README's table from standard.json"
    )
    return parser


def _before(asked: Path | None, out: Path) -> Path | None:
    """What to compare with: what was asked for, what is kept in git, or the last report here."""
    if asked is not None:
        return asked
    return next((path for path in (STANDARD, out / OUTLINE) if path.is_file()), None)


def _strangers(asked: Path | None, *, quick: bool) -> Sequence[TrueClip] | Absent:
    if quick and asked is None:
        return Absent("The quick report leaves them out.")
    folder = find_strangers(asked)
    return folder if isinstance(folder, Absent) else load_strangers(folder)


@contextmanager
def _bars(what: str, total: int) -> Iterator[Callable[[], None]]:
    """A progress bar with what is done, how long it took and how long it will take."""
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True)) as progress:
        task = progress.add_task(what, total=total)
        yield lambda: progress.advance(task)


def _tell(done: Done, console: Console, seconds: float) -> None:
    """The short of it on the terminal, and where the long of it is."""
    for name in (REPORT, STRANGERS):
        if name in done.scored:
            one = done.scored[name]
            console.print(f"\n[bold]{name}[/bold]: {len(one.clips)} clips")
            console.print(_rich(tables.glance_table(tally_all(one.rows))))
            console.print(_rich(tables.trouble_table(one.clip_rows)))
    console.print(f"\n{done.report / 'report.html'} ({seconds:.0f} s)")


def _rich(table: Table) -> RichTable:
    drawn = RichTable(*table.headers, title=table.title, title_justify="left")
    for row in table.rows:
        drawn.add_row(*row)
    return drawn


def _keep(done: Done, console: Console) -> None:
    if REPORT not in done.scored:
        console.print("Nothing kept: the studio's clips were not scored.")
        return
    shutil.copyfile(done.report / OUTLINE, STANDARD)
    console.print(f"Kept as {STANDARD.relative_to(ROOT)}; now rewrite README's table: --readme.")


if __name__ == "__main__":
    sys.exit(main())

"""Fit the residual spreads: ``python -m tests.calibration``.

Renders the calibration set's clips that are missing, measures them as a worker would, and writes
``worker/measure/residuals.json``: for every reading and instant the spread that its stated sigma leaves
unexplained. The set is used for this and nothing else; what comes of it is only ever judged on the report
set.
"""

import argparse
import json
import math
import sys
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.progress import Progress
from rich.table import Table

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Reading
from api.domain.names import KeyframeId
from tests.accuracy.measuring import Measured
from tests.accuracy.rows import Kind
from tests.accuracy.scored import Scored, measure_and_score
from tests.accuracy.studio_truth import true_clip
from tests.calibration.fitting import residual
from tests.studio.clip import studio_version
from tests.studio.making import make_clips
from tests.studio.sets import Set, calibrating, standard
from tests.studio.truth.schema import load_truth
from worker.measure.residuals import FILE
from worker.pipeline import PIPELINE_VERSION

ROOT = Path(__file__).resolve().parents[2]
KEPT = ROOT / "var" / "calibration"
MILLISECONDS = 1000.0

Case = tuple[float, float]
"""Error, and the sigma that was stated with no fitted spread in it."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.calibration", description=__doc__)
    parser.add_argument("--clips", type=int, default=64, help="how many of the block's 64")
    chosen = parser.parse_args(arguments)
    console = Console()
    with calibrating(), _none_in_force() as before:
        made = make_clips(standard(Set.CALIBRATION)[: chosen.clips], console=console)
        clips = [true_clip(load_truth(one.truth), one.video) for one in made]
        with Progress(console=console) as bar:
            task = bar.add_task("Measuring", total=len(clips))

            def on_done(_clip: object, _measured: Measured) -> None:
                bar.advance(task)

            scored = measure_and_score(clips, KEPT, on_done)
    readings, instants = cases_of(scored)
    # What has too few cases now keeps the spread it had.
    of_readings = {**before.get("readings", {}), **_fitted(readings)}
    of_instants = {**before.get("instants_s", {}), **_fitted(instants)}
    outcome = {
        "made_by": {
            "pipeline": PIPELINE_VERSION,
            "studio": studio_version(),
            "set": "calibration",
            "clips": len(clips),
        },
        "readings": of_readings,
        "instants_s": of_instants,
    }
    FILE.write_text(json.dumps(outcome, indent=1) + "\n", encoding="utf-8")
    for title, cases, fitted in (
        ("Readings, in their own unit", readings, of_readings),
        ("Instants, seconds", instants, of_instants),
    ):
        console.print(_shown(title, cases, fitted))
    return 0


@contextmanager
def _none_in_force() -> Iterator[dict[str, Any]]:
    """Set the kept spreads aside while clips are measured, and give what was kept.

    A reading that they make too uncertain would not be given, and would be missing from the fit.
    """
    text = FILE.read_text(encoding="utf-8") if FILE.is_file() else ""
    FILE.unlink(missing_ok=True)
    try:
        yield json.loads(text or "{}")
    finally:
        if text:
            FILE.write_text(text, encoding="utf-8")


def cases_of(scored: Scored) -> tuple[dict[str, list[Case]], dict[str, list[Case]]]:
    """Errors and sigmas by checkpoint, and by instant (seconds)."""
    readings, instants = defaultdict(list), defaultdict(list)
    for row in scored.rows:
        if row.error is None or row.sigma is None:
            continue
        if row.kind is Kind.CHECKPOINT:
            reading = scored.reading(row)
            if reading is not None:
                readings[row.id].append((row.error, _without(reading)))
        else:
            instants[row.id].append((row.error / MILLISECONDS, row.sigma / MILLISECONDS))
    return readings, instants


def _without(reading: Reading) -> float:
    """The reading's sigma without the residual it has where none was fitted."""
    own = reading.inputs.get("sigma_residual", 0.0)
    return math.sqrt(max(reading.sigma**2 - own**2, 0.0))


def _fitted(cases: dict[str, list[Case]]) -> dict[str, dict[str, float]]:
    fitted = {}
    for name in _ordered(cases):
        errors, sigmas = zip(*cases[name], strict=True)
        found = residual(errors, sigmas)
        if found is not None:
            fitted[name] = {"sigma": round(found, 4), "cases": len(errors)}
    return fitted


def _ordered(names: Iterable[str]) -> list[str]:
    known = [*(one.value for one in CheckpointId), *(one.value for one in KeyframeId)]
    return sorted(names, key=known.index)


def _shown(title: str, cases: dict[str, list[Case]], fitted: dict[str, dict[str, float]]) -> Table:
    table = Table(title=title)
    for header in ("what", "cases", "median size of error", "median sigma", "residual"):
        table.add_column(header)
    for name in _ordered(cases):
        errors = sorted(abs(error) for error, _ in cases[name])
        sigmas = sorted(sigma for _, sigma in cases[name])
        found = fitted.get(name)
        table.add_row(
            name,
            str(len(errors)),
            f"{errors[len(errors) // 2]:.3f}",
            f"{sigmas[len(sigmas) // 2]:.3f}",
            "too few" if found is None else f"{found['sigma']:.3f}",
        )
    return table


if __name__ == "__main__":
    sys.exit(main())

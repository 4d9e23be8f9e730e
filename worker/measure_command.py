"""``fairlead measure``: the pipeline on one file, with no server."""

import json
import sys
from collections.abc import Iterator
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn
from rich.table import Table

from api.domain.checkpoints import CHECKPOINTS
from api.domain.errors import ClipRefused
from api.domain.measurement import SCHEMA, Measurement, Missing, Reading, Swing
from api.domain.measurement_json import to_json
from worker.analysis import frames_to_picture, keyframe_notes
from worker.picture.annotate import annotate
from worker.pipeline import MeasureRequest, MeasureResult, measure_clip
from worker.video.stills import write_jpeg, write_stills

EXIT_OK, EXIT_BUG, EXIT_REFUSED = 0, 1, 2


def run(path: Path, request: MeasureRequest, *, json_out: str | None, pictures: Path | None) -> int:
    """Measure ``path`` and print or write the result; returns the exit status.

    ``json_out``: a file, ``-`` for standard output, or None for a table. ``pictures``: a folder
    for stills and annotated stills, made if absent. A refused clip's JSON holds ``refused``.
    """
    console = Console(stderr=json_out == "-")
    if not path.is_file():
        console.print(f"There is no file {path}.")
        return EXIT_BUG
    try:
        result = _measured(path, request, console)
    except ClipRefused as refusal:
        _tell_refusal(refusal, json_out, console)
        return EXIT_REFUSED
    if pictures is not None:
        _write_pictures(path, result, pictures)
    if json_out is None:
        _print_tables(result.measurement, console)
    else:
        _write_json(to_json(result.measurement), json_out)
    return EXIT_OK


def _measured(path: Path, request: MeasureRequest, console: Console) -> MeasureResult:
    columns = (TextColumn("{task.description}"), BarColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("probe", total=1.0)

        def tell(stage: str, share: float) -> None:
            progress.update(task, description=stage, completed=share)

        return measure_clip(path, request, on_progress=tell)


def _tell_refusal(refusal: ClipRefused, json_out: str | None, console: Console) -> None:
    if json_out is None:
        console.print(f"[bold]Not measured.[/bold] {refusal.message}")
        return
    reason = {"code": refusal.code, "message": refusal.message}
    _write_json({"schema": SCHEMA, "refused": reason}, json_out)


def _write_json(content: dict[str, object], json_out: str) -> None:
    text = json.dumps(content, indent=2, allow_nan=False) + "\n"
    if json_out == "-":
        sys.stdout.write(text)
    else:
        Path(json_out).write_text(text, encoding="utf-8")


def _write_pictures(path: Path, result: MeasureResult, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    notes = keyframe_notes(result)
    wanted = frames_to_picture(result.measurement)
    for frame, picture, _ in write_stills(path, result.probe, wanted, folder):
        for note in notes:
            if note.instant.frame == frame:
                write_jpeg(annotate(picture, note), folder / f"annotated_{note.keyframe.value}.jpg")


def _print_tables(measurement: Measurement, console: Console) -> None:
    for problem in measurement.view.problems:
        console.print(f"[bold]{problem.severity}[/bold]: {problem.message}")
    if not measurement.swings:
        console.print("No swing was found in this clip.")
    for number, swing in enumerate(measurement.swings, start=1):
        console.print(_keyframe_table(swing, number))
        console.print(_reading_table(swing, measurement))


def _keyframe_table(swing: Swing, number: int) -> Table:
    table = Table("Instant", "Time", "One sigma", "Frame", title=f"Swing {number}")
    for key, instant in swing.keyframes.items():
        words = key.value.replace("_", " ")
        if isinstance(instant, Missing):
            table.add_row(words, "not found", instant.reason, "")
        else:
            sigma = f"{1000 * instant.sigma_s:.0f} ms"
            table.add_row(words, f"{instant.time_s:.3f} s", sigma, str(instant.frame))
    return table


def _reading_table(swing: Swing, measurement: Measurement) -> Table:
    table = Table("Checkpoint", "Value", "95 % interval", "Band")
    for row in _reading_rows(swing, measurement):
        table.add_row(*row)
    return table


def _reading_rows(swing: Swing, measurement: Measurement) -> Iterator[tuple[str, str, str, str]]:
    for checkpoint, reading in swing.checkpoints.items():
        definition = CHECKPOINTS[checkpoint]
        if measurement.view.declared not in definition.views:
            continue
        if isinstance(reading, Reading):
            value = f"{reading.value:.2f} {reading.unit.value}"
            between = f"{reading.low:.2f} to {reading.high:.2f}"
            yield definition.name, value, between, reading.band.value.replace("_", " ")
        else:
            yield definition.name, "not read", reading.reason, ""

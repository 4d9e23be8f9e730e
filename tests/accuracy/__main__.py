"""How far the pipeline is from the truth on rendered clips: ``python -m tests.accuracy``.

Reads every ``NAME.mp4`` that has a ``NAME.json`` with its truth. No number in the code was fitted
to these clips, but they were looked at while the pipeline was built and some rules came from
mistakes seen on them: on swings it has never seen, expect worse.

Truth of a reading: ``lead_arm_shaft_angle`` is ``arm_shaft_wrist`` at lead arm parallel, for the
ideal camera and for the one that filmed; ``butt_end_inside`` is the ground distance over the
grip's 0.265 m (ideal), and the uncorrected picture estimate of the camera that filmed (actual).
"""

import argparse
import json
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.table import Table

from api.domain.measurement import Keyframe, Reading, Swing
from api.domain.names import CheckpointId, Hand, KeyframeId, View
from worker.pipeline import PIPELINE_VERSION, MeasureRequest, measure_clip

HERE = Path(__file__).resolve().parents[1]
CLIPS = HERE / "clips"
GRIP_OF_TRUTH_M = 0.265
Z95 = 1.959964

Truth = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class InstantRow:
    """One instant of one swing: truth, and what was found (None when withheld)."""

    clip: str
    keyframe: KeyframeId
    true_s: float
    found: Keyframe | None

    @property
    def error_ms(self) -> float | None:
        """Found less true, milliseconds."""
        return None if self.found is None else 1000.0 * (self.found.time_s - self.true_s)

    @property
    def inside(self) -> bool | None:
        """Whether the truth lies in the 95 % interval."""
        if self.found is None:
            return None
        return abs(self.found.time_s - self.true_s) <= Z95 * self.found.sigma_s


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """One reading of one swing: truth for two cameras, and what was read (None: withheld)."""

    clip: str
    checkpoint: CheckpointId
    ideal: float
    actual: float
    found: Reading | None
    reason: str

    @property
    def inside(self) -> bool | None:
        """Whether the ideal camera's truth lies in the 95 % interval."""
        return None if self.found is None else self.found.low <= self.ideal <= self.found.high


@dataclass(frozen=True, slots=True)
class ClipRow:
    """A clip as a whole: swings found and true, and processor seconds."""

    clip: str
    found: int
    true: int
    cpu_s: float
    wall_s: float


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure the clips and print the tables."""
    parser = argparse.ArgumentParser(prog="python -m tests.accuracy", description=__doc__)
    parser.add_argument("--clips", type=Path, help="folder of clips with truth")
    chosen = parser.parse_args(arguments).clips or CLIPS
    clips: list[ClipRow] = []
    instants: list[InstantRow] = []
    readings: list[ReadingRow] = []
    for video in sorted(chosen.glob("*.mp4")):
        truth = json.loads(video.with_suffix(".json").read_text())
        clip, swings = _measure(video, truth)
        clips.append(clip)
        if len(swings) != len(truth["swings"]):
            raise SystemExit(f"{video.name}: swings missed or invented; pairing would mislead")
        for swing, times in zip(swings, truth["swings"], strict=True):
            instants.extend(instant_rows(video.stem, swing, times))
            readings.extend(reading_rows(video.stem, swing, truth))
    if not clips:
        raise SystemExit(f"no clips in {chosen}")
    console = Console(width=118)
    console.print(f"pipeline {PIPELINE_VERSION}, {len(clips)} clips from {chosen.name}/")
    for table in (clip_table(clips), reading_table(readings), instant_table(instants)):
        console.print(table)
    console.print(summary_table(readings, instants))


def _measure(video: Path, truth: Truth) -> tuple[ClipRow, tuple[Swing, ...]]:
    request = MeasureRequest(
        View(truth["view"]), Hand(truth["handed"]), club_length_m=truth["club_length_m"]
    )
    cpu, wall = time.process_time(), time.perf_counter()
    result = measure_clip(video, request)
    cpu, wall = time.process_time() - cpu, time.perf_counter() - wall
    swings = result.measurement.swings
    return ClipRow(video.stem, len(swings), len(truth["swings"]), cpu, wall), swings


def instant_rows(clip: str, swing: Swing, times: Mapping[str, float]) -> Iterator[InstantRow]:
    """Rows of the instants whose truth is known."""
    for key, instant in swing.keyframes.items():
        if key.value in times:
            found = instant if isinstance(instant, Keyframe) else None
            yield InstantRow(clip, key, times[key.value], found)


def reading_rows(clip: str, swing: Swing, truth: Truth) -> Iterator[ReadingRow]:
    """The reading that belongs to the clip's view."""
    measures = truth["measures"]
    if truth["view"] == View.FACE_ON.value:
        checkpoint = CheckpointId.LEAD_ARM_SHAFT_ANGLE
        at = measures["lead_arm_parallel"]
        ideal, actual = at["ideal"]["arm_shaft_wrist"], at["actual"]["arm_shaft_wrist"]
    else:
        checkpoint = CheckpointId.BUTT_END_INSIDE
        at = measures["butt_end_inside"]
        ideal, actual = at["ground_m"] / GRIP_OF_TRUTH_M, at["actual"]
    found = swing.checkpoints[checkpoint]
    if isinstance(found, Reading):
        yield ReadingRow(clip, checkpoint, ideal, actual, found, "")
    else:
        yield ReadingRow(clip, checkpoint, ideal, actual, None, found.reason)


def clip_table(rows: Sequence[ClipRow]) -> Table:
    """Swings found and time taken."""
    table = Table("Clip", "Swings found / true", "CPU s", "Wall s", title="Clips")
    for row in rows:
        counts = f"{row.found} / {row.true}"
        table.add_row(row.clip, counts, f"{row.cpu_s:.1f}", f"{row.wall_s:.1f}")
    return table


def reading_table(rows: Sequence[ReadingRow]) -> Table:
    """Each reading against both truths."""
    table = Table(
        "Clip", "Checkpoint", "Read", "95 %", "True ideal", "Error", "True actual", "Error", "In"
    )
    table.title = "Readings (degrees, grip lengths)"
    for row in rows:
        name = row.checkpoint.value
        if row.found is None:
            table.add_row(
                row.clip, name, "withheld", row.reason, f"{row.ideal:.2f}", "", "", "", ""
            )
            continue
        table.add_row(
            row.clip,
            name,
            f"{row.found.value:.2f}",
            f"{row.found.low:.2f} .. {row.found.high:.2f}",
            f"{row.ideal:.2f}",
            f"{row.found.value - row.ideal:+.2f}",
            f"{row.actual:.2f}",
            f"{row.found.value - row.actual:+.2f}",
            _yes(row.inside),
        )
    return table


def instant_table(rows: Sequence[InstantRow]) -> Table:
    """Error of each instant in milliseconds; * where the truth is outside the interval."""
    keys = list(dict.fromkeys(row.keyframe for row in rows))
    table = Table("Clip", *(key.value for key in keys))
    table.title = "Instants: error, ms (one sigma); * truth outside the 95 % interval"
    for clip in dict.fromkeys(row.clip for row in rows):
        own = {row.keyframe: row for row in rows if row.clip == clip}
        table.add_row(clip, *(_instant_cell(own.get(key)) for key in keys))
    return table


def _instant_cell(row: InstantRow | None) -> str:
    if row is None or row.found is None or row.error_ms is None:
        return "-"
    mark = "" if row.inside else " *"
    return f"{row.error_ms:+.0f} ({1000 * row.found.sigma_s:.0f}){mark}"


def summary_table(readings: Sequence[ReadingRow], instants: Sequence[InstantRow]) -> Table:
    """Mean size of the error, share of truth inside the 95 % interval, and withheld."""
    table = Table(
        "What", "Given", "Withheld", "Mean error", "Mean |error|", "Worst", "Truth inside"
    )
    table.title = "Summary (instants in ms)"
    for checkpoint in dict.fromkeys(row.checkpoint for row in readings):
        own = [row for row in readings if row.checkpoint is checkpoint]
        errors = [row.found.value - row.ideal for row in own if row.found is not None]
        table.add_row(*_summary(checkpoint.value, errors, [row.inside for row in own], 2))
    for key in dict.fromkeys(row.keyframe for row in instants):
        rows = [row for row in instants if row.keyframe is key]
        late = [row.error_ms for row in rows if row.error_ms is not None]
        table.add_row(*_summary(key.value, late, [row.inside for row in rows], 0))
    return table


def _summary(
    name: str, errors: Sequence[float], inside: Sequence[bool | None], digits: int
) -> tuple[str, ...]:
    given = [flag for flag in inside if flag is not None]
    withheld = len(inside) - len(given)
    if not errors:
        return (name, "0", str(withheld), "", "", "", "")
    sizes = [abs(error) for error in errors]
    return (
        name,
        str(len(errors)),
        str(withheld),
        f"{sum(errors) / len(errors):+.{digits}f}",
        f"{sum(sizes) / len(sizes):.{digits}f}",
        f"{max(sizes):.{digits}f}",
        f"{sum(given)} of {len(given)}",
    )


def _yes(flag: bool | None) -> str:  # noqa: FBT001 - a table cell
    return "" if flag is None else ("yes" if flag else "no")


if __name__ == "__main__":
    main()

"""A set of clips measured and scored, with the pictures of its worst cases."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Reading
from tests.accuracy.content import Figure
from tests.accuracy.measuring import Measured, measure_all
from tests.accuracy.pictures import Worst, instant_picture, reading_picture, worst_of
from tests.accuracy.rows import ClipRow, Kind, Row
from tests.accuracy.scoring import ClipScore, score_clip
from tests.accuracy.truths import TrueClip, TrueValue
from tests.accuracy.words import name_of, number

WORST = 10


@dataclass(frozen=True, slots=True)
class Scored:
    """Clips, what was measured on them, and their scores, by clip name."""

    clips: Mapping[str, TrueClip]
    measured: Mapping[str, Measured]
    scores: Mapping[str, ClipScore]

    @property
    def clip_rows(self) -> list[ClipRow]:
        """One row a clip, in the clips' order."""
        return [self.scores[name].clip for name in self.clips]

    @property
    def rows(self) -> list[Row]:
        """Every row, in the clips' order."""
        return [row for name in self.clips for row in self.scores[name].rows]

    def reading(self, row: Row) -> Reading | None:
        """The reading behind a row; ``None`` where none was given."""
        measurement = self.measured[row.clip].measurement
        found = dict(self.scores[row.clip].pairs).get(row.swing)
        if measurement is None or found is None:
            return None
        reading = measurement.swings[found].checkpoints[CheckpointId(row.id)]
        return reading if isinstance(reading, Reading) else None


def measure_and_score(
    clips: Sequence[TrueClip], kept: Path, on_done: Callable[[TrueClip, Measured], None]
) -> Scored:
    """Measure what ``kept`` does not hold and score everything."""
    measured = measure_all(clips, kept, on_done=on_done)
    scores = {clip.name: score_clip(clip, measured[clip.name]) for clip in clips}
    return Scored({clip.name: clip for clip in clips}, measured, scores)


def unread_checkpoints(clips: Sequence[TrueClip]) -> list[str]:
    """Checkpoints whose truth is known and that the pipeline has no reading for."""
    read = {checkpoint.value for checkpoint in CHECKPOINTS}
    known = {
        name.partition(" at ")[0].partition(",")[0]
        for clip in clips
        for swing in clip.swings
        for name, value in swing.checkpoints.items()
        if isinstance(value, TrueValue)
    }
    return [name_of(name) for name in sorted(known - read)]


def worst_figures(prefix: str, scored: Scored, count: int = WORST) -> list[Figure]:
    """Pictures of the worst readings, then of the worst instants."""
    figures = []
    for kind in (Kind.CHECKPOINT, Kind.INSTANT):
        own = [row for row in scored.rows if row.kind is kind]
        for place, worst in enumerate(worst_of(own, count), start=1):
            name = f"{prefix}-worst-{kind.value}-{place}"
            figures.append(_figure(name, place, worst, scored))
    return figures


def _figure(name: str, place: int, worst: Worst, scored: Scored) -> Figure:
    row = worst.row
    clip = scored.clips[row.clip]
    reading = scored.reading(row) if row.kind is Kind.CHECKPOINT else None
    image = instant_picture(clip, row) if reading is None else reading_picture(clip, row, reading)
    where = f"Clip {row.clip}, swing {row.swing + 1}."
    caption = f"{place}. {_case_words(row)} {_instant_words(row, scored.rows)}{where}"
    return Figure(name, image, f"Picture of a case: {caption}", caption, "jpeg")


def _instant_words(row: Row, rows: Sequence[Row]) -> str:
    """How far off the instant of a reading was: the true value belongs to the true one."""
    if row.kind is Kind.INSTANT:
        return ""
    key = CHECKPOINTS[CheckpointId(row.id)].keyframe.value
    for other in rows:
        if other.key == row.key and other.id == key and other.error is not None:
            off = f"{number(other.error, other.unit, sign=True)} {other.unit}"
            return f"Read at {name_of(key).lower()} as found, {off} off the true one. "
    return ""


def _case_words(row: Row) -> str:
    """What was found and what is true, with units."""
    unit = row.unit
    error = number(row.error, unit, sign=True)
    half = number(None if row.sigma is None else 1.96 * row.sigma, unit)
    held = "inside" if row.inside else "outside"
    if row.kind is Kind.INSTANT:
        return f"{name_of(row.id)}: {error} ms (interval {half} either way; truth {held})."
    found, true = number(row.value, unit), number(row.ideal, unit)
    return (
        f"{name_of(row.id)}: found {found}, true {true} {unit}, error {error} "
        f"(interval {half} either way; truth {held})."
    )

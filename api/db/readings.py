"""Readings: the machine's and the coach's side by side, and which of them holds."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import and_, or_, select, update
from sqlalchemy.orm import Session

from api.db.models import Analysis, Clip, Reading
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Missing
from api.domain.measurement import Reading as DomainReading
from api.domain.measurement_json import reading_from_json
from api.domain.names import CheckpointId, View

MACHINE = "machine"
COACH = "coach"
_VALUE = ("value", "sigma", "low", "high", "unit", "band", "frame", "points", "inputs")


def machine_reading(
    session: Session, analysis: Analysis, swing: int, checkpoint: CheckpointId
) -> Reading | None:
    """What the pipeline read, or None where it found no such swing."""
    return session.scalars(
        select(Reading).where(
            Reading.analysis_id == analysis.id,
            Reading.swing == swing,
            Reading.checkpoint == checkpoint.value,
            Reading.source == MACHINE,
        )
    ).one_or_none()


def retire_coach_reading(
    session: Session,
    review_id: UUID,
    clip_id: UUID,
    swing: int,
    checkpoint: CheckpointId,
    now: datetime,
) -> None:
    """Stop the coach's reading from holding; the row stays."""
    session.execute(
        update(Reading)
        .where(
            Reading.review_id == review_id,
            Reading.clip_id == clip_id,
            Reading.swing == swing,
            Reading.checkpoint == checkpoint.value,
            Reading.source == COACH,
            Reading.retired_at.is_(None),
        )
        .values(retired_at=now)
    )


def effective_readings(
    session: Session, review_id: UUID | None, analyses: Sequence[Analysis]
) -> list[Reading]:
    """For each checkpoint of each swing the reading that holds: the coach's, else the machine's.

    Only checkpoints that the clip's own view can show: the machine also notes why the others are
    missing, which nobody has to read twice.
    """
    in_force = _in_force(session, review_id, analyses)
    return [reading for reading, view in in_force if _shown_by(view, reading)]


def readings_of_swing(
    session: Session, review_id: UUID | None, analysis: Analysis, swing: int
) -> dict[CheckpointId, DomainReading | Missing]:
    """The same of one swing, as the domain reads them, with why the other view's are missing."""
    return {
        CheckpointId(row.checkpoint): _as_domain(row)
        for row, _ in _in_force(session, review_id, [analysis])
        if row.swing == swing
    }


def _in_force(
    session: Session, review_id: UUID | None, analyses: Sequence[Analysis]
) -> Iterator[tuple[Reading, str]]:
    """The readings that hold, each with the view of its clip."""
    ids = [analysis.id for analysis in analyses]
    of_coach = and_(
        Reading.source == COACH, Reading.review_id == review_id, Reading.retired_at.is_(None)
    )
    rows = session.execute(
        select(Reading, Clip.view)
        .join(Clip, Clip.id == Reading.clip_id)
        .where(Reading.analysis_id.in_(ids), or_(Reading.source == MACHINE, of_coach))
        .order_by(Reading.source.desc(), Reading.id)  # the machine's first, the coach's over them
    ).all()
    held = {_place(reading): (reading, view) for reading, view in rows}
    yield from held.values()


def _as_domain(row: Reading) -> DomainReading | Missing:
    if row.missing is not None:
        return Missing(row.missing)
    return reading_from_json({column: getattr(row, column) for column in _VALUE})


def _shown_by(view: str, reading: Reading) -> bool:
    return View(view) in CHECKPOINTS[CheckpointId(reading.checkpoint)].views


def _place(reading: Reading) -> tuple[UUID, int, str]:
    return reading.clip_id, reading.swing, reading.checkpoint

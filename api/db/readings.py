"""Readings: the machine's and the coach's side by side, and which of them holds."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from sqlalchemy import and_, or_, select, update
from sqlalchemy.orm import Session

from api.db.models import Analysis, Reading
from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Missing
from api.domain.measurement import Reading as DomainReading
from api.domain.measurement_json import reading_from_json

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


def readings_in_force(
    session: Session, review_id: UUID | None, analyses: Sequence[Analysis]
) -> list[Reading]:
    """For each checkpoint of each swing the reading that holds: the coach's, else the machine's.

    ``review_id``: whose corrections hold. Also what a clip's view cannot show is there, with the reason.
    """
    ids = [analysis.id for analysis in analyses]
    of_coach = and_(
        Reading.source == COACH, Reading.review_id == review_id, Reading.retired_at.is_(None)
    )
    rows = session.scalars(
        select(Reading)
        .where(Reading.analysis_id.in_(ids), or_(Reading.source == MACHINE, of_coach))
        .order_by(Reading.source.desc(), Reading.id)  # the machine's first, the coach's over them
    )
    held = {_place(reading): reading for reading in rows}
    return list(held.values())


def as_domain(row: Reading) -> DomainReading | Missing:
    """A stored reading as the domain reads it."""
    if row.missing is not None:
        return Missing(row.missing)
    return reading_from_json({column: getattr(row, column) for column in _VALUE})


def _place(reading: Reading) -> tuple[UUID, int, str]:
    return reading.clip_id, reading.swing, reading.checkpoint

"""Bodies about target bands of a student's own."""

from datetime import datetime
from typing import Self
from uuid import UUID

from pydantic import Field

from api.db.bands import EVERY_CLUB
from api.db.models import StudentBands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.names import Unit
from api.http.schemas.common import Name, Read, Sent, Text


class BandsSent(Sent):
    """A target for one student, in the checkpoint's unit. Leave ``club`` out to set it for every club."""

    checkpoint: CheckpointId
    club: Name | None = Field(default=None, examples=["7 iron"])
    watch_low: float = Field(examples=[78.0])
    good_low: float = Field(examples=[85.0])
    good_high: float = Field(examples=[95.0])
    watch_high: float = Field(examples=[105.0])
    reason: Text = Field(default="", max_length=300, description="The student reads it.")


class BandsRead(Read):
    """The same, as it holds."""

    id: UUID
    checkpoint: CheckpointId
    unit: Unit
    club: str | None
    watch_low: float
    good_low: float
    good_high: float
    watch_high: float
    reason: str
    set_by: str
    set_at: datetime

    @classmethod
    def of(cls, row: StudentBands) -> Self:
        """From its row."""
        checkpoint = CheckpointId(row.checkpoint)
        return cls(
            id=row.id,
            checkpoint=checkpoint,
            unit=CHECKPOINTS[checkpoint].unit,
            club=None if row.club_name == EVERY_CLUB else row.club_name,
            watch_low=row.watch_low,
            good_low=row.good_low,
            good_high=row.good_high,
            watch_high=row.watch_high,
            reason=row.reason,
            set_by=row.coach.person.name,
            set_at=row.created_at,
        )

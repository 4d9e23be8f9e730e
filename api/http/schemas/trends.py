"""Bodies about how numbers went from clip to clip."""

from datetime import datetime
from uuid import UUID

from pydantic import Field

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Band, View
from api.http.schemas.common import Read


class TrendPointRead(Read):
    """One clip's value with its 95 % interval. ``current``: the clip under review."""

    submission_id: UUID
    at: datetime
    club: str | None
    value: float
    low: float
    high: float
    band: Band
    source: str = Field(examples=["machine"], description="`machine` or `coach`.")
    current: bool


class TrendRead(Read):
    """A number over a student's clips of one kind and view, oldest first."""

    checkpoint: CheckpointId
    view: View
    points: list[TrendPointRead]

"""Bodies about how a student's numbers went from answer to answer."""

from datetime import datetime
from uuid import UUID

from pydantic import Field

from api.domain.change import Moved
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Band, Purpose, View
from api.http.schemas.common import Read
from api.http.schemas.submissions import OwnBandsRead


class ProgressPointRead(Read):
    """What one answer told, with its 95 % interval. ``by_coach``: a coach corrected it."""

    submission_id: UUID
    at: datetime
    answered_at: datetime
    club: str | None
    value: float
    low: float
    high: float
    band: Band
    by_coach: bool
    own_bands: OwnBandsRead | None


class ChangedRead(Read):
    """How the last value differs from the one before it that was filmed with the same club."""

    since: UUID = Field(description="The submission it is compared with.")
    difference: float = Field(description="In the checkpoint's unit, + where it grew.")
    least: float = Field(
        description="What it must change by to be told from the measurement's own noise, at 95 %: "
        "1.96 times the root of both variances, the smallest detectable change."
    )
    moved: Moved


class ProgressSeriesRead(Read):
    """A number over a student's answered clips of one view and purpose, oldest first."""

    checkpoint: CheckpointId
    view: View
    purpose: Purpose
    points: list[ProgressPointRead]
    changed: ChangedRead | None = Field(description="Missing with fewer than two of one club.")


class DrillSpanRead(Read):
    """From the answer that gave a drill until the next that did not."""

    drill_id: str
    name: str
    since: datetime
    until: datetime | None


class OverTimeRead(Read):
    """A student's numbers and drills over time."""

    series: list[ProgressSeriesRead]
    drills: list[DrillSpanRead]

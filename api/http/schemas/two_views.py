"""Bodies about two clips of one submission, read together."""

from uuid import UUID

from pydantic import Field

from api.domain.checkpoint_ids import CheckpointId
from api.domain.findings import FindingCode
from api.domain.names import Unit, View
from api.http.schemas.common import Read


class SwingReadRead(Read):
    """The swing of a clip that was read. ``swings``: how many the clip has."""

    clip_id: UUID
    view: View
    swing: int
    swings: int


class EvidenceRead(Read):
    """A reading that a finding rests on, with its 95 % interval, or why there is none.

    ``views``: the clips it was read on; of two, the mean weighed by certainty.
    """

    checkpoint: CheckpointId
    unit: Unit
    value: float | None
    low: float | None
    high: float | None
    missing: str | None
    views: list[View]


class DrillNamed(Read):
    """A drill of the library."""

    id: str
    name: str


class FindingRead(Read):
    """A pattern seen, what it rests on, and the drills that serve it.

    ``sure``: everything it rests on lies past its limit with its whole interval.
    """

    code: FindingCode
    name: str
    meaning: str
    caution: str
    sure: bool
    because: list[EvidenceRead]
    drills: list[DrillNamed]


class DisagreementRead(Read):
    """A checkpoint that the clips read differently by more than chance allows: no joined number."""

    checkpoint: CheckpointId
    face_on: float
    down_the_line: float
    unit: Unit


class TogetherRead(Read):
    """What a face-on and a down-the-line clip say together. ``words``: what that can mean."""

    words: str
    read_from: list[SwingReadRead]
    findings: list[FindingRead]
    disagreements: list[DisagreementRead] = Field(description="Where no joined number is given.")

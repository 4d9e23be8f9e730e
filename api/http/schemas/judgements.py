"""Bodies about findings and what a coach says to them."""

from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from api.domain.findings import FindingCode
from api.domain.judgement import LONGEST_LATER, LONGEST_NAME, DismissReason, Judgement
from api.http.schemas.common import Read, Sent, Text, one_line
from api.http.schemas.two_views import EvidenceRead, FindingRead

Later = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST_LATER),
    AfterValidator(one_line),
]
"""Something for later, on one line."""


class SwingOfClip(Read):
    """One swing of one clip; swings count from 0."""

    clip_id: UUID
    swing: int


class FindingSeenRead(FindingRead):
    """A pattern that the readings point to. ``swings``: those that show it; the first one's numbers stand here."""

    swings: list[SwingOfClip]


class JudgedSent(Sent):
    """What a coach says to a finding. ``name`` is for one in the coach's own words: then ``code`` is null."""

    code: FindingCode | None = None
    name: Annotated[
        str,
        StringConstraints(strip_whitespace=True, max_length=LONGEST_NAME),
        AfterValidator(one_line),
    ] = ""
    verdict: Judgement
    reason: DismissReason | None = Field(default=None, description="Of a dismissed one, always.")
    words: Text = Field(default="", max_length=600, description="For the student.")


class JudgedRead(Read):
    """The same, as the draft holds it."""

    code: FindingCode | None
    name: str
    verdict: Judgement
    reason: DismissReason | None
    words: str


class FindingToldRead(Read):
    """A finding as the student is told it.

    ``judged``: `accepted` by the coach, or `open`: then ``sure`` says whether the machine saw it clearly. A finding
    that the machine did not see (``seen_by_machine``) is the coach's own; one in the coach's words has no code.
    """

    code: FindingCode | None
    name: str
    meaning: str
    caution: str
    sure: bool
    judged: str = Field(examples=["accepted"])
    seen_by_machine: bool
    words: str
    because: list[EvidenceRead]


class DismissReasonRead(Read):
    """A reason for dismissing a finding, in words."""

    code: DismissReason
    words: str


class FindingNamedRead(Read):
    """A pattern of the catalogue, for a coach who adds one that the machine did not see."""

    code: FindingCode
    name: str
    meaning: str


class FindingCatalogueRead(Read):
    """Every pattern there is, and the reasons for dismissing one."""

    findings: list[FindingNamedRead]
    dismiss_reasons: list[DismissReasonRead]

"""Bodies about phrases."""

from typing import Annotated
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from api.db.models import Phrase
from api.domain.phrases import LONGEST_BODY, LONGEST_NAME
from api.http.schemas.common import Read, Sent, one_line, several_lines


class PhraseSent(Sent):
    """A phrase. ``body`` may hold fields in braces, `{student}` among them; ``shared`` gives it to every coach."""

    name: Annotated[
        str,
        StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST_NAME),
        AfterValidator(one_line),
    ] = Field(examples=["Stop and look"])
    body: Annotated[
        str,
        StringConstraints(strip_whitespace=True, min_length=1, max_length=LONGEST_BODY),
        AfterValidator(several_lines),
    ] = Field(examples=["{student}, your angle was {lead_arm_shaft_angle}."])
    shared: bool = False


class PhraseRead(Read):
    """A phrase. ``version`` is its ETag; ``shared``: the academy's, else the reader's own."""

    id: UUID
    version: int
    name: str
    body: str
    shared: bool

    @classmethod
    def of(cls, row: Phrase) -> "PhraseRead":
        """Of a stored row."""
        return cls(
            id=row.id,
            version=row.version,
            name=row.name,
            body=row.body,
            shared=row.owner_id is None,
        )

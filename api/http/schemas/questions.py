"""Bodies about a student's question and its reply."""

from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import AfterValidator, Field, StringConstraints

from api.db.models import Question
from api.http.schemas.common import Read, Sent, several_lines

_Words = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=1000),
    AfterValidator(several_lines),
]


class AskedBackSent(Sent):
    """A question, or the reply to one."""

    text: _Words = Field(examples=["Should I feel the pause in my hands or in my chest?"])


class AskedBackRead(Read):
    """A question about an answer. ``reply`` is null until a coach has replied."""

    id: UUID
    submission_id: UUID
    student_name: str
    asked_at: datetime
    text: str
    reply: str | None
    replied_by: str | None
    replied_at: datetime | None

    @classmethod
    def of(cls, row: Question) -> Self:
        """As it is shown."""
        return cls(
            id=row.id,
            submission_id=row.submission_id,
            student_name=row.submission.student.person.name,
            asked_at=row.created_at,
            text=row.text,
            reply=row.reply or None,
            replied_by=None if row.coach is None else row.coach.person.name,
            replied_at=row.replied_at,
        )


class AskedBackFound(Read):
    """Whether something was asked about an answer."""

    question: AskedBackRead | None

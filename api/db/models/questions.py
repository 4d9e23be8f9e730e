"""The one question that a student may ask back about an answer."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId
from api.db.models.people import Membership
from api.db.models.submissions import Submission

_OPEN = text("replied_at IS NULL")


class Question(Base, HasId, HasCreatedAt):
    """A question about the answer to a submission, with its reply. At most one for each submission.

    A reply is never changed: the student may have read it.
    """

    __tablename__ = "questions"
    __table_args__ = (
        CheckConstraint(
            "(replied_at IS NULL) = (replied_by IS NULL) AND (replied_at IS NULL) = (reply = '')",
            name="reply_is_whole",
        ),
        Index(
            "ix_questions_open",
            "academy_id",
            "created_at",
            sqlite_where=_OPEN,
            postgresql_where=_OPEN,
        ),
    )

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"))
    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), unique=True)
    text: Mapped[str]
    reply: Mapped[str] = mapped_column(default="")
    replied_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    replied_at: Mapped[datetime | None]

    submission: Mapped[Submission] = relationship()
    coach: Mapped[Membership | None] = relationship()

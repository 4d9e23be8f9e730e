"""Background jobs and outgoing mail. The job row is the truth; a broker only wakes workers."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from api.db.base import Base, HasCreatedAt, HasId, utc_now


class Job(Base, HasId, HasCreatedAt):
    """One piece of work about one thing, done once.

    ``fence`` grows with every claim; a result is only accepted from the holder of the current
    fence, so a worker that was thought dead cannot write over its successor.
    """

    __tablename__ = "jobs"
    __table_args__ = (
        UniqueConstraint("name", "subject_id"),
        CheckConstraint(
            "state IN ('queued', 'running', 'done', 'refused', 'failed')", name="state"
        ),
        CheckConstraint("(state = 'running') = (lease_ends_at IS NOT NULL)", name="running_lease"),
        Index("ix_jobs_due", "state", "available_at"),
    )

    name: Mapped[str]
    subject_id: Mapped[UUID]
    state: Mapped[str] = mapped_column(default="queued")
    attempts: Mapped[int] = mapped_column(default=0)
    fence: Mapped[int] = mapped_column(default=0)
    lease_ends_at: Mapped[datetime | None]
    worker: Mapped[str | None]
    available_at: Mapped[datetime] = mapped_column(default=utc_now)
    announced_at: Mapped[datetime | None]
    finished_at: Mapped[datetime | None]
    last_error: Mapped[str | None]


class Mail(Base, HasId, HasCreatedAt):
    """A message to send. ``body`` is plain text; links in it are one-time and short-lived.

    ``about_id``: whose matter it is, where somebody else gets it (a guardian), so that it goes when they do.
    ``kind``: of ``api.domain.notices``; None on mails from before there were kinds. ``to_id``: whose mail it is, of a
    notice, and ``submission_id`` what it tells of. ``held_until``: quiet hours, the last time a worker looked.
    ``left_out``: why it is not going to be sent, else empty.
    """

    __tablename__ = "mails"

    to_address: Mapped[str] = mapped_column(index=True)
    subject: Mapped[str]
    body: Mapped[str]
    sent_at: Mapped[datetime | None]
    about_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"), index=True)
    kind: Mapped[str | None]
    to_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"), index=True)
    submission_id: Mapped[UUID | None] = mapped_column(ForeignKey("submissions.id"), index=True)
    held_until: Mapped[datetime | None]
    left_out: Mapped[str] = mapped_column(default="", server_default="")

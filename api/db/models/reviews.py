"""The coach's side: claims, corrections, the answer and what it prescribes."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId, utc_now
from api.db.models.people import Membership
from api.db.models.submissions import Submission

_CURRENT = text("retired_at IS NULL")
OPEN = "state IN ('waiting', 'claimed')"
"""Of reviews: what the partial indexes hold. A query reaches them only in these very words."""
BEFORE_ALL = "1970-01-01 00:00:00+00:00"
"""Rows that an older program writes while the new one starts have no time of change of their own."""


class Review(Base, HasId, HasCreatedAt):
    """One answer in the making. ``version`` counts every change of the draft: it is the ETag.

    At most one open review per submission: an index, not a check in code. A claim is one
    conditional UPDATE of ``claimed_by`` and ``lease_ends_at``.
    """

    __tablename__ = "reviews"
    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'claimed', 'answered', 'closed')", name="state"),
        CheckConstraint(
            "(state = 'claimed') = (lease_ends_at IS NOT NULL)", name="claim_has_lease"
        ),
        CheckConstraint("state <> 'claimed' OR claimed_by IS NOT NULL", name="claim_has_coach"),
        Index(
            "uq_reviews_open",
            "submission_id",
            unique=True,
            sqlite_where=text(OPEN),
            postgresql_where=text(OPEN),
        ),
        Index("ix_reviews_queue", "academy_id", "state", "due_at"),
        # Due first through waiting and claimed together, so that a page reads a page and no more.
        Index(
            "ix_reviews_open",
            "academy_id",
            "due_at",
            "id",
            sqlite_where=text(OPEN),
            postgresql_where=text(OPEN),
        ),
        Index("ix_reviews_newest", "academy_id", "state", "id"),
        Index("ix_reviews_changed", "academy_id", "changed_at"),
    )

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"))
    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    state: Mapped[str] = mapped_column(default="waiting")
    version: Mapped[int] = mapped_column(default=1)
    due_at: Mapped[datetime]
    claimed_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    lease_ends_at: Mapped[datetime | None]
    draft_text: Mapped[str] = mapped_column(default="")
    draft_drills: Mapped[list[Any]] = mapped_column(default=list)
    draft_judgements: Mapped[list[Any]] = mapped_column(default=list)
    draft_later: Mapped[list[Any]] = mapped_column(default=list)
    draft_by_eye: Mapped[list[Any]] = mapped_column(default=list)
    draft_drawings: Mapped[list[Any]] = mapped_column(default=list)
    answered_at: Mapped[datetime | None]
    drafted_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    """Who changed the draft last; None while nobody has."""
    changed_at: Mapped[datetime] = mapped_column(
        default=utc_now, onupdate=utc_now, server_default=text(f"'{BEFORE_ALL}'")
    )
    """When anything of the row changed last: what pages that look on are told is found by it."""

    submission: Mapped[Submission] = relationship(lazy="joined")
    coach: Mapped[Membership | None] = relationship(foreign_keys=[claimed_by], lazy="joined")


class Phrase(Base, HasId, HasCreatedAt):
    """Words to reuse in answers, with fields to be filled. ``owner_id``: null for the whole academy's.

    A change counts ``version`` up; taking it away retires the row: audit events name it.
    """

    __tablename__ = "phrases"
    __table_args__ = (Index("ix_phrases_shelf", "academy_id", "owner_id"),)

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"))
    owner_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    name: Mapped[str]
    body: Mapped[str]
    made_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    version: Mapped[int] = mapped_column(default=1)
    retired_at: Mapped[datetime | None]


class Mark(Base, HasId, HasCreatedAt):
    """A keyframe as the coach set it. Going back or setting it again retires the row."""

    __tablename__ = "marks"
    __table_args__ = (
        Index(
            "uq_marks_current",
            "review_id",
            "clip_id",
            "swing",
            "keyframe",
            unique=True,
            sqlite_where=_CURRENT,
            postgresql_where=_CURRENT,
        ),
    )

    review_id: Mapped[UUID] = mapped_column(ForeignKey("reviews.id"))
    clip_id: Mapped[UUID] = mapped_column(ForeignKey("clips.id"), index=True)
    swing: Mapped[int]
    keyframe: Mapped[str]
    frame: Mapped[int]
    time_s: Mapped[float]
    machine_frame: Mapped[int | None]
    made_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    retired_at: Mapped[datetime | None]


class OverlayPoint(Base, HasId, HasCreatedAt):
    """A point as the coach placed it, in upright display pixels of the original clip."""

    __tablename__ = "overlay_points"
    __table_args__ = (
        Index(
            "uq_overlay_points_current",
            "review_id",
            "clip_id",
            "swing",
            "keyframe",
            "point",
            unique=True,
            sqlite_where=_CURRENT,
            postgresql_where=_CURRENT,
        ),
    )

    review_id: Mapped[UUID] = mapped_column(ForeignKey("reviews.id"))
    clip_id: Mapped[UUID] = mapped_column(ForeignKey("clips.id"), index=True)
    swing: Mapped[int]
    keyframe: Mapped[str]
    frame: Mapped[int]
    point: Mapped[str]
    x: Mapped[float]
    y: Mapped[float]
    machine_x: Mapped[float | None]
    machine_y: Mapped[float | None]
    made_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    retired_at: Mapped[datetime | None]


class Answer(Base, HasId):
    """What the student got, exactly as sent. A recalled answer stays, marked; the next is a new row.

    ``content`` is a snapshot (readings, pictures' keys, drills with their texts), so that a later
    change of library or pipeline never rewrites what somebody was told.
    """

    __tablename__ = "answers"
    __table_args__ = (
        UniqueConstraint("review_id", "number"),
        Index(
            "uq_answers_standing",
            "review_id",
            unique=True,
            sqlite_where=text("recalled_at IS NULL"),
            postgresql_where=text("recalled_at IS NULL"),
        ),
    )

    review_id: Mapped[UUID] = mapped_column(ForeignKey("reviews.id"))
    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    number: Mapped[int]
    text: Mapped[str]
    content: Mapped[dict[str, Any]]
    sent_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    sent_at: Mapped[datetime]
    recalled_at: Mapped[datetime | None]


class DrillAssignment(Base, HasId, HasCreatedAt):
    """A drill with its dose, prescribed to one student by one answer."""

    __tablename__ = "drill_assignments"
    __table_args__ = (UniqueConstraint("answer_id", "drill"),)

    answer_id: Mapped[UUID] = mapped_column(ForeignKey("answers.id"))
    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    drill: Mapped[str]
    dose: Mapped[dict[str, Any]]
    withdrawn_at: Mapped[datetime | None]

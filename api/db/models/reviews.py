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
_MAIN_OPEN = text("state IN ('waiting', 'claimed') AND kind = 'main'")
_QUESTION_OPEN = text("state IN ('waiting', 'claimed') AND kind = 'second'")
_BLIND = text("kind = 'blind'")
OPEN = "state IN ('waiting', 'claimed')"
"""Of reviews: what the partial indexes hold. A query reaches them only in these very words."""
BEFORE_ALL = "1970-01-01 00:00:00+00:00"
"""Rows that an older program writes while the new one starts have no time of change of their own."""
_STANDS = text("recalled_at IS NULL AND superseded_at IS NULL")


class Review(Base, HasId, HasCreatedAt):
    """One answer in the making. ``version`` counts every change of the draft: it is the ETag.

    The student's is the one whose ``kind`` is main: at most one of a submission is open, by an index, not a check in
    code. A second opinion and a blind read are reviews of the same clips that reach no student: ``read_of_id`` is the
    main one they belong to, ``asked_by``, ``asked_of`` (None: any colleague) and ``question`` are a second opinion's, and
    ``committed`` is what was said, exactly as it was when it was committed. A claim is one
    conditional UPDATE of ``claimed_by`` and ``lease_ends_at``. ``amends_number`` is the answer that is being
    corrected while it stands; a correction that was put aside leaves its draft here and no number.
    """

    __tablename__ = "reviews"
    __table_args__ = (
        CheckConstraint("state IN ('waiting', 'claimed', 'answered', 'closed')", name="state"),
        CheckConstraint(
            "(state = 'claimed') = (lease_ends_at IS NOT NULL)", name="claim_has_lease"
        ),
        CheckConstraint("state <> 'claimed' OR claimed_by IS NOT NULL", name="claim_has_coach"),
        CheckConstraint(
            "amends_number IS NULL OR state IN ('claimed', 'answered')", name="amends_what_stands"
        ),
        CheckConstraint("kind IN ('main', 'second', 'blind')", name="kind"),
        CheckConstraint("(kind = 'main') = (read_of_id IS NULL)", name="read_is_of_a_review"),
        CheckConstraint("(kind = 'second') = (asked_by IS NOT NULL)", name="second_was_asked"),
        Index(
            "uq_reviews_open",
            "submission_id",
            unique=True,
            sqlite_where=_MAIN_OPEN,
            postgresql_where=_MAIN_OPEN,
        ),
        # One open question of a review at a time, and one blind read for ever.
        Index(
            "uq_reviews_question",
            "read_of_id",
            unique=True,
            sqlite_where=_QUESTION_OPEN,
            postgresql_where=_QUESTION_OPEN,
        ),
        Index(
            "uq_reviews_blind",
            "read_of_id",
            unique=True,
            sqlite_where=_BLIND,
            postgresql_where=_BLIND,
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
    draft_what_changed: Mapped[str] = mapped_column(default="")
    answered_at: Mapped[datetime | None]
    amends_number: Mapped[int | None]
    drafted_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    """Who changed the draft last; None while nobody has."""
    changed_at: Mapped[datetime] = mapped_column(
        default=utc_now, onupdate=utc_now, server_default=text(f"'{BEFORE_ALL}'")
    )
    """When anything of the row changed last: what pages that look on are told is found by it."""
    kind: Mapped[str] = mapped_column(default="main", server_default="main")
    read_of_id: Mapped[UUID | None] = mapped_column(ForeignKey("reviews.id"))
    asked_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    asked_of: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    question: Mapped[str] = mapped_column(default="", server_default="")
    committed: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")

    submission: Mapped[Submission] = relationship(lazy="joined")
    coach: Mapped[Membership | None] = relationship(foreign_keys=[claimed_by], lazy="joined")

    @property
    def corrects_now(self) -> bool:
        """Whether a coach has it open to correct the answer that stands."""
        return self.state == "claimed" and self.amends_number is not None


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

    A correction (``corrects_number``) takes the place of an answer that was read: that one is ``superseded_at``,
    and stays to be read. ``first_sent_at`` is when the first of such a chain was sent: what a clip that
    arrived since was filmed after. One answer of a review stands at a time. ``content`` is a snapshot (readings, pictures' keys, drills with their texts), so that a later
    change of library or pipeline never rewrites what somebody was told.
    """

    __tablename__ = "answers"
    __table_args__ = (
        UniqueConstraint("review_id", "number"),
        Index(
            "uq_answers_standing",
            "review_id",
            unique=True,
            sqlite_where=_STANDS,
            postgresql_where=_STANDS,
        ),
        CheckConstraint(
            "(corrects_number IS NULL) = (what_changed = '')", name="correction_says_what_changed"
        ),
    )

    review_id: Mapped[UUID] = mapped_column(ForeignKey("reviews.id"))
    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    number: Mapped[int]
    text: Mapped[str]
    content: Mapped[dict[str, Any]]
    sent_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    sent_at: Mapped[datetime]
    first_sent_at: Mapped[datetime]
    corrects_number: Mapped[int | None]
    what_changed: Mapped[str] = mapped_column(default="")
    recalled_at: Mapped[datetime | None]
    superseded_at: Mapped[datetime | None]


class DrillAssignment(Base, HasId, HasCreatedAt):
    """A drill with its dose, prescribed to one student by one answer.

    A correction that keeps it leaves it with the answer that gave it; one that does not withdraws it, and is
    ``withdrawn_by_number``: a correction that is called back gives it again.
    """

    __tablename__ = "drill_assignments"
    __table_args__ = (UniqueConstraint("answer_id", "drill"),)

    answer_id: Mapped[UUID] = mapped_column(ForeignKey("answers.id"))
    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    drill: Mapped[str]
    dose: Mapped[dict[str, Any]]
    withdrawn_at: Mapped[datetime | None]
    withdrawn_by_number: Mapped[int | None]


class RefilmRequest(Base, HasId, HasCreatedAt):
    """A new film asked for, as the student was told. Never changed.

    ``causes``: codes, the main one first. ``problems``: what the camera check had found on the clips, with the
    view, where its drawing goes with the request. ``marked``: one frame of a clip with a spot on it, and
    words for who cannot see it. ``charge`` says that it costs the student nothing, and ``asked_by`` who asked.
    """

    __tablename__ = "refilm_requests"
    __table_args__ = (
        CheckConstraint("charge IN ('free')", name="charge"),
        UniqueConstraint("review_id"),
    )

    review_id: Mapped[UUID] = mapped_column(ForeignKey("reviews.id"))
    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    asked_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    asked_at: Mapped[datetime]
    causes: Mapped[list[str]]
    message: Mapped[str]
    problems: Mapped[list[Any]]
    marked: Mapped[dict[str, Any] | None]
    charge: Mapped[str] = mapped_column(default="free")

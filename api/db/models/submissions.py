"""What a student sends and what the machine makes of it."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId, utc_now
from api.db.models.people import Membership

_VIEW = "view IN ('face-on', 'down-the-line')"


class Submission(Base, HasId, HasCreatedAt):
    """One request for an answer: one or two clips of the same club and purpose.

    Club, handedness and stature are copied at the time, because people change them later.
    """

    __tablename__ = "submissions"
    __table_args__ = (
        CheckConstraint(
            "state IN ('receiving', 'analysing', 'waiting', 'with_coach', 'answered', "
            "'refilm_asked', 'withdrawn', 'unreadable')",
            name="state",
        ),
        CheckConstraint("purpose IN ('full', 'rehearsal', 'pause', 'slow')", name="purpose"),
        CheckConstraint("handed IN ('right', 'left')", name="handed"),
        Index("ix_submissions_academy_state", "academy_id", "state", "created_at"),
    )

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"))
    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    club_name: Mapped[str | None]
    club_length_m: Mapped[float | None]
    purpose: Mapped[str]
    with_ball: Mapped[bool]
    handed: Mapped[str]
    stature_m: Mapped[float | None]
    note: Mapped[str] = mapped_column(default="")
    state: Mapped[str] = mapped_column(default="receiving")
    state_reason: Mapped[str] = mapped_column(default="")
    received_at: Mapped[datetime | None]
    due_at: Mapped[datetime | None]
    refilm_asked_at: Mapped[datetime | None]
    """Clips that came before are to be filmed again, whichever views they show."""

    student: Mapped[Membership] = relationship(lazy="joined")
    uploads: Mapped[list["Upload"]] = relationship(order_by="Upload.id", lazy="selectin")
    clips: Mapped[list["Clip"]] = relationship(order_by="Clip.id", lazy="selectin")


class Upload(Base, HasId, HasCreatedAt):
    """A file on its way in. How much has arrived is the size of the file on disk, nowhere else."""

    __tablename__ = "uploads"
    __table_args__ = (
        CheckConstraint(_VIEW, name="view"),
        CheckConstraint("length >= 0", name="length"),
        CheckConstraint("state IN ('receiving', 'complete', 'expired', 'cancelled')", name="state"),
    )

    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    owner_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    view: Mapped[str]
    filename: Mapped[str] = mapped_column(default="")
    metadata_header: Mapped[str] = mapped_column(default="")
    """``Upload-Metadata`` as the client sent it: tus wants it back, unchanged, on HEAD."""
    length: Mapped[int] = mapped_column(BigInteger)
    state: Mapped[str] = mapped_column(default="receiving")
    expires_at: Mapped[datetime]
    heard_at: Mapped[datetime] = mapped_column(default=utc_now)
    """When it was opened or last went on: a silent one holds nothing up."""


class Clip(Base, HasId):
    """One video as it was sent. ``replaced_at`` is set when the student films that view again."""

    __tablename__ = "clips"
    __table_args__ = (
        CheckConstraint(_VIEW, name="view"),
        CheckConstraint("state IN ('received', 'measured', 'refused', 'failed')", name="state"),
        Index(
            "uq_clips_current_view",
            "submission_id",
            "view",
            unique=True,
            sqlite_where=text("replaced_at IS NULL"),
            postgresql_where=text("replaced_at IS NULL"),
        ),
    )

    submission_id: Mapped[UUID] = mapped_column(ForeignKey("submissions.id"), index=True)
    upload_id: Mapped[UUID] = mapped_column(ForeignKey("uploads.id"), unique=True)
    view: Mapped[str]
    state: Mapped[str] = mapped_column(default="received")
    bytes: Mapped[int] = mapped_column(BigInteger)
    sha256: Mapped[str]
    filename: Mapped[str] = mapped_column(default="")
    refusal_code: Mapped[str | None]
    refusal_message: Mapped[str | None]
    progress_stage: Mapped[str | None]
    progress_share: Mapped[float | None]
    received_at: Mapped[datetime]
    replaced_at: Mapped[datetime | None]

    submission: Mapped[Submission] = relationship(back_populates="clips")
    analyses: Mapped[list["Analysis"]] = relationship(order_by="Analysis.id", lazy="selectin")


class Analysis(Base, HasId, HasCreatedAt):
    """One run of one pipeline version over one clip. Never edited; a new version is a new row."""

    __tablename__ = "analyses"
    __table_args__ = (UniqueConstraint("clip_id", "pipeline_version"),)

    clip_id: Mapped[UUID] = mapped_column(ForeignKey("clips.id"))
    pipeline_version: Mapped[str]
    measurement: Mapped[dict[str, Any]]
    """``fairlead.measurement/1``."""
    frames: Mapped[int]


class Reading(Base, HasId, HasCreatedAt):
    """A checkpoint's value, the machine's or a coach's. Nothing is overwritten.

    A coach's reading points at the one it supersedes; ``retired_at`` marks a reading that a later
    one, or going back to the machine's, has replaced. Either a value with its interval, or a reason.
    """

    __tablename__ = "readings"
    __table_args__ = (
        CheckConstraint("source IN ('machine', 'coach')", name="source"),
        CheckConstraint("sigma IS NULL OR sigma >= 0", name="sigma"),
        CheckConstraint(
            "(missing IS NULL AND value IS NOT NULL AND sigma IS NOT NULL AND low IS NOT NULL "
            "AND high IS NOT NULL) OR (missing IS NOT NULL AND value IS NULL)",
            name="value_or_reason",
        ),
        CheckConstraint("(source = 'coach') = (review_id IS NOT NULL)", name="coach_has_review"),
        Index(
            "uq_readings_machine",
            "analysis_id",
            "swing",
            "checkpoint",
            unique=True,
            sqlite_where=text("source = 'machine'"),
            postgresql_where=text("source = 'machine'"),
        ),
        Index(
            "uq_readings_coach",
            "review_id",
            "clip_id",
            "swing",
            "checkpoint",
            unique=True,
            sqlite_where=text("source = 'coach' AND retired_at IS NULL"),
            postgresql_where=text("source = 'coach' AND retired_at IS NULL"),
        ),
    )

    clip_id: Mapped[UUID] = mapped_column(ForeignKey("clips.id"), index=True)
    analysis_id: Mapped[UUID] = mapped_column(ForeignKey("analyses.id"))
    review_id: Mapped[UUID | None] = mapped_column(ForeignKey("reviews.id"), index=True)
    supersedes_id: Mapped[UUID | None] = mapped_column(ForeignKey("readings.id"))
    source: Mapped[str]
    swing: Mapped[int]
    checkpoint: Mapped[str]
    value: Mapped[float | None]
    sigma: Mapped[float | None]
    low: Mapped[float | None]
    high: Mapped[float | None]
    unit: Mapped[str | None]
    band: Mapped[str | None]
    missing: Mapped[str | None]
    frame: Mapped[int | None]
    points: Mapped[dict[str, Any]]
    inputs: Mapped[dict[str, Any]]
    made_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    retired_at: Mapped[datetime | None]

"""What a student tells on joining, who consents for whom to what, and copies and erasures of all that.

All of it belongs to one place at one academy: what somebody tells one academy, another never sees.
"""

from datetime import date, datetime
from uuid import UUID

from sqlalchemy import BigInteger, CheckConstraint, ForeignKey, Index, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId
from api.db.models.people import Membership

STATURE_BANDS = ("under_150", "150_165", "165_180", "over_180")
"""Centimetres, for whoever would rather not say the number."""
_BANDS = ", ".join(f"'{band}'" for band in STATURE_BANDS)
_NOT_ENDED = text("ended_at IS NULL")
_UNDER_WAY = text("done_at IS NULL AND called_back_at IS NULL")


class StudentProfile(Base, HasId, HasCreatedAt):
    """What a student says about themself to one academy.

    ``child`` is the age as last looked at (declared, set by the office, or by the sweep on a birthday), for
    queries; what is decided is decided from the dates (``api.domain.ages``). ``stopped_at``: consent was
    withdrawn or the data is being erased: coaches and office see nothing of the student, nothing is measured.
    ``to_know`` may speak of health: coaches read it, the office does not.
    """

    __tablename__ = "student_profiles"
    __table_args__ = (
        CheckConstraint(f"stature_band IN ({_BANDS})", name="stature_band"),
        CheckConstraint("(stopped_at IS NULL) = (stopped_because = '')", name="stopped_says_why"),
        CheckConstraint("stopped_because IN ('', 'consent', 'erasure')", name="stopped_because"),
    )

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), unique=True)
    born_on: Mapped[date | None]
    said_adult_at: Mapped[datetime | None]
    called_child_at: Mapped[datetime | None]
    child: Mapped[bool] = mapped_column(default=False)
    stature_band: Mapped[str | None]
    aims: Mapped[str] = mapped_column(default="")
    to_know: Mapped[str] = mapped_column(default="")
    time_zone: Mapped[str | None]
    seen_steps: Mapped[list[str]] = mapped_column(default=list)
    """Steps of joining that the student went through, answered or not: none is asked twice."""
    stopped_at: Mapped[datetime | None]
    stopped_because: Mapped[str] = mapped_column(default="")


class Guardianship(Base, HasId, HasCreatedAt):
    """Who answers for a child. One at a time; ended ones stay, since consents name them.

    ``guardian_id`` once the mailed link was used. A link is one-time, and only its SHA-256 is kept.
    """

    __tablename__ = "guardianships"
    __table_args__ = (
        CheckConstraint("email = lower(email)", name="email_lower"),
        CheckConstraint("(guardian_id IS NULL) = (accepted_at IS NULL)", name="accepted_by"),
        Index(
            "uq_guardianships_current",
            "child_id",
            unique=True,
            sqlite_where=_NOT_ENDED,
            postgresql_where=_NOT_ENDED,
        ),
    )

    child_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    guardian_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"), index=True)
    email: Mapped[str]
    name: Mapped[str]
    named_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    token_sha256: Mapped[str | None] = mapped_column(unique=True)
    expires_at: Mapped[datetime | None]
    accepted_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]

    child: Mapped[Membership] = relationship(foreign_keys=[child_id], lazy="joined")


class ConsentText(Base, HasId, HasCreatedAt):
    """What people agree to, word for word. Never changed: triggers made by the migration refuse it.

    ``academy_id`` None: the text that comes with Fairlead. One ``version`` may be there in several
    ``locale`` s (BCP 47). ``asks_again``: its content is another, so who agreed before is asked again.
    """

    __tablename__ = "consent_texts"
    __table_args__ = (
        CheckConstraint("audience IN ('adult', 'guardian')", name="audience"),
        CheckConstraint("version > 0", name="version_positive"),
        Index(
            "uq_consent_texts_version", "academy_id", "audience", "version", "locale", unique=True
        ),
    )

    academy_id: Mapped[UUID | None] = mapped_column(ForeignKey("academies.id"))
    audience: Mapped[str]
    version: Mapped[int]
    locale: Mapped[str]
    body: Mapped[str]
    sha256: Mapped[str]
    """Of ``body`` in UTF-8, hexadecimal."""
    asks_again: Mapped[bool]
    valid_from: Mapped[datetime]
    made_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))


class ConsentRecord(Base, HasId):
    """Who said what to which text, for whom, when and from where. Withdrawing dates it; nothing else changes.

    ``source``: the network address it came from; it goes when the student is erased.
    """

    __tablename__ = "consents"
    __table_args__ = (
        CheckConstraint("decision IN ('given', 'refused')", name="decision"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_by IS NULL)", name="withdrawn_by"),
        CheckConstraint(
            "withdrawn_at IS NULL OR decision = 'given'", name="only_given_is_withdrawn"
        ),
    )

    student_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    given_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    guardianship_id: Mapped[UUID | None] = mapped_column(ForeignKey("guardianships.id"))
    text_id: Mapped[UUID] = mapped_column(ForeignKey("consent_texts.id"))
    decision: Mapped[str]
    decided_at: Mapped[datetime]
    source: Mapped[str]
    withdrawn_at: Mapped[datetime | None]
    withdrawn_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))

    text: Mapped[ConsentText] = relationship(lazy="joined")


class DataExport(Base, HasId, HasCreatedAt):
    """A copy of everything about one place, made by a worker. ``bytes`` once it is ready."""

    __tablename__ = "data_exports"
    __table_args__ = (
        CheckConstraint("state IN ('asked', 'ready', 'failed', 'gone')", name="state"),
        CheckConstraint("state <> 'ready' OR expires_at IS NOT NULL", name="ready_expires"),
    )

    about_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    asked_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    state: Mapped[str] = mapped_column(default="asked")
    ready_at: Mapped[datetime | None]
    expires_at: Mapped[datetime | None]
    bytes: Mapped[int | None] = mapped_column(BigInteger)


class Erasure(Base, HasId, HasCreatedAt):
    """A wish to have everything about one place erased, from asking to the day it was done.

    Confirmed by a mailed link, of which only the SHA-256 is kept; from then on everything of the place
    is stopped and hidden, and until ``due_at`` it can be called back.
    """

    __tablename__ = "erasures"
    __table_args__ = (
        CheckConstraint("(confirmed_at IS NULL) = (due_at IS NULL)", name="confirmed_is_due"),
        CheckConstraint("done_at IS NULL OR confirmed_at IS NOT NULL", name="done_was_confirmed"),
        Index(
            "uq_erasures_under_way",
            "about_id",
            unique=True,
            sqlite_where=_UNDER_WAY,
            postgresql_where=_UNDER_WAY,
        ),
    )

    about_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    asked_by: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    token_sha256: Mapped[str | None] = mapped_column(unique=True)
    link_expires_at: Mapped[datetime]
    confirmed_at: Mapped[datetime | None]
    due_at: Mapped[datetime | None]
    called_back_at: Mapped[datetime | None]
    done_at: Mapped[datetime | None]

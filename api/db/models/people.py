"""Academies, people, and how they get in."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import CheckConstraint, ForeignKey, Index, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId
from api.domain.ages import HIGHEST_AGE_LIMIT, LOWEST_AGE_LIMIT, USUAL_AGE_LIMIT
from api.domain.languages import DEFAULT_LANGUAGE
from api.domain.names import INVITED, Role

_ROLES = ", ".join(f"'{role.value}'" for role in Role)
_INVITED = ", ".join(f"'{role.value}'" for role in INVITED)


class Academy(Base, HasId, HasCreatedAt):
    """A golf school. Nothing is ever visible across academies.

    ``language``: the tag (BCP 47) by which numbers and dates are written for whoever chose none.
    ``double_read_share``: from 0 to 1, how many of the answers sent are read again by a coach who does not know them.
    ``age_limit``: whoever is younger, in years, needs a guardian; local law decides, so the academy sets it.
    ``safeguarding_name`` and ``safeguarding_contact``: whom a child or guardian can turn to, and how.
    """

    __tablename__ = "academies"
    __table_args__ = (
        CheckConstraint("promise_hours > 0", name="promise_positive"),
        CheckConstraint("double_read_share BETWEEN 0 AND 1", name="double_read_share"),
        CheckConstraint(
            f"age_limit BETWEEN {LOWEST_AGE_LIMIT} AND {HIGHEST_AGE_LIMIT}", name="age_limit"
        ),
    )

    name: Mapped[str]
    time_zone: Mapped[str]
    promise_hours: Mapped[int] = mapped_column(default=48)
    language: Mapped[str] = mapped_column(default=DEFAULT_LANGUAGE)
    double_read_share: Mapped[float] = mapped_column(default=0.0, server_default="0")
    age_limit: Mapped[int] = mapped_column(default=USUAL_AGE_LIMIT)
    safeguarding_name: Mapped[str] = mapped_column(default="")
    safeguarding_contact: Mapped[str] = mapped_column(default="")


class Person(Base, HasId, HasCreatedAt):
    """A human being, who may belong to several academies. ``email`` is stored lower-case.

    ``language``: the tag of what they read; None where they take the academy's.
    """

    __tablename__ = "people"
    __table_args__ = (
        CheckConstraint("email = lower(email)", name="email_lower"),
        CheckConstraint("handed IN ('right', 'left')", name="handed"),
        CheckConstraint("stature_m IS NULL OR stature_m BETWEEN 0.8 AND 2.5", name="stature"),
    )

    email: Mapped[str] = mapped_column(unique=True)
    name: Mapped[str]
    handed: Mapped[str] = mapped_column(default="right")
    stature_m: Mapped[float | None]
    language: Mapped[str | None]


class Membership(Base, HasId, HasCreatedAt):
    """A person's role in one academy. Rows that act (upload, review) point here, not at people."""

    __tablename__ = "memberships"
    __table_args__ = (
        UniqueConstraint("academy_id", "person_id", "role"),
        CheckConstraint(f"role IN ({_ROLES})", name="role"),
    )

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"), index=True)
    person_id: Mapped[UUID] = mapped_column(ForeignKey("people.id"), index=True)
    role: Mapped[str]
    deactivated_at: Mapped[datetime | None]

    academy: Mapped[Academy] = relationship(lazy="joined")
    person: Mapped[Person] = relationship(lazy="joined")

    @property
    def language(self) -> str:
        """The tag of what the person reads here: their own, else the academy's."""
        return self.person.language or self.academy.language


class Invitation(Base, HasId, HasCreatedAt):
    """A mailed offer of a membership. Only the SHA-256 of its token is kept."""

    __tablename__ = "invitations"
    __table_args__ = (
        CheckConstraint(f"role IN ({_INVITED})", name="role"),
        CheckConstraint("email = lower(email)", name="email_lower"),
        Index(
            "uq_invitations_open",
            "academy_id",
            "email",
            "role",
            unique=True,
            sqlite_where=text("accepted_at IS NULL AND revoked_at IS NULL"),
            postgresql_where=text("accepted_at IS NULL AND revoked_at IS NULL"),
        ),
    )

    academy_id: Mapped[UUID] = mapped_column(ForeignKey("academies.id"), index=True)
    email: Mapped[str]
    name: Mapped[str]
    role: Mapped[str]
    language: Mapped[str | None]
    token_sha256: Mapped[str] = mapped_column(unique=True)
    invited_by: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    expires_at: Mapped[datetime]
    accepted_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]


class SignInLink(Base, HasId, HasCreatedAt):
    """A one-time way in, sent by mail. Spending it is one conditional UPDATE."""

    __tablename__ = "sign_in_links"

    person_id: Mapped[UUID] = mapped_column(ForeignKey("people.id"), index=True)
    token_sha256: Mapped[str] = mapped_column(unique=True)
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]


class SignInSession(Base, HasId, HasCreatedAt):
    """A signed-in browser, acting in one membership at a time."""

    __tablename__ = "sign_in_sessions"

    person_id: Mapped[UUID] = mapped_column(ForeignKey("people.id"), index=True)
    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    token_sha256: Mapped[str] = mapped_column(unique=True)
    csrf_token: Mapped[str]
    expires_at: Mapped[datetime]
    ended_at: Mapped[datetime | None]


class ApiToken(Base, HasId, HasCreatedAt):
    """A program's way in, narrower than its owner: only the scopes listed."""

    __tablename__ = "api_tokens"

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    name: Mapped[str]
    token_sha256: Mapped[str] = mapped_column(unique=True)
    scopes: Mapped[list[str]]
    expires_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]
    last_used_at: Mapped[datetime | None]


class Club(Base, HasId, HasCreatedAt):
    """A golf club of a student's. Length bounds: Equipment Rules (R&A and USGA), Part 2.

    At least 18 in (0.457 m), at most 48 in (1.219 m); putters, which may be longer, are not filmed.
    """

    __tablename__ = "clubs"
    __table_args__ = (CheckConstraint("length_m BETWEEN 0.457 AND 1.22", name="length"),)

    person_id: Mapped[UUID] = mapped_column(ForeignKey("people.id"), index=True)
    name: Mapped[str]
    length_m: Mapped[float]
    retired_at: Mapped[datetime | None]

"""Who did what, append-only, and the answers already given to repeated requests."""

from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, Index, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from api.db.base import Base, HasCreatedAt, HasId, utc_now


class AuditEvent(Base, HasId):
    """One act. Rows are only ever added; triggers made by the migration refuse anything else."""

    __tablename__ = "audit_events"
    __table_args__ = (Index("ix_audit_events_subject", "subject_type", "subject_id"),)

    at: Mapped[datetime] = mapped_column(default=utc_now)
    academy_id: Mapped[UUID | None] = mapped_column(ForeignKey("academies.id"), index=True)
    actor_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"))
    """None when the service itself acted (a worker, a sweep)."""
    act: Mapped[str]
    subject_type: Mapped[str]
    subject_id: Mapped[UUID]
    before: Mapped[dict[str, Any] | None]
    after: Mapped[dict[str, Any] | None]
    request_id: Mapped[str | None]


class IdempotencyKey(Base, HasId, HasCreatedAt):
    """The first answer to a request that creates or charges, given again to its repeats."""

    __tablename__ = "idempotency_keys"
    __table_args__ = (UniqueConstraint("membership_id", "route", "key"),)

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    route: Mapped[str]
    key: Mapped[str]
    request_sha256: Mapped[str]
    status: Mapped[int]
    response: Mapped[dict[str, Any]]

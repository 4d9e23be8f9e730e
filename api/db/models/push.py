"""Devices that show notices, and what is to be shown on them."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column, relationship

from api.db.base import Base, HasCreatedAt, HasId


class PushSubscription(Base, HasId, HasCreatedAt):
    """A browser that shows notices to one place. ``endpoint``: where its maker takes them (RFC 8030).

    ``p256dh`` and ``auth``: the browser's public key and shared secret (RFC 8291), in base64url; who carries a message
    cannot read it.
    """

    __tablename__ = "push_subscriptions"

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"), index=True)
    endpoint: Mapped[str] = mapped_column(unique=True)
    p256dh: Mapped[str]
    auth: Mapped[str]


class PushMessage(Base, HasId, HasCreatedAt):
    """One notice for one browser. ``held_until`` and ``left_out`` as of a mail."""

    __tablename__ = "push_messages"

    subscription_id: Mapped[UUID] = mapped_column(ForeignKey("push_subscriptions.id"), index=True)
    kind: Mapped[str]
    submission_id: Mapped[UUID | None] = mapped_column(ForeignKey("submissions.id"), index=True)
    child_id: Mapped[UUID | None] = mapped_column(ForeignKey("memberships.id"), index=True)
    sent_at: Mapped[datetime | None]
    held_until: Mapped[datetime | None]
    left_out: Mapped[str] = mapped_column(default="", server_default="")

    subscription: Mapped[PushSubscription] = relationship(lazy="joined")

"""Views of the queue that coaches keep by name."""

from typing import Any
from uuid import UUID

from sqlalchemy import ForeignKey, Index
from sqlalchemy.orm import Mapped, mapped_column

from api.db.base import Base, HasCreatedAt, HasId


class QueueView(Base, HasId, HasCreatedAt):
    """A queue with its filters and search, under a name, for one membership alone.

    ``filters`` may have been written by another version: it is read leniently, and what is not known
    any more is told. ``name_folded`` keeps "Late" and "late" from being two.
    """

    __tablename__ = "queue_views"
    __table_args__ = (Index("uq_queue_views_name", "membership_id", "name_folded", unique=True),)

    membership_id: Mapped[UUID] = mapped_column(ForeignKey("memberships.id"))
    name: Mapped[str]
    name_folded: Mapped[str]
    queue: Mapped[str]
    filters: Mapped[dict[str, Any]]

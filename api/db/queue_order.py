"""The order of the queue, in one place: for its pages, their cursors, and who takes the next.

Due first. Late ones are due in the past and so come before all others, and between two with the same
due time the one that came earlier goes first. ``web/src/desk/queue/order.ts`` compares alike.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Self
from uuid import UUID

from sqlalchemy import ColumnElement, tuple_

from api.db.models import Review

DUE_FIRST = (Review.due_at, Review.id)
NEWEST_FIRST = (Review.id.desc(),)
"""The answered ones: nothing is due any more."""


@dataclass(frozen=True, slots=True)
class QueueSpot:
    """Where a page of the queue ended."""

    due_at: datetime
    review_id: UUID

    def __str__(self) -> str:
        """As a cursor, for ``read``."""
        return f"{self.due_at.isoformat()}~{self.review_id}"

    @classmethod
    def read(cls, cursor: str) -> Self:
        """Raises ``ValueError`` for what ``str`` never wrote."""
        due_at, _, review_id = cursor.partition("~")
        moment = datetime.fromisoformat(due_at)
        if moment.tzinfo is None:
            raise ValueError("A cursor's time has a zone.")
        try:
            return cls(moment.astimezone(UTC), UUID(review_id))
        except OverflowError:  # the first or last day of the calendar, in another zone
            raise ValueError("A cursor's time is one of ours.") from None

    def due_after(self) -> ColumnElement[bool]:
        """What comes later, due first."""
        return tuple_(*DUE_FIRST) > (self.due_at, self.review_id)

    def older(self) -> ColumnElement[bool]:
        """What comes later, newest first."""
        return Review.id < self.review_id

"""The order of the queue, in one place: for its pages, their cursors, and who takes the next.

Due first. Late ones are due in the past and so come before all others, and between two with the same
due time the one that came earlier goes first. A correction in hand comes after all that a student waits for,
whatever its first answer was due by. ``web/src/desk/queue/order.ts`` compares alike.
"""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Self
from uuid import UUID

from sqlalchemy import ColumnElement, case, tuple_

from api.db.models import Review

DUE_FIRST = (Review.due_at, Review.id)
"""What waits: an answer that stands is never among it, so that an index has this very order."""
HELD_FIRST = (case((Review.answered_at.is_(None), 0), else_=1), *DUE_FIRST)
"""What is in a coach's hands: first answers, then corrections of answers that stand."""
NEWEST_FIRST = (Review.id.desc(),)
"""The answered ones: nothing is due any more."""

_CORRECTING = "correcting"


@dataclass(frozen=True, slots=True)
class QueueSpot:
    """Where a page of the queue ended."""

    due_at: datetime
    review_id: UUID
    correcting: bool = False

    def __str__(self) -> str:
        """As a cursor, for ``read``."""
        written = f"{self.due_at.isoformat()}~{self.review_id}"
        return f"{written}~{_CORRECTING}" if self.correcting else written

    @classmethod
    def read(cls, cursor: str) -> Self:
        """Raises ``ValueError`` for what ``str`` never wrote."""
        due_at, _, rest = cursor.partition("~")
        review_id, _, kind = rest.partition("~")
        if kind not in {"", _CORRECTING}:
            raise ValueError("A cursor ends with what it is of.")
        moment = datetime.fromisoformat(due_at)
        if moment.tzinfo is None:
            raise ValueError("A cursor's time has a zone.")
        try:
            return cls(moment.astimezone(UTC), UUID(review_id), kind == _CORRECTING)
        except OverflowError:  # the first or last day of the calendar, in another zone
            raise ValueError("A cursor's time is one of ours.") from None

    def due_after(self) -> ColumnElement[bool]:
        """What comes later of what waits."""
        return tuple_(*DUE_FIRST) > (self.due_at, self.review_id)

    def held_after(self) -> ColumnElement[bool]:
        """What comes later of what is in a coach's hands."""
        return tuple_(*HELD_FIRST) > (int(self.correcting), self.due_at, self.review_id)

    def older(self) -> ColumnElement[bool]:
        """What comes later, newest first."""
        return Review.id < self.review_id

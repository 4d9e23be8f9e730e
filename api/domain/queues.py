"""The queue: which there are, why an item stands where it does, and what a coach may narrow it by."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any

from api.domain.names import Purpose, View

MAX_SEARCH = 100
MAX_SEARCH_WORDS = 6
MAX_CLUB = 120


class QueueName(StrEnum):
    """The queues of an academy, as one coach sees them."""

    WAITING = "waiting"
    """Free to take; also what a coach took and left."""

    CLAIMED = "claimed"
    ANSWERED = "answered"
    MINE = "mine"
    """What the caller holds."""


class Reason(StrEnum):
    """Why an item stands out, the weightiest first.

    A new one is a member here, its condition in ``api.db.queues.CONDITIONS`` (the promise's are
    computed from the due time instead), and its words in ``web/src/desk/queue/reasons.ts``.
    """

    LATE = "late"
    DUE_SOON = "due_soon"
    DUE_HALF = "due_half"
    CHILD = "child"
    SECOND_OPINION = "second_opinion"
    FILMED_AGAIN = "filmed_again"
    PROOF = "proof"
    FIRST_CLIP = "first_clip"
    DRAFT_LEFT = "draft_left"
    BLIND_READ = "blind_read"


PROMISE_REASONS: tuple[tuple[Reason, float], ...] = (
    (Reason.LATE, 1.0),
    (Reason.DUE_SOON, 0.8),
    (Reason.DUE_HALF, 0.5),
)
"""From which share of the promised time on each holds; the first that does is told."""


@dataclass(frozen=True, slots=True)
class Promise:
    """The academy's promise, looked at now.

    An item's clock is told from its due time backwards: it starts anew when a student films again,
    and a promise that the academy has changed since counts with its new length.
    """

    span: timedelta
    now: datetime

    def due_by(self, share: float) -> datetime:
        """What is due by then has used up this share of its promise."""
        return self.now + (1.0 - share) * self.span

    def reached_at(self, due_at: datetime, share: float) -> datetime:
        """When an item has used up this share."""
        return due_at - (1.0 - share) * self.span

    def reason(self, due_at: datetime) -> Reason | None:
        """What the clock says of an item, if anything yet."""
        return next(
            (reason for reason, share in PROMISE_REASONS if due_at <= self.due_by(share)), None
        )


class Drafted(StrEnum):
    """Whether the caller was the last to work on an item's draft."""

    MINE = "mine"
    NOT_MINE = "not_mine"


@dataclass(frozen=True, slots=True)
class QueueFilters:
    """What a queue is narrowed by. ``club`` empty: no club was named; None: any."""

    search: str = ""
    view: View | None = None
    purpose: Purpose | None = None
    club: str | None = None
    reason: Reason | None = None
    drafted: Drafted | None = None

    @property
    def words(self) -> list[str]:
        """What is searched for: every word must be somewhere."""
        return self.search.lower().split()[:MAX_SEARCH_WORDS]

    def to_json(self) -> dict[str, Any]:
        """As a saved view keeps it: what is set, and nothing else."""
        kept: dict[str, Any] = {"search": self.search} if self.search.strip() else {}
        for name in ("view", "purpose", "reason", "drafted"):
            value = getattr(self, name)
            if value is not None:
                kept[name] = value.value
        return kept if self.club is None else {**kept, "club": self.club}


_ENUMS: Mapping[str, type[StrEnum]] = {
    "view": View,
    "purpose": Purpose,
    "reason": Reason,
    "drafted": Drafted,
}
_TEXTS = {"search": MAX_SEARCH, "club": MAX_CLUB}


def read_kept(kept: Mapping[str, Any]) -> tuple[QueueFilters, list[str]]:
    """Filters that were kept, perhaps by another version, and the names of what is no longer known.

    Never raises: a coach opens an old view for the rest of it.
    """
    known: dict[str, Any] = {}
    broken = []
    for name, value in kept.items():
        read = _read_one(name, value)
        if read is None:
            broken.append(name)
        else:
            known[name] = read
    return QueueFilters(**known), sorted(broken)


def _read_one(name: str, value: object) -> str | None:
    if not isinstance(value, str):
        return None
    if name in _TEXTS:
        return value if len(value) <= _TEXTS[name] else None
    if name not in _ENUMS:
        return None
    try:
        return _ENUMS[name](value)
    except ValueError:
        return None

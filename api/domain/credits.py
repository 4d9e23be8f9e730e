"""Credits: what a student may have reviewed, and where every one of them went.

A credit is an entitlement to one review, not money. Credits come in lots (a month of a plan, a bundle, a top-up), each with
a day on which it ends. A ledger of moves tells where they are, written like double-entry book-keeping: every move takes
a count from one place and puts it into another, none is ever changed, and how many lie in a place is the sum of
the moves. What was moved wrongly is moved back by a later move that names the first.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from api.domain.errors import Conflict


class Place(StrEnum):
    """Where credits lie. ``SOLD`` is what they come from: as far below zero as there are credits elsewhere."""

    SOLD = "sold"
    OPEN = "open"
    RESERVED = "reserved"
    USED = "used"
    LAPSED = "lapsed"
    REFUNDED = "refunded"


class Act(StrEnum):
    """Why credits move."""

    GRANT = "grant"
    RESERVE = "reserve"
    USE = "use"
    RELEASE = "release"
    GIVE_BACK = "give_back"
    """A used one back: the review was voided, or came too late."""
    LAPSE = "lapse"
    REFUND = "refund"


WAYS = {
    Act.GRANT: (Place.SOLD, Place.OPEN),
    Act.RESERVE: (Place.OPEN, Place.RESERVED),
    Act.USE: (Place.RESERVED, Place.USED),
    Act.RELEASE: (Place.RESERVED, Place.OPEN),
    Act.GIVE_BACK: (Place.USED, Place.OPEN),
    Act.LAPSE: (Place.OPEN, Place.LAPSED),
    Act.REFUND: (Place.OPEN, Place.REFUNDED),
}
"""Where each act takes credits from and puts them."""


@dataclass(frozen=True, slots=True)
class Lot:
    """Credits granted together. ``ends_at``: the first moment at which open ones lapse; ``None`` where they do not."""

    id: UUID
    granted_at: datetime
    ends_at: datetime | None


@dataclass(frozen=True, slots=True)
class Move:
    """``count`` credits of a lot, moved by an act. ``submission``: what they were reserved or used for."""

    lot: UUID
    act: Act
    count: int
    submission: UUID | None = None

    def __post_init__(self) -> None:
        """Refuse moves of nothing or of less: a move back is an act of its own."""
        if self.count < 1:
            raise ValueError("A move moves at least one credit.")


def places(moves: Iterable[Move]) -> Counter[tuple[UUID, Place]]:
    """How many credits of each lot lie in each place."""
    lying: Counter[tuple[UUID, Place]] = Counter()
    for move in moves:
        source, target = WAYS[move.act]
        lying[move.lot, source] -= move.count
        lying[move.lot, target] += move.count
    return lying


def lot_to_use(lots: Sequence[Lot], moves: Iterable[Move], now: datetime) -> Lot:
    """The lot of which one is reserved next: the first to end of those with open credits, then the oldest.

    Raises ``Conflict`` where none is open.
    """
    lying = places(moves)
    able = [lot for lot in lots if lying[lot.id, Place.OPEN] > 0 and not _ended(lot, now)]
    if not able:
        raise Conflict(
            "No review is left on this plan. A top-up or the next month brings new ones.",
            code="no_credit_left",
        )
    return min(
        able, key=lambda lot: (lot.ends_at is None, lot.ends_at or now, lot.granted_at, lot.id)
    )


def lapses(lots: Sequence[Lot], moves: Iterable[Move], now: datetime) -> list[Move]:
    """The moves by which what is still open of ended lots lapses. Reserved ones stay: their review was promised."""
    lying = places(moves)
    return [
        Move(lot.id, Act.LAPSE, lying[lot.id, Place.OPEN])
        for lot in lots
        if _ended(lot, now) and lying[lot.id, Place.OPEN] > 0
    ]


def settled_for(moves: Iterable[Move], submission: UUID) -> tuple[UUID, Place] | None:
    """The lot and place of the credit that stands for a submission; ``None`` where none does.

    Whoever wants to reserve, use or release for it again finds here that it is done: nothing is charged twice.
    """
    own = [move for move in moves if move.submission == submission]
    lying = {key: count for key, count in places(own).items() if key[1] in _STANDS and count > 0}
    if sum(lying.values()) > 1:
        raise ValueError("More than one credit stands for a submission.")
    return next(iter(lying), None)


_STANDS = {Place.RESERVED, Place.USED}


def _ended(lot: Lot, now: datetime) -> bool:
    return lot.ends_at is not None and lot.ends_at <= now

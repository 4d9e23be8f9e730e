"""Credits: where each lies is the sum of the moves, whatever happened."""

from contextlib import suppress
from datetime import UTC, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import Bundle, RuleBasedStateMachine, invariant, rule

from api.domain.credits import WAYS, Act, Lot, Move, Place, lapses, lot_to_use, places, settled_for
from api.domain.errors import Conflict

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)
DAY = timedelta(days=1)


def lot(days: int | None, *, granted: int = 0) -> Lot:
    """A lot that ends so many days from ``NOW``."""
    ends = None if days is None else NOW + days * DAY
    return Lot(uuid4(), NOW + granted * DAY, ends)


def test_the_first_to_end_is_used_first_then_the_oldest() -> None:
    later, sooner, never = lot(30), lot(3), lot(None)
    older = lot(3, granted=-5)
    lots = [never, later, sooner, older]
    moves = [Move(one.id, Act.GRANT, 1) for one in lots]
    used = []
    for _ in lots:
        chosen = lot_to_use(lots, moves, NOW)
        used.append(chosen)
        moves.append(Move(chosen.id, Act.RESERVE, 1, uuid4()))
    assert used == [older, sooner, later, never]
    with pytest.raises(Conflict, match="No review is left"):
        lot_to_use(lots, moves, NOW)


def test_what_has_ended_is_not_used_and_lapses_but_for_what_is_reserved() -> None:
    ended = lot(0)
    moves = [Move(ended.id, Act.GRANT, 3), Move(ended.id, Act.RESERVE, 1, uuid4())]
    with pytest.raises(Conflict):
        lot_to_use([ended], moves, NOW)
    assert lapses([ended], moves, NOW - timedelta(seconds=1)) == []
    assert lapses([ended], moves, NOW) == [Move(ended.id, Act.LAPSE, 2)]
    moves += lapses([ended], moves, NOW)
    assert lapses([ended], moves, NOW) == []
    assert places(moves)[ended.id, Place.RESERVED] == 1


def test_a_move_moves_something() -> None:
    with pytest.raises(ValueError, match="at least one"):
        Move(uuid4(), Act.USE, 0)


class Histories(RuleBasedStateMachine):
    """Random histories of one student: grants, clips, answers, withdrawals, refunds, days that pass."""

    submissions = Bundle("submissions")

    def __init__(self) -> None:
        super().__init__()
        self.now = NOW
        self.lots: list[Lot] = []
        self.moves: list[Move] = []
        self.answered: set[UUID] = set()

    def _move(self, lot_id: UUID, act: Act, submission: UUID | None = None, count: int = 1) -> None:
        self.moves.append(Move(lot_id, act, count, submission))

    @rule(count=st.integers(1, 5), days=st.none() | st.integers(1, 20))
    def grant(self, count: int, days: int | None) -> None:
        ends = None if days is None else self.now + days * DAY
        self.lots.append(Lot(uuid4(), self.now, ends))
        self._move(self.lots[-1].id, Act.GRANT, count=count)

    @rule(target=submissions)
    def receive(self) -> UUID:
        submission = uuid4()
        with suppress(Conflict):
            self._move(lot_to_use(self.lots, self.moves, self.now).id, Act.RESERVE, submission)
        return submission

    @rule(submission=submissions)
    def answer(self, submission: UUID) -> None:
        stands = settled_for(self.moves, submission)
        if stands is not None and stands[1] is Place.RESERVED:
            self._move(stands[0], Act.USE, submission)
            self.answered.add(submission)

    @rule(submission=submissions)
    def withdraw(self, submission: UUID) -> None:
        stands = settled_for(self.moves, submission)
        if stands is not None and stands[1] is Place.RESERVED:
            self._move(stands[0], Act.RELEASE, submission)

    @rule(submission=submissions)
    def void(self, submission: UUID) -> None:
        stands = settled_for(self.moves, submission)
        if stands is not None and stands[1] is Place.USED:
            self._move(stands[0], Act.GIVE_BACK, submission)
            self.answered.discard(submission)

    @rule(days=st.integers(1, 15))
    def time_passes(self, days: int) -> None:
        self.now += days * DAY
        self.moves += lapses(self.lots, self.moves, self.now)

    @invariant()
    def sums_hold(self) -> None:
        lying = places(self.moves)
        granted = sum(move.count for move in self.moves if move.act is Act.GRANT)
        assert sum(lying.values()) == 0
        assert sum(count for (_, place), count in lying.items() if place is Place.SOLD) == -granted
        assert all(count >= 0 for (_, place), count in lying.items() if place is not Place.SOLD)
        used = sum(count for (_, place), count in lying.items() if place is Place.USED)
        assert used == len(self.answered)


TestHistories = Histories.TestCase
TestHistories.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)


def test_every_act_has_a_way() -> None:
    assert set(WAYS) == set(Act)

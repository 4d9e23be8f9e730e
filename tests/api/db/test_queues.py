"""A long queue is read along its indexes: what a look costs does not grow with what waits."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import Connection, Engine, event, text
from sqlalchemy.orm import Session

from api.db import queues
from api.db.models import Review
from api.db.queue_order import QueueSpot
from api.db.queues import Looked
from api.db.session import make_engine
from api.domain.ids import new_id
from api.domain.queues import QueueFilters, QueueName
from tests import factories
from tests.bench.queue_fill import fill_queue

WAITING = 3000
PAGE = 50


@pytest.fixture
def engine(either_url: str) -> Iterator[Engine]:
    engine = make_engine(either_url)
    yield engine
    engine.dispose()


@pytest.fixture
def look(engine: Engine) -> Iterator[Looked]:
    """A coach of an academy with a long queue, and nothing but it in the tables."""
    with Session(engine) as session:
        filled = fill_queue(session, WAITING, students=60)
        if engine.dialect.name == "postgresql":
            session.execute(text("ANALYZE"))
            session.commit()
        actor = factories.actor_of(filled.coaches[0])
        promise = queues.promise_of(session, actor, datetime.now(UTC))
        yield Looked(session, actor, QueueName.WAITING, QueueFilters(), promise)


def plans_of(engine: Engine, work: Callable[[], object], table: str = "reviews") -> list[str]:
    """How the database goes about every statement of ``work`` that starts from a table."""
    found: list[str] = []
    prefix = "EXPLAIN QUERY PLAN" if engine.dialect.name == "sqlite" else "EXPLAIN"

    def explain(
        connection: Connection,
        cursor: object,
        statement: str,
        parameters: object,
        context: object,
        executemany: object,
    ) -> None:
        if statement.startswith("SELECT") and f"FROM {table}" in statement:
            asking = connection.connection.cursor()
            asking.execute(f"{prefix} {statement}", parameters)  # type: ignore[arg-type]  # the driver's own
            found.append("\n".join(str(row[-1]) for row in asking.fetchall()))
            asking.close()

    event.listen(engine, "before_cursor_execute", explain)
    try:
        work()
    finally:
        event.remove(engine, "before_cursor_execute", explain)
    assert found, "nothing was asked"
    return found


def test_a_page_reads_along_the_order_and_sorts_nothing(engine: Engine, look: Looked) -> None:
    spot = QueueSpot(look.now + timedelta(hours=20), new_id())
    for after in (None, spot):
        plan = plans_of(engine, lambda at=after: queues.queue_page(look, after=at, limit=PAGE))[0]  # type: ignore[misc]  # a loop's value, kept
        assert "ix_reviews_open" in plan, plan
        assert "Sort" not in plan, plan
        assert "TEMP B-TREE" not in plan, plan


def test_what_changed_is_one_query_along_an_index(engine: Engine, look: Looked) -> None:
    plans = plans_of(engine, lambda: queues.newest_changes(look.session, look.actor))
    assert len(plans) == 1
    assert "ix_reviews_changed" in plans[0]
    assert "Sort" not in plans[0]
    assert "TEMP B-TREE" not in plans[0]


def test_a_page_asks_as_often_however_many_it_lists(engine: Engine, look: Looked) -> None:
    def asked(limit: int) -> int:
        number = 0

        def count(*_given: object) -> None:
            nonlocal number
            number += 1

        event.listen(engine, "before_cursor_execute", count)
        try:
            queues.queue_page(look, after=None, limit=limit)
        finally:
            event.remove(engine, "before_cursor_execute", count)
        return number

    assert asked(200) == asked(20) <= 6


def test_every_waiting_one_is_met_once_on_the_way_down(look: Looked) -> None:
    seen: list[object] = []
    after: QueueSpot | None = None
    while True:
        page = queues.queue_page(look, after=after, limit=200)
        if not page:
            break
        seen += [item.row.id for item in page]
        after = QueueSpot(page[-1].row.due_at, page[-1].row.id)
    assert len(seen) == len(set(seen)) == WAITING
    assert queues.found_and_late(look)[0] == WAITING


def test_a_change_is_among_the_newest_also_when_its_transaction_began_long_ago(
    look: Looked,
) -> None:
    # Times are taken when a row is written and seen when it is committed: others may be newer by then.
    before = queues.newest_changes(look.session, look.actor)
    page = queues.queue_page(look, after=None, limit=2)
    first, second = (look.session.get_one(Review, item.row.id) for item in page)
    first.due_at = second.due_at = look.now
    first.changed_at = look.now + timedelta(seconds=1)
    look.session.flush()
    middle = queues.newest_changes(look.session, look.actor)
    assert set(queues.changed_between(before, middle) or ()) == {first.id, second.id}
    second.claimed_by, second.state = look.actor.membership_id, "claimed"
    second.lease_ends_at = look.now + timedelta(minutes=30)
    second.changed_at = look.now  # before the first one's
    look.session.flush()
    after = queues.newest_changes(look.session, look.actor)
    assert queues.changed_between(middle, after) == [second.id]

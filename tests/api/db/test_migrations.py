"""The migrations and the models describe the same database, on both kinds."""

import hashlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import CheckConstraint, Connection, Engine
from sqlalchemy.orm import Session

from api.db import audit, migrate
from api.db.base import Base
from api.db.session import make_engine, make_session_factory
from api.domain.ids import new_id
from api.domain.names import Role
from tests import factories

ALEMBICS_OWN = "alembic_version"


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'empty.sqlite3'}"
    return str(request.getfixturevalue("new_postgres_url"))


@pytest.fixture
def either_engine(either_url: str) -> Iterator[Engine]:
    engine = make_engine(either_url)
    yield engine
    engine.dispose()


def drift(connection: Connection) -> list[Any]:
    context = MigrationContext.configure(connection, opts={"compare_type": True})
    return list(compare_metadata(context, Base.metadata))


def table_names(url: str) -> set[str]:
    engine = make_engine(url)
    try:
        return set(sa.inspect(engine).get_table_names())
    finally:
        engine.dispose()


def test_up_down_and_up_again_leaves_every_table_and_no_drift(empty_url: str) -> None:
    migrate.upgrade(empty_url)
    assert table_names(empty_url) == set(Base.metadata.tables) | {ALEMBICS_OWN}
    migrate.downgrade(empty_url, "base")
    assert migrate.current(empty_url) is None
    assert table_names(empty_url) == {ALEMBICS_OWN}
    migrate.upgrade(empty_url)
    engine = make_engine(empty_url)
    with engine.connect() as connection:
        assert drift(connection) == []
    engine.dispose()


def columns_of(url: str) -> dict[str, set[str]]:
    """Every table with the names of its columns."""
    engine = make_engine(url)
    try:
        inspector = sa.inspect(engine)
        return {
            table: {column["name"] for column in inspector.get_columns(table)}
            for table in inspector.get_table_names()
        }
    finally:
        engine.dispose()


def test_a_step_down_takes_away_the_last_step_only(empty_url: str) -> None:
    migrate.upgrade(empty_url)
    whole = columns_of(empty_url)
    migrate.downgrade(empty_url)
    before, revision = columns_of(empty_url), migrate.current(empty_url)
    assert revision is not None
    assert before != whole
    assert all(before[table] <= whole[table] for table in before)
    migrate.downgrade(empty_url, "base")
    migrate.upgrade(empty_url, revision)
    assert columns_of(empty_url) == before, "a step down is where the step up had begun"
    migrate.upgrade(empty_url)
    assert columns_of(empty_url) == whole


def test_the_comparison_does_see_a_missing_column(either_engine: Engine) -> None:
    with either_engine.begin() as connection:
        connection.exec_driver_sql("ALTER TABLE clubs DROP COLUMN retired_at")
    with either_engine.connect() as connection:
        found = drift(connection)
    assert [(change[0], change[3].name) for change in found] == [("add_column", "retired_at")]


def plain(condition: str) -> str:
    """A condition without what a database adds when it stores it: brackets, casts, spaces."""
    for noise in ("::text", "::double precision", "(", ")", " ", '"', "\n"):
        condition = condition.replace(noise, "")
    return condition.lower()


def test_sqlite_holds_exactly_the_checks_of_the_models(sqlite_url: str) -> None:
    # Alembic does not compare CHECK constraints at all.
    engine = make_engine(sqlite_url)
    inspector = sa.inspect(engine)
    for table in Base.metadata.tables.values():
        stored = {
            check["name"]: plain(check["sqltext"])
            for check in inspector.get_check_constraints(table.name)
        }
        declared = {
            str(check.name): plain(str(check.sqltext))
            for check in table.constraints
            if isinstance(check, CheckConstraint)
        }
        assert stored == declared, table.name
    engine.dispose()


def test_postgresql_holds_checks_of_the_same_names(new_postgres_url: str) -> None:
    # PostgreSQL rewrites conditions (IN becomes = ANY), so texts are compared with a database
    # made straight from the models instead.
    migrate.upgrade(new_postgres_url)
    engine = make_engine(new_postgres_url)
    with engine.begin() as connection:
        migrated = stored_checks(connection, "public")
        connection.exec_driver_sql("CREATE SCHEMA from_models")
        connection.exec_driver_sql("SET LOCAL search_path TO from_models")
        Base.metadata.create_all(connection)
        from_models = stored_checks(connection, "from_models")
    engine.dispose()
    assert migrated == from_models
    assert "ck_reviews_claim_has_lease" in migrated


def stored_checks(connection: Connection, schema: str) -> dict[str, str]:
    rows = connection.execute(
        sa.text(
            "SELECT conname, pg_get_constraintdef(pg_constraint.oid) FROM pg_constraint "
            "JOIN pg_namespace ON pg_namespace.oid = connamespace "
            "WHERE contype = 'c' AND nspname = :schema"
        ),
        {"schema": schema},
    )
    return {row[0]: row[1] for row in rows}


def stored_indexes(connection: Connection) -> dict[str, str]:
    """Name and condition of every partial index."""
    if connection.dialect.name == "sqlite":
        rows = connection.exec_driver_sql(
            "SELECT name, substr(sql, instr(sql, ' WHERE ') + 7) FROM sqlite_master "
            "WHERE type = 'index' AND sql LIKE '%% WHERE %%'"
        )
    else:
        rows = connection.exec_driver_sql(
            "SELECT relname, pg_get_expr(indpred, indrelid) FROM pg_index "
            "JOIN pg_class ON pg_class.oid = indexrelid WHERE indpred IS NOT NULL"
        )
    return {row[0]: row[1] for row in rows}


def test_the_partial_indexes_are_partial(either_engine: Engine) -> None:
    # Without its condition, uq_reviews_open would forbid a second answer for ever.
    with either_engine.connect() as connection:
        stored = stored_indexes(connection)
    declared = {
        index.name
        for table in Base.metadata.tables.values()
        for index in table.indexes
        if index.dialect_options["sqlite"]["where"] is not None
    }
    assert set(stored) == declared
    assert "accepted_at IS NULL" in stored["uq_invitations_open"]


@pytest.mark.parametrize(
    "statement", ["UPDATE audit_events SET act = 'nothing'", "DELETE FROM audit_events"]
)
def test_audit_events_are_append_only(either_engine: Engine, statement: str) -> None:
    factory = make_session_factory(either_engine)
    with factory.begin() as session:
        audit.record(session, "thing.done", "thing", new_id())
    with (
        pytest.raises(sa.exc.DBAPIError, match="append-only"),
        factory.begin() as session,
    ):
        session.execute(sa.text(statement))
    with factory() as session:
        assert session.scalar(sa.text("SELECT act FROM audit_events")) == "thing.done"


def test_postgresql_refuses_to_truncate_audit_events(new_postgres_url: str) -> None:
    migrate.upgrade(new_postgres_url)
    engine = make_engine(new_postgres_url)
    with pytest.raises(sa.exc.DBAPIError, match="append-only"), Session(engine) as session:
        session.execute(sa.text("TRUNCATE audit_events"))
    engine.dispose()


def test_a_migration_that_waits_for_a_lock_gives_up(new_postgres_url: str) -> None:
    # It must not queue behind a long read and make everybody else queue behind it.
    migrate.upgrade(new_postgres_url)
    before = migrate.current(new_postgres_url)
    engine = make_engine(new_postgres_url)
    with engine.connect() as reader:
        for table in Base.metadata.tables:
            reader.execute(sa.select(sa.func.count()).select_from(sa.table(table)))
        with pytest.raises(sa.exc.OperationalError, match="lock timeout"):
            migrate.downgrade(new_postgres_url)
    engine.dispose()
    assert before is not None
    assert migrate.current(new_postgres_url) == before


@pytest.mark.parametrize(
    "statement", ["UPDATE consent_texts SET body = 'other words'", "DELETE FROM consent_texts"]
)
def test_what_people_agreed_to_is_never_another_text(either_engine: Engine, statement: str) -> None:
    with pytest.raises(sa.exc.DBAPIError, match="never changed"), either_engine.begin() as changing:
        changing.exec_driver_sql(statement)
    with either_engine.connect() as connection:
        rows = connection.execute(sa.text("SELECT body, sha256 FROM consent_texts")).all()
    assert len(rows) == 2
    assert all(hashlib.sha256(row.body.encode()).hexdigest() == row.sha256 for row in rows)


def test_a_guardian_who_is_there_when_the_step_is_undone_keeps_a_closed_place(
    either_url: str,
) -> None:
    engine = make_engine(either_url)
    with make_session_factory(engine).begin() as session:
        factories.make_member(session, Role.GUARDIAN)
    engine.dispose()
    migrate.downgrade(either_url, "0008")
    engine = make_engine(either_url)
    with engine.connect() as connection:
        role, closed = connection.execute(
            sa.text("SELECT role, deactivated_at FROM memberships")
        ).one()
    with pytest.raises(sa.exc.IntegrityError), engine.begin() as changing:
        changing.execute(sa.text("UPDATE memberships SET role = 'guardian'"))
    engine.dispose()
    assert role == "student"
    assert closed is not None

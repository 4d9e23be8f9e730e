"""Engines and sessions. SQLite and PostgreSQL behave alike after this module."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.orm import Session, sessionmaker
from sqlalchemy.pool import ConnectionPoolEntry

from api.db.words import SQLITE_LOWER

_BUSY_TIMEOUT_MS = 15_000
# Whoever waits longer than this for a lock is better told to try again.
_POSTGRESQL_LIMITS = "-c lock_timeout=10s -c statement_timeout=60s -c timezone=UTC"


def make_engine(url: str) -> Engine:
    """Open a pool on ``url``. SQLite gets WAL, foreign keys, a busy timeout, BEGIN IMMEDIATE."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite":
        return create_engine(
            parsed,
            pool_pre_ping=True,
            hide_parameters=True,
            connect_args={"options": _POSTGRESQL_LIMITS},
        )
    if parsed.database and parsed.database != ":memory:":
        Path(parsed.database).parent.mkdir(parents=True, exist_ok=True)
    # Parameters hold names, addresses and digests of tokens: never in an error's text.
    engine = create_engine(parsed, hide_parameters=True)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_immediate)
    return engine


def _prepare_sqlite(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
    # The driver's own BEGIN comes too late and is deferred: two writers would then deadlock
    # into "database is locked" instead of waiting for each other.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    cursor.execute("PRAGMA synchronous=FULL")  # an acknowledged clip survives a power cut
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.execute("PRAGMA secure_delete=ON")  # who is erased is not left in the file's free pages
    cursor.execute(f"PRAGMA busy_timeout={_BUSY_TIMEOUT_MS}")
    cursor.close()
    connection.create_function(SQLITE_LOWER, 1, _lower, deterministic=True)


def _lower(text: str | None) -> str | None:
    return None if text is None else text.lower()


def _begin_immediate(connection: Connection) -> None:
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def make_session_factory(engine: Engine) -> sessionmaker[Session]:
    """Sessions whose objects stay readable after commit."""
    return sessionmaker(engine, expire_on_commit=False)


@contextmanager
def transaction(factory: sessionmaker[Session]) -> Iterator[Session]:
    """One unit of work: committed when the block ends well, rolled back otherwise."""
    with factory() as session, session.begin():
        yield session

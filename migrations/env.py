"""How Alembic reaches the database: one connection, one transaction, one migrator at a time."""

from alembic import context
from sqlalchemy import Connection, Engine, text

from api.db.base import Base
from api.db.models import Job
from api.db.session import make_engine

_LOCK_KEY = 7_261_947_001
"""Any number of our own: PostgreSQL's advisory lock that keeps two migrators apart."""

assert Job.metadata is Base.metadata  # noqa: S101 - importing the models registers every table


def _limit_waiting(connection: Connection) -> None:
    """On PostgreSQL: a migration that cannot get its locks soon gives up instead of blocking all.

    SQLite needs none of this: the transaction begins by taking the only write lock.
    """
    if connection.dialect.name != "postgresql":
        return
    connection.execute(text("SET LOCAL lock_timeout = '5s'"))
    connection.execute(text("SET LOCAL statement_timeout = '5min'"))
    connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK_KEY})


def run() -> None:
    """Run what was asked for inside one transaction, so that a failure leaves nothing behind."""
    engine = make_engine(context.config.get_main_option("sqlalchemy.url", ""))
    try:
        _migrate(engine)
    finally:
        engine.dispose()


def _migrate(engine: Engine) -> None:
    with engine.begin() as connection:
        _limit_waiting(connection)
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            compare_type=True,
            render_as_batch=connection.dialect.name == "sqlite",
            transactional_ddl=True,
        )
        context.run_migrations()


run()

"""Bring a database to a given shape. The steps live in ``migrations/versions``."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.migration import MigrationContext

from api.db.session import make_engine

_SCRIPTS = Path(__file__).resolve().parents[2] / "migrations"


def _config(url: str) -> Config:
    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS))
    config.set_main_option("path_separator", "os")
    # Percent signs are Alembic's interpolation; passwords in URLs may hold them.
    config.set_main_option("sqlalchemy.url", url.replace("%", "%%"))
    return config


def upgrade(url: str, revision: str = "head") -> None:
    """Run every step up to ``revision``, all in one transaction."""
    command.upgrade(_config(url), revision)


def downgrade(url: str, revision: str = "-1") -> None:
    """Undo steps down to ``revision``; ``-1`` is the last one, ``base`` is all."""
    command.downgrade(_config(url), revision)


def current(url: str) -> str | None:
    """The revision the database is at; None when it is empty."""
    engine = make_engine(url)
    try:
        with engine.connect() as connection:
            return MigrationContext.configure(connection).get_current_revision()
    finally:
        engine.dispose()

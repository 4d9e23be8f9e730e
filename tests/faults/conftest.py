"""Two places where workers really run: SQLite with polling, PostgreSQL with Celery on Redis."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from api.db import migrate
from api.db.session import make_engine, make_session_factory
from api.settings import Settings
from api.storage.factory import open_storage
from tests.faults.place import Place
from tests.worker.sending import Sender
from tests.worker.video.making import even_times, write_clip

SMALL = "tests.worker.measurers:small"


@pytest.fixture(scope="session")
def small_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_clip(tmp_path_factory.mktemp("clips") / "swing.mp4", even_times(20))


@pytest.fixture
def short_folder() -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="fl-faults-"))
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["polling", pytest.param("celery", marks=pytest.mark.services)])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def place(
    kind: str, request: pytest.FixtureRequest, short_folder: Path, small_clip: Path
) -> Iterator[Place]:
    """A migrated database, a store, and workers that are gone when the test ends."""
    if kind == "polling":
        database_url, broker_url = f"sqlite:///{short_folder / 'fairlead.sqlite3'}", ""
    else:
        database_url = str(request.getfixturevalue("new_postgres_url"))
        # A database number of this test's own would be kinder than flushing, but a test flushes.
        broker_url = str(request.getfixturevalue("redis_url"))
    migrate.upgrade(database_url)
    environment = {
        "FAIRLEAD_DATA_DIR": str(short_folder / "var"),
        "FAIRLEAD_DATABASE_URL": database_url,
        "FAIRLEAD_BROKER_URL": broker_url,
        "FAIRLEAD_JOB_LEASE": "PT1.5S",
        "FAIRLEAD_JOB_MAX_ATTEMPTS": "3",
        "FAIRLEAD_JOB_RETRY_AFTER": "PT0.1S",
        "FAIRLEAD_JOB_ANNOUNCE_AGAIN_AFTER": "PT0.5S",
        "FAIRLEAD_SWEEP_INTERVAL": "PT0.2S",
        "FAIRLEAD_POLL_INTERVAL": "PT0.05S",
        "FAIRLEAD_MEASURER": SMALL,
    }
    settings = Settings(
        data_dir=short_folder / "var", database_url=database_url, broker_url=broker_url
    )
    engine = make_engine(database_url)
    factory = make_session_factory(engine)
    sender = Sender(factory, open_storage(settings), small_clip)
    place = Place(kind, {**os.environ, **environment}, settings, factory, sender, short_folder)
    yield place
    place.stop()
    engine.dispose()

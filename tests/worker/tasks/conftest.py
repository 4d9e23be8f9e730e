"""A migrated SQLite database, a store, and a runner with the small measuring function."""

import threading
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlalchemy.orm import Session, sessionmaker

from api.db import migrate
from api.db.session import make_engine, make_session_factory
from api.domain.tasks import TaskName
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import open_storage
from tests.worker.sending import Sender
from tests.worker.video.making import even_times, write_clip
from worker.runner import Runner, Task
from worker.tasks.analyse_clip import AnalyseClip
from worker.tasks.send_mail import SendMail

SMALL = "tests.worker.measurers:small"


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    url = f"sqlite:///{tmp_path / 'fairlead.sqlite3'}"
    migrate.upgrade(url)
    return Settings(
        data_dir=tmp_path / "var",
        database_url=url,
        job_lease=timedelta(seconds=5),
        job_max_attempts=2,
        job_retry_after=timedelta(0),
    )


@pytest.fixture
def engine(settings: Settings) -> Iterator[Engine]:
    engine = make_engine(settings.effective_database_url)
    yield engine
    engine.dispose()


@pytest.fixture
def factory(engine: Engine) -> sessionmaker[Session]:
    return make_session_factory(engine)


@pytest.fixture
def storage(settings: Settings) -> Storage:
    return open_storage(settings)


@pytest.fixture
def runner(settings: Settings, factory: sessionmaker[Session], storage: Storage) -> Runner:
    tasks: dict[TaskName, Task] = {
        TaskName.ANALYSE_CLIP: AnalyseClip(settings, factory, storage, SMALL),
        TaskName.SEND_MAIL: SendMail(settings, factory),
    }
    return Runner(settings, factory, tasks, "here:1", threading.Event())


@pytest.fixture(scope="session")
def small_clip(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_clip(tmp_path_factory.mktemp("clips") / "swing.mp4", even_times(20))


@pytest.fixture
def sender(factory: sessionmaker[Session], storage: Storage, small_clip: Path) -> Sender:
    return Sender(factory, storage, small_clip)

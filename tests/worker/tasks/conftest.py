"""A migrated SQLite database, a store, and a runner with the small measuring function."""

import threading
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from sqlalchemy import Engine
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs, migrate
from api.db.models import Clip, Submission
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.tasks import TaskName
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import open_storage
from api.storage.keys import original_key
from tests import factories
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


class Sender:
    """Sends submissions as a student does, without the upload."""

    def __init__(self, factory: sessionmaker[Session], storage: Storage, clip: Path) -> None:
        self.factory, self.storage, self.clip = factory, storage, clip

    def send(self, *files: Path) -> tuple[UUID, list[UUID]]:
        """A submission with one clip a file (face-on, then down-the-line), each with its job."""
        views = ["face-on", "down-the-line"]
        with transaction(self.factory) as session:
            student = factories.make_member(session)
            now = datetime.now(UTC)
            submission = factories.make_submission(
                session,
                student,
                state="analysing",
                received_at=now,
                due_at=now + timedelta(hours=48),
            )
            clips = []
            for view, file in zip(views, files or [self.clip], strict=False):
                clip = factories.make_clip(session, submission, view=view)
                self.storage.put_file(original_key(clip.id), file)
                jobs.enqueue(session, TaskName.ANALYSE_CLIP, clip.id)
                clips.append(clip.id)
            return submission.id, clips

    def submission(self, submission_id: UUID) -> Submission:
        with transaction(self.factory) as session:
            return session.get_one(Submission, submission_id)

    def clip_row(self, clip_id: UUID) -> Clip:
        with transaction(self.factory) as session:
            return session.get_one(Clip, clip_id)


@pytest.fixture
def sender(factory: sessionmaker[Session], storage: Storage, small_clip: Path) -> Sender:
    return Sender(factory, storage, small_clip)

"""The broker only wakes: without it, flushed, or saying things twice, nothing is lost or doubled."""

import socket
import time
from collections.abc import Iterator
from uuid import UUID

import pytest
import redis
from sqlalchemy import Engine
from sqlalchemy.orm import Session, sessionmaker

from api.db.outbox import announce_commits, make_client, make_sender, queue_of
from api.db.session import make_engine, make_session_factory
from api.domain.tasks import TaskName
from tests.faults.place import Place, await_true, measured_once
from tests.services import free_port
from tests.worker.sending import Sender

pytestmark = pytest.mark.services

SEND_WITHIN_S = 1.5
CLIPS = queue_of(TaskName.ANALYSE_CLIP)


@pytest.fixture
def kind() -> str:
    return "celery"


@pytest.fixture
def silent_port() -> Iterator[int]:
    """A port that accepts connections and never answers."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


class Student:
    """Sends through the API's side: its commits announce through a broker of the test's choice."""

    def __init__(self, place: Place) -> None:
        self.place = place
        self.engines: list[Engine] = []

    def through(self, broker_url: str) -> Sender:
        engine = make_engine(self.place.settings.effective_database_url)
        self.engines.append(engine)
        factory: sessionmaker[Session] = make_session_factory(engine)
        announce_commits(factory, make_sender(broker_url))
        return Sender(factory, self.place.sender.storage, self.place.sender.clip)


@pytest.fixture
def student(place: Place) -> Iterator[Student]:
    student = Student(place)
    yield student
    for engine in student.engines:
        engine.dispose()


def send_timed(sender: Sender) -> tuple[UUID, float]:
    began = time.monotonic()
    _, (clip_id,) = sender.send()
    return clip_id, time.monotonic() - began


def test_a_wake_up_arrives_without_any_sweep(place: Place, student: Student) -> None:
    place.start_worker()
    clip_id, _ = send_timed(student.through(place.settings.broker_url))
    place.await_end(clip_id)
    assert place.tally(clip_id) == measured_once(attempts=1)


def test_a_broker_that_is_down_at_completion(place: Place, student: Student) -> None:
    sender = student.through(f"redis://127.0.0.1:{free_port()}/0")
    clip_id, took_s = send_timed(sender)
    assert took_s < SEND_WITHIN_S
    assert place.job_state(clip_id) == "queued"
    place.start_worker()
    place.start_sweeper()
    place.await_end(clip_id)
    assert place.tally(clip_id) == measured_once(attempts=1)


def test_a_broker_that_does_not_answer(place: Place, student: Student, silent_port: int) -> None:
    sender = student.through(f"redis://127.0.0.1:{silent_port}/0")
    clip_id, took_s = send_timed(sender)
    assert took_s < SEND_WITHIN_S
    assert place.job_state(clip_id) == "queued"
    _, again_s = send_timed(sender)
    assert again_s < 0.3  # it is left alone for a moment


def test_a_flushed_broker(place: Place, student: Student) -> None:
    clip_id, _ = send_timed(student.through(place.settings.broker_url))
    with redis.Redis.from_url(place.settings.broker_url) as client:
        assert client.llen(CLIPS) == 1
        client.flushall()
    place.start_worker()
    place.start_sweeper()
    place.await_end(clip_id)
    assert place.tally(clip_id) == measured_once(attempts=1)


def test_wake_ups_said_many_times(place: Place, student: Student) -> None:
    clip_id, _ = send_timed(student.through(place.settings.broker_url))
    client = make_client(place.settings.broker_url)
    for _ in range(10):
        client.send_task(TaskName.ANALYSE_CLIP.value, [str(clip_id)], queue=CLIPS)
    client.close()
    place.start_worker()
    place.start_worker()
    place.await_end(clip_id)
    with redis.Redis.from_url(place.settings.broker_url) as broker:
        await_true(lambda: broker.llen(CLIPS) == 0, place.logs)
    assert place.tally(clip_id) == measured_once(attempts=1)


def test_a_wake_up_for_something_unknown(place: Place, student: Student) -> None:
    client = make_client(place.settings.broker_url)
    unknown = "01890000-0000-7000-8000-000000000000"
    client.send_task(TaskName.ANALYSE_CLIP.value, [unknown], queue=CLIPS)
    client.close()
    worker = place.start_worker()
    clip_id, _ = send_timed(student.through(place.settings.broker_url))
    place.await_end(clip_id)
    assert worker.poll() is None

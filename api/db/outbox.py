"""Wake workers after a commit, by name, as well as can be. The job row is the truth.

A wake-up that is lost (broker down, process killed between commit and send) costs time, never a
job: the sweeper announces again, and polling workers need no wake-up at all.
"""

import time
from collections.abc import Callable
from uuid import UUID

import structlog
from celery import Celery
from kombu.exceptions import OperationalError
from sqlalchemy import event
from sqlalchemy.orm import Session, sessionmaker

from api.domain.tasks import TaskName

Send = Callable[[TaskName, UUID], None]
"""Wakes a worker for one job. Must not raise and must not block for much more than a second."""

_PENDING = "fairlead.wake_ups"
_SOCKET_TIMEOUT_S = 0.5
_PAUSE_AFTER_FAILURE_S = 5.0

_log = structlog.get_logger(__name__)


def announce(session: Session, name: TaskName, subject_id: UUID) -> None:
    """Have ``name`` about ``subject_id`` announced once the session's transaction has committed."""
    session.info.setdefault(_PENDING, {})[name, subject_id] = None  # a set that keeps order


def announce_commits(factory: sessionmaker[Session], send: Send) -> None:
    """Let every session of ``factory`` announce through ``send`` after its commits."""

    def after_commit(session: Session) -> None:
        # Also fires when a savepoint is released; the outer transaction can still fail.
        if session.in_nested_transaction():
            return
        for name, subject_id in session.info.pop(_PENDING, {}):
            send(name, subject_id)

    def after_rollback(session: Session) -> None:
        session.info.pop(_PENDING, None)

    event.listen(factory, "after_commit", after_commit)
    event.listen(factory, "after_rollback", after_rollback)


def queue_of(name: TaskName) -> str:
    """The broker's queue for one kind of job: a mail must not wait behind a day of clips.

    A worker listens to all of them unless it is told otherwise (``--queues``).
    """
    return f"fairlead.{name.value}"


def make_sender(broker_url: str) -> Send:
    """The way to wake workers for ``broker_url``; without a broker nobody needs waking."""
    return BrokerSender(broker_url) if broker_url else _nobody


def _nobody(_name: TaskName, _subject_id: UUID) -> None:
    """Polling workers look by themselves."""


class BrokerSender:
    """Sends wake-ups through Celery by task name.

    After a failure it keeps quiet for a moment, so that a dead broker costs one request a second
    and not every request.
    """

    def __init__(self, broker_url: str) -> None:
        self._celery = make_client(broker_url)
        self._quiet_until = 0.0

    def __call__(self, name: TaskName, subject_id: UUID) -> None:
        if time.monotonic() < self._quiet_until:
            return
        try:
            self._celery.send_task(name.value, [str(subject_id)], queue=queue_of(name))
        except (OperationalError, OSError) as error:
            self._quiet_until = time.monotonic() + _PAUSE_AFTER_FAILURE_S
            _log.warning("broker_unreachable", task=name.value, error=str(error))


def make_client(broker_url: str) -> Celery:
    """A Celery client that gives up quickly: no retries, half a second per socket step."""
    client = Celery("fairlead", broker=broker_url, set_as_current=False)
    client.conf.update(
        task_ignore_result=True,
        task_publish_retry=False,
        broker_connection_retry=False,
        broker_connection_timeout=_SOCKET_TIMEOUT_S,
        broker_transport_options={
            "max_retries": 0,
            "socket_timeout": _SOCKET_TIMEOUT_S,
            "socket_connect_timeout": _SOCKET_TIMEOUT_S,
        },
    )
    return client

"""Celery's worker: ``celery -A worker.celery_app worker --pool solo``.

The broker only wakes: a message names a job by its subject, and the same claim as in
``worker.poll`` decides who does it. Lost, doubled or late messages therefore do no harm.
One process does one job at a time (the heavy part runs in a child of its own); for more, start
more workers. The measuring child dies with the thread that started it, so no thread pool.
"""

import threading
from functools import cache
from typing import Any
from uuid import UUID

from celery import Celery
from celery.signals import setup_logging, worker_shutting_down
from kombu.entity import Queue

from api.db.outbox import queue_of
from api.domain.tasks import TaskName
from api.settings import Settings
from worker.runner import Runner
from worker.setting_up import log_as_json, set_up

VISIBILITY_TIMEOUT_S = 3600
"""Longer than any job may take: shorter, and Redis hands out a running job a second time."""

_stop = threading.Event()


def make_app(settings: Settings) -> Celery:
    """The Celery application with one task for each ``TaskName``."""
    celery = Celery("fairlead", broker=settings.broker_url or "memory://")
    celery.conf.update(
        task_queues=[Queue(queue_of(name)) for name in TaskName],  # type: ignore[no-untyped-call]  # Celery publishes no types
        task_create_missing_queues=False,
        task_default_queue=queue_of(TaskName.ANALYSE_CLIP),
        task_acks_late=True,
        task_reject_on_worker_lost=True,
        task_ignore_result=True,
        worker_prefetch_multiplier=1,
        worker_cancel_long_running_tasks_on_connection_loss=False,
        broker_connection_retry_on_startup=True,
        broker_connection_max_retries=None,
        broker_transport_options={"visibility_timeout": VISIBILITY_TIMEOUT_S},
    )
    for name in TaskName:
        celery.task(_waker(name), name=name.value, shared=False)
    return celery


def _waker(name: TaskName) -> Any:  # noqa: ANN401 - Celery takes any callable
    def wake(subject_id: str) -> None:
        _runner().run_subject(name, UUID(subject_id))

    wake.__name__ = name.value
    return wake


@cache
def _runner() -> Runner:
    """Made at the first job: importing this module must open nothing."""
    return set_up(Settings(), _stop).runner


@worker_shutting_down.connect  # type: ignore[untyped-decorator]  # Celery publishes no types
def _stop_working(**_: object) -> None:
    """SIGTERM: the job in hand goes back to the queue at once instead of being finished."""
    _stop.set()


@setup_logging.connect  # type: ignore[untyped-decorator]  # Celery publishes no types
def _log_as_we_do(**_: object) -> None:
    log_as_json()


app = make_app(Settings())

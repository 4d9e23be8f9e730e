"""What every worker program makes at its start."""

import logging
import os
import signal
import socket
import sys
import threading
from dataclasses import dataclass

import structlog
from sqlalchemy.orm import Session, sessionmaker

from api.db.outbox import announce_commits, make_sender
from api.db.session import make_engine, make_session_factory
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import open_storage
from worker.runner import Runner
from worker.tasks.registry import all_tasks


@dataclass(frozen=True, slots=True)
class Setup:
    """The parts a worker program is made of."""

    settings: Settings
    factory: sessionmaker[Session]
    storage: Storage
    runner: Runner


def set_up(settings: Settings, stop: threading.Event) -> Setup:
    """Open database, store and broker as the settings say."""
    factory = make_session_factory(make_engine(settings.effective_database_url))
    announce_commits(factory, make_sender(settings.broker_url))
    storage = open_storage(settings)
    tasks = all_tasks(settings, factory, storage)
    runner = Runner(settings, factory, tasks, worker_name(), stop)
    return Setup(settings, factory, storage, runner)


def worker_name() -> str:
    """Host and process: enough to find who holds a job."""
    return f"{socket.gethostname()}:{os.getpid()}"


def stop_on_signals(stop: threading.Event) -> None:
    """Let SIGTERM and Ctrl-C ask for the end instead of ending the process."""
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda _number, _frame: stop.set())


def log_as_json() -> None:
    """One JSON object a line on standard output; ids and kinds, never names or addresses."""
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        logger_factory=structlog.WriteLoggerFactory(file=sys.stdout),
    )

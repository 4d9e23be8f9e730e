"""Holding a job: the lease is renewed in the background, and the work hears when it must stop."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta

import structlog
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session, sessionmaker

from api.db import analyses, jobs
from api.db.session import transaction

_RENEWALS_PER_LEASE = 3
_PROGRESS_EVERY_S = 0.5

_log = structlog.get_logger(__name__)


class Stopping(Exception):
    """The worker was asked to end; the job goes back to the queue at once."""


class Holding:
    """What a task has in hand while it works on its job."""

    def __init__(
        self, claim: jobs.Claim, factory: sessionmaker[Session], stop: threading.Event
    ) -> None:
        self.claim = claim
        self._factory = factory
        self._stop = stop
        self._lost = threading.Event()
        self._progress_lock = threading.Lock()
        self._progress: tuple[str, float] | None = None

    def check(self) -> None:
        """Raise when the work must end: ``Stopping``, or ``LeaseLost`` to somebody else."""
        if self._lost.is_set():
            raise jobs.LeaseLost
        if self._stop.is_set():
            raise Stopping

    def show(self, stage: str, share: float) -> None:
        """Publish progress, soon: the background thread writes the latest, twice a second at most.

        Work never waits for the database, and a stage that says a lot costs nothing.
        """
        with self._progress_lock:
            self._progress = (stage, share)

    @contextmanager
    def renewed(self, lease: timedelta) -> Iterator[None]:
        """Renew the lease every third of it until the block ends."""
        ended = threading.Event()
        arguments = (ended, lease)
        thread = threading.Thread(target=self._keep, args=arguments, name="lease", daemon=True)
        thread.start()
        try:
            yield
        finally:
            ended.set()
            thread.join()

    def _keep(self, ended: threading.Event, lease: timedelta) -> None:
        every_s = lease.total_seconds() / _RENEWALS_PER_LEASE
        waited_s = 0.0
        step_s = min(_PROGRESS_EVERY_S, every_s)
        while not ended.wait(step_s):
            waited_s += step_s
            due = waited_s >= every_s
            try:
                self._write(lease if due else None)
            except SQLAlchemyError as error:
                # The database may be back in time. If not, the lease runs out and the fence holds.
                _log.warning("lease_not_renewed", job=str(self.claim.job_id), error=str(error))
                continue
            if due:
                waited_s = 0.0

    def _write(self, lease: timedelta | None) -> None:
        with self._progress_lock:
            progress, self._progress = self._progress, None
        if lease is None and progress is None:
            return
        with transaction(self._factory) as session:
            if lease is not None and not jobs.renew(session, self.claim, lease):
                self._lost.set()
                return
            if progress is not None:
                analyses.record_progress(session, self.claim, *progress)

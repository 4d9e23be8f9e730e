"""Claim a job, do it, and write its end: the same for polling workers and for Celery's.

The work itself runs outside any transaction and returns what is to be stored; storing and ending
the job are one transaction that only the holder of the job's fence can commit.
"""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol
from uuid import UUID

import structlog
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.session import transaction
from api.domain.errors import ClipRefused
from api.domain.states import JobState
from api.domain.tasks import TaskName
from api.settings import Settings
from worker.holding import Holding, Stopping

Store = Callable[[Session], None]
"""Writes the results of a piece of work. Flushes, never commits."""

_log = structlog.get_logger(__name__)


class Later(Exception):
    """It is not time yet: the job waits until ``until``, and what ``store`` writes says so. No attempt is spent."""

    def __init__(self, until: datetime, store: Store) -> None:
        super().__init__(f"not before {until.isoformat()}")
        self.until = until
        self.store = store


class Task(Protocol):
    """One kind of job. The subject is named by id; there may be nothing left to do."""

    def work(self, subject_id: UUID, holding: Holding) -> Store:
        """Do it, outside any transaction, as often as asked; return what to store.

        Raises ``ClipRefused`` when the subject is at fault, ``Later`` when it is not time; anything else is
        retried.
        """

    def refuse(self, session: Session, subject_id: UUID, refused: ClipRefused) -> None:
        """Store a refusal."""

    def give_up(self, session: Session, subject_id: UUID, error: str) -> None:
        """Store that the attempts are used up, where a person will see it."""


@dataclass(frozen=True, slots=True)
class Runner:
    """Everything needed to run jobs in one process. ``stop`` asks it to end."""

    settings: Settings
    factory: sessionmaker[Session]
    tasks: Mapping[TaskName, Task]
    worker: str
    stop: threading.Event

    def run_next(self) -> bool:
        """Run the job that has been due longest. ``False`` when nothing was due."""
        with transaction(self.factory) as session:
            claim = jobs.claim_next(
                session,
                self.worker,
                lease=self.settings.job_lease,
                max_attempts=self.settings.job_max_attempts,
            )
        return self._run(claim)

    def run_subject(self, name: TaskName, subject_id: UUID) -> bool:
        """Run the job a wake-up speaks of. ``False`` when it is done or somebody else's."""
        with transaction(self.factory) as session:
            claim = jobs.claim_subject(
                session,
                name,
                subject_id,
                self.worker,
                lease=self.settings.job_lease,
                max_attempts=self.settings.job_max_attempts,
            )
        return self._run(claim)

    def _run(self, claim: jobs.Claim | None) -> bool:
        if claim is None:
            return False
        log = _log.bind(task=claim.name.value, subject=str(claim.subject_id), fence=claim.fence)
        try:
            log.info("job_ended", state=self._carry_out(claim).value, attempts=claim.attempts)
        except jobs.LeaseLost:
            log.warning("lease_lost")
        except Later as later:
            self._postpone(claim, later)
            log.info("job_postponed", until=later.until.isoformat())
        except Stopping:
            self._release(claim)
            log.info("job_released")
        except Exception as error:
            log.exception("job_fault", attempts=claim.attempts)
            self._fail(claim, error)
        return True

    def _carry_out(self, claim: jobs.Claim) -> JobState:
        task = self.tasks[claim.name]
        holding = Holding(claim, self.factory, self.stop)
        # Renewing ends before storing begins: SQLite has one writer, and the row is locked anyway.
        try:
            with holding.renewed(self.settings.job_lease):
                store = task.work(claim.subject_id, holding)
        except ClipRefused as refused:
            state, reason = JobState.REFUSED, refused
            store = lambda session: task.refuse(session, claim.subject_id, reason)  # noqa: E731
        else:
            state = JobState.DONE
        with transaction(self.factory) as session:
            jobs.complete(session, claim, state)
            store(session)
        return state

    def _postpone(self, claim: jobs.Claim, later: Later) -> None:
        try:
            with transaction(self.factory) as session:
                jobs.postpone(session, claim, later.until)
                later.store(session)
        except jobs.LeaseLost:
            _log.warning("lease_lost", subject=str(claim.subject_id))

    def _release(self, claim: jobs.Claim) -> None:
        with transaction(self.factory) as session:
            jobs.release(session, claim)

    def _fail(self, claim: jobs.Claim, error: Exception) -> None:
        words = f"{type(error).__name__}: {error}"
        try:
            with transaction(self.factory) as session:
                state = jobs.fail(
                    session,
                    claim,
                    words,
                    max_attempts=self.settings.job_max_attempts,
                    retry_after=self.settings.job_retry_after,
                )
                if state is JobState.FAILED:
                    self.tasks[claim.name].give_up(session, claim.subject_id, words)
        except jobs.LeaseLost:
            _log.warning("lease_lost", subject=str(claim.subject_id))


def give_up_hopeless(
    settings: Settings, factory: sessionmaker[Session], tasks: Mapping[TaskName, Task]
) -> int:
    """Fail jobs whose workers went silent on every attempt they had. Returns how many."""
    error = "The worker went silent on every attempt."
    given_up = 0
    while True:
        with transaction(factory) as session:
            claim = jobs.claim_hopeless(session, max_attempts=settings.job_max_attempts)
            if claim is None:
                return given_up
            jobs.complete(session, claim, JobState.FAILED, error=error)
            tasks[claim.name].give_up(session, claim.subject_id, error)
        given_up += 1

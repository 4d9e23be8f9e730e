"""Background jobs: enqueue once, claim with a lease and a fence, finish only as the holder.

Every change of hands is one conditional UPDATE, so SQLite and PostgreSQL behave alike and no
worker waits for another. Times are the caller's clock; leases (a minute) dwarf clock skew.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import ColumnElement, Select, Update, and_, func, or_, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session
from sqlalchemy.sql.dml import ReturningUpdate

from api.db.base import utc_now
from api.db.models import Job
from api.db.outbox import announce
from api.domain.states import JobState
from api.domain.tasks import TaskName

_CLAIM_TRIES = 5
_KNOWN = tuple(name.value for name in TaskName)
"""A newer version may have queued a kind of job that this one cannot do; it is left alone."""
_QUICK = (TaskName.SEND_MAIL.value, TaskName.SEND_PUSH.value)
_BACK_OFF_FACTOR = 4
_ERROR_CHARS = 2000


class LeaseLost(Exception):
    """Another worker holds the job now, or it is finished. What this worker made must be dropped."""


@dataclass(frozen=True, slots=True)
class Claim:
    """The right to finish one job, valid while ``fence`` is the row's own and the lease holds."""

    job_id: UUID
    name: TaskName
    subject_id: UUID
    fence: int
    attempts: int


def enqueue(session: Session, name: TaskName, subject_id: UUID) -> Job:
    """Put a job into the outbox, once: the same name and subject give the same row again.

    Workers are woken after the surrounding transaction has committed.
    """
    job = find(session, name, subject_id)
    if job is not None:
        return job
    now = utc_now()
    job = Job(name=name.value, subject_id=subject_id, available_at=now, announced_at=now)
    try:
        with session.begin_nested():
            session.add(job)
    except IntegrityError:  # somebody else was first; theirs is as good
        return session.scalars(_by_subject(name, subject_id)).one()
    announce(session, name, subject_id)
    return job


def find(session: Session, name: TaskName, subject_id: UUID) -> Job | None:
    """The job of that name about that thing, if there is one."""
    return session.scalars(_by_subject(name, subject_id)).one_or_none()


def claim_next(
    session: Session,
    worker: str,
    *,
    lease: timedelta,
    max_attempts: int,
    now: datetime | None = None,
) -> Claim | None:
    """Claim the next due job; ``None`` when nothing is due.

    Mails and notices first, since somebody waits to get in and they take no time; then what is due longest.
    """
    now = now or utc_now()
    for _ in range(_CLAIM_TRIES):
        due = select(Job.id).where(_claimable(now, max_attempts))
        mails_first = Job.name.not_in(_QUICK).asc()
        ordered = due.order_by(mails_first, Job.available_at, Job.id)
        job_id = session.scalar(ordered.limit(1))
        if job_id is None:
            return None
        claimed = _claim(session, Job.id == job_id, worker, lease, max_attempts, now)
        if claimed is not None:
            return claimed
    return None  # others were faster every time; the next poll is near


def claim_subject(
    session: Session,
    name: TaskName,
    subject_id: UUID,
    worker: str,
    *,
    lease: timedelta,
    max_attempts: int,
    now: datetime | None = None,
) -> Claim | None:
    """Claim the job a wake-up speaks of; ``None`` when it is done, held or not yet due."""
    which = and_(Job.name == name.value, Job.subject_id == subject_id)
    return _claim(session, which, worker, lease, max_attempts, now or utc_now())


def renew(session: Session, claim: Claim, lease: timedelta, *, now: datetime | None = None) -> bool:
    """Prolong the lease. ``False``: it is lost, stop working."""
    ends = (now or utc_now()) + lease
    changed = update(Job).where(held_by(claim)).values(lease_ends_at=ends)
    return _changes_one(session, changed.returning(Job.id))


def complete(
    session: Session, claim: Claim, state: JobState = JobState.DONE, *, error: str | None = None
) -> None:
    """End the job as its holder; call first in the transaction that writes the results.

    Raises ``LeaseLost`` when the fence has moved on: nothing of this worker's may be kept. The
    row stays locked until the commit, so nobody can claim it in between.
    """
    changed = update(Job).where(held_by(claim))
    changed = changed.values(
        state=state.value, lease_ends_at=None, finished_at=utc_now(), last_error=error
    )
    if not _changes_one(session, changed.returning(Job.id)):
        raise LeaseLost


def fail(
    session: Session,
    claim: Claim,
    error: str,
    *,
    max_attempts: int,
    retry_after: timedelta,
    now: datetime | None = None,
) -> JobState:
    """Give the job back after a fault: queued with a growing delay, or failed for good.

    Delays are ``retry_after`` times 1, 4, 16, 64. Raises ``LeaseLost`` like ``complete``.
    """
    now = now or utc_now()
    for_good = claim.attempts >= max_attempts
    state = JobState.FAILED if for_good else JobState.QUEUED
    delay = retry_after * _BACK_OFF_FACTOR ** (claim.attempts - 1)
    changed = update(Job).where(held_by(claim))
    changed = changed.values(
        state=state.value,
        lease_ends_at=None,
        announced_at=None,
        available_at=now + delay,
        finished_at=now if for_good else None,
        last_error=error[:_ERROR_CHARS],
    )
    if not _changes_one(session, changed.returning(Job.id)):
        raise LeaseLost
    return state


def release(session: Session, claim: Claim) -> bool:
    """Give the job back untouched (the worker is shutting down); it does not count as an attempt."""
    now = utc_now()
    changed = update(Job).where(held_by(claim))
    changed = changed.values(
        state=JobState.QUEUED.value,
        lease_ends_at=None,
        attempts=Job.attempts - 1,
        available_at=now,
        announced_at=now,
    )
    released = _changes_one(session, changed.returning(Job.id))
    if released:
        announce(session, claim.name, claim.subject_id)
    return released


def postpone(session: Session, claim: Claim, until: datetime) -> None:
    """Give the job back until a moment: it was looked at and is not due yet, which is no attempt.

    Raises ``LeaseLost`` like ``complete``.
    """
    changed = update(Job).where(held_by(claim))
    changed = changed.values(
        state=JobState.QUEUED.value,
        lease_ends_at=None,
        attempts=Job.attempts - 1,
        available_at=until,
        announced_at=None,
    )
    if not _changes_one(session, changed.returning(Job.id)):
        raise LeaseLost


def subjects_not_due(name: TaskName, now: datetime) -> Select[UUID]:
    """Subjects of jobs that are queued for later than ``now``: no worker has one in hand."""
    return select(Job.subject_id).where(
        Job.name == name.value, Job.state == JobState.QUEUED.value, Job.available_at > now
    )


def bring_forward(session: Session, name: TaskName, subject_ids: Sequence[UUID]) -> None:
    """Make queued jobs due now, and wake workers for them after the commit."""
    if not subject_ids:
        return
    now = utc_now()
    changed = update(Job).where(
        Job.name == name.value,
        Job.subject_id.in_(subject_ids),
        Job.state == JobState.QUEUED.value,
    )
    changed = changed.values(available_at=now, announced_at=now)
    rows = session.scalars(
        changed.returning(Job.subject_id), execution_options={"synchronize_session": False}
    ).all()
    for subject_id in rows:
        announce(session, name, subject_id)


def requeue_expired(session: Session, *, max_attempts: int, now: datetime | None = None) -> int:
    """Queue jobs whose worker has gone silent and that have attempts left. Returns how many."""
    now = now or utc_now()
    expired = and_(_lease_ended(now), Job.attempts < max_attempts)
    changed = update(Job).where(expired)
    changed = changed.values(
        state=JobState.QUEUED.value, lease_ends_at=None, available_at=now, announced_at=None
    )
    return len(_changed_ids(session, changed.returning(Job.id)))


def claim_hopeless(
    session: Session, *, max_attempts: int, now: datetime | None = None
) -> Claim | None:
    """Take one job whose worker went silent on its last attempt, to fail it in sight of a person."""
    now = now or utc_now()
    used_up = and_(Job.attempts >= max_attempts, Job.name.in_(_KNOWN))
    hopeless = and_(_lease_ended(now), used_up)
    job_id = session.scalar(select(Job.id).where(hopeless).limit(1))
    changed = update(Job).where(Job.id == job_id, hopeless).values(fence=Job.fence + 1)
    return _claimed_by(session, changed)


def announce_overdue(
    session: Session, *, again_after: timedelta, now: datetime | None = None
) -> int:
    """Wake workers again for jobs that wait too long (a lost wake-up, a flushed broker)."""
    now = now or utc_now()
    unheard = or_(Job.announced_at.is_(None), Job.announced_at <= now - again_after)
    queued = and_(Job.state == JobState.QUEUED.value, Job.name.in_(_KNOWN))
    waiting = and_(queued, Job.available_at <= now, unheard)
    changed = update(Job).where(waiting).values(announced_at=now)
    rows = session.execute(
        changed.returning(Job.name, Job.subject_id),
        execution_options={"synchronize_session": False},
    ).all()
    for name, subject_id in rows:
        announce(session, TaskName(name), subject_id)
    return len(rows)


def count_by_state(session: Session) -> dict[JobState, int]:
    """How many jobs are in each state; states without jobs count 0."""
    rows = session.execute(select(Job.state, func.count()).group_by(Job.state)).all()
    counted = {JobState(state): number for state, number in rows}
    return {state: counted.get(state, 0) for state in JobState}


def held_by(claim: Claim) -> ColumnElement[bool]:
    """The condition that ``claim`` still holds its job."""
    return and_(
        Job.id == claim.job_id, Job.fence == claim.fence, Job.state == JobState.RUNNING.value
    )


def _claim(
    session: Session,
    which: ColumnElement[bool],
    worker: str,
    lease: timedelta,
    max_attempts: int,
    now: datetime,
) -> Claim | None:
    changed = update(Job).where(which, _claimable(now, max_attempts))
    changed = changed.values(
        state=JobState.RUNNING.value,
        fence=Job.fence + 1,
        attempts=Job.attempts + 1,
        lease_ends_at=now + lease,
        worker=worker,
    )
    return _claimed_by(session, changed)


def _claimed_by(session: Session, changed: Update) -> Claim | None:
    columns = (Job.id, Job.name, Job.subject_id, Job.fence, Job.attempts)
    row = session.execute(
        changed.returning(*columns), execution_options={"synchronize_session": False}
    ).one_or_none()
    if row is None:
        return None
    return Claim(row.id, TaskName(row.name), row.subject_id, row.fence, row.attempts)


def _claimable(now: datetime, max_attempts: int) -> ColumnElement[bool]:
    due = and_(Job.state == JobState.QUEUED.value, Job.available_at <= now)
    in_time = or_(due, _lease_ended(now))
    return and_(in_time, Job.attempts < max_attempts, Job.name.in_(_KNOWN))


def _lease_ended(now: datetime) -> ColumnElement[bool]:
    return and_(Job.state == JobState.RUNNING.value, Job.lease_ends_at < now)


def _by_subject(name: TaskName, subject_id: UUID) -> Select[Job]:
    return select(Job).where(Job.name == name.value, Job.subject_id == subject_id)


def _changes_one(session: Session, statement: ReturningUpdate[UUID]) -> bool:
    return len(_changed_ids(session, statement)) == 1


def _changed_ids(session: Session, statement: ReturningUpdate[UUID]) -> list[UUID]:
    # Rows already loaded in the session must not show the state from before the UPDATE.
    options = {"synchronize_session": "fetch"}
    return list(session.scalars(statement, execution_options=options))

"""Jobs: one row a subject, one holder at a time, results only from the holder."""

import threading
from collections.abc import Iterator
from datetime import timedelta
from uuid import UUID

import pytest
from sqlalchemy import Engine, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.base import utc_now
from api.db.jobs import Claim, LeaseLost
from api.db.models import Job
from api.db.outbox import announce, announce_commits
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.ids import new_id
from api.domain.states import JobState
from api.domain.tasks import TaskName

LEASE = timedelta(seconds=60)
NAME = TaskName.ANALYSE_CLIP


@pytest.fixture
def engine(either_url: str) -> Iterator[Engine]:
    engine = make_engine(either_url)
    yield engine
    engine.dispose()


@pytest.fixture
def factory(engine: Engine) -> sessionmaker[Session]:
    return make_session_factory(engine)


@pytest.fixture
def sent(factory: sessionmaker[Session]) -> list[tuple[TaskName, UUID]]:
    """What was announced, in order."""
    announced: list[tuple[TaskName, UUID]] = []
    announce_commits(factory, lambda name, subject: announced.append((name, subject)))
    return announced


def queue(factory: sessionmaker[Session], subject: UUID | None = None) -> UUID:
    subject = subject or new_id()
    with transaction(factory) as session:
        jobs.enqueue(session, NAME, subject)
    return subject


def claim(factory: sessionmaker[Session], subject: UUID, **values: object) -> Claim | None:
    given = {"lease": LEASE, "max_attempts": 5} | values
    with transaction(factory) as session:
        return jobs.claim_subject(session, NAME, subject, "worker", **given)  # type: ignore[arg-type]  # a test's shorthand


def claimed(factory: sessionmaker[Session], subject: UUID, **values: object) -> Claim:
    held = claim(factory, subject, **values)
    assert held is not None
    return held


def job_of(factory: sessionmaker[Session], subject: UUID) -> Job:
    with transaction(factory) as session:
        return session.scalars(select(Job).where(Job.subject_id == subject)).one()


class TestEnqueue:
    def test_the_same_request_twice_makes_one_job(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        queue(factory, subject)
        assert job_of(factory, subject).state == JobState.QUEUED

    def test_two_requests_at_once_make_one_job(self, factory: sessionmaker[Session]) -> None:
        subject, start = new_id(), threading.Barrier(4)

        def ask() -> None:
            start.wait()
            queue(factory, subject)

        threads = [threading.Thread(target=ask) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert job_of(factory, subject).attempts == 0

    def test_the_table_refuses_a_second_row_by_itself(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        with pytest.raises(IntegrityError), transaction(factory) as session:
            session.add(Job(name=NAME.value, subject_id=subject))


class TestAnnounce:
    def test_a_job_is_announced_after_its_commit(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        subject = new_id()
        with transaction(factory) as session:
            jobs.enqueue(session, NAME, subject)
            assert sent == []
        assert sent == [(NAME, subject)]

    def test_a_savepoint_announces_nothing(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        with factory() as session:
            with session.begin_nested():
                announce(session, NAME, new_id())
            assert sent == []
            session.rollback()
        assert sent == []

    def test_a_rollback_drops_what_was_to_be_said(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        with factory() as session:
            jobs.enqueue(session, NAME, new_id())
            session.rollback()
            kept = new_id()
            jobs.enqueue(session, NAME, kept)
            session.commit()
        assert sent == [(NAME, kept)]


class TestClaim:
    def test_a_job_has_one_holder(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        assert claimed(factory, subject).fence == 1
        assert claim(factory, subject) is None

    def test_of_many_workers_each_job_goes_to_one(self, factory: sessionmaker[Session]) -> None:
        subjects = {queue(factory) for _ in range(12)}
        taken: list[UUID] = []
        start = threading.Barrier(4)

        def work(number: int) -> None:
            start.wait()
            while True:
                with transaction(factory) as session:
                    held = jobs.claim_next(session, f"w{number}", lease=LEASE, max_attempts=5)
                if held is None:
                    return
                taken.append(held.subject_id)

        threads = [threading.Thread(target=work, args=(n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert sorted(taken) == sorted(subjects)

    def test_the_longest_waiting_goes_first(self, factory: sessionmaker[Session]) -> None:
        first, second = queue(factory), queue(factory)
        order = []
        for _ in range(2):
            with transaction(factory) as session:
                held = jobs.claim_next(session, "w", lease=LEASE, max_attempts=5)
            assert held is not None
            order.append(held.subject_id)
        assert order == [first, second]

    def test_a_mail_overtakes_clips(self, factory: sessionmaker[Session]) -> None:
        queue(factory)
        with transaction(factory) as session:
            jobs.enqueue(session, TaskName.SEND_MAIL, new_id())
            held = jobs.claim_next(session, "w", lease=LEASE, max_attempts=5)
        assert held is not None
        assert held.name is TaskName.SEND_MAIL

    def test_a_newer_versions_kind_of_job_is_left_to_it(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        with transaction(factory) as session:
            session.add(Job(name="draw_loop", subject_id=new_id()))
        later = utc_now() + timedelta(hours=1)
        with transaction(factory) as session:
            assert jobs.claim_next(session, "w", lease=LEASE, max_attempts=5) is None
            assert jobs.announce_overdue(session, again_after=LEASE, now=later) == 0
        assert sent == []

    def test_a_silent_worker_loses_its_job(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        zombie = claimed(factory, subject)
        later = utc_now() + LEASE + timedelta(seconds=1)
        heir = claimed(factory, subject, now=later)
        assert (heir.fence, heir.attempts) == (zombie.fence + 1, 2)

    def test_renewing_keeps_it(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        held = claimed(factory, subject)
        later = utc_now() + LEASE - timedelta(seconds=1)
        with transaction(factory) as session:
            assert jobs.renew(session, held, LEASE, now=later)
        assert claim(factory, subject, now=later + timedelta(seconds=2)) is None

    def test_used_up_attempts_are_not_claimed(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        claimed(factory, subject, max_attempts=1)
        later = utc_now() + timedelta(hours=1)
        assert claim(factory, subject, max_attempts=1, now=later) is None


class TestEnding:
    def test_the_holder_ends_the_job(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        held = claimed(factory, subject)
        with transaction(factory) as session:
            jobs.complete(session, held)
        job = job_of(factory, subject)
        assert (job.state, job.lease_ends_at) == (JobState.DONE, None)
        assert job.finished_at is not None

    def test_a_late_zombie_ends_nothing_and_keeps_nothing(
        self, factory: sessionmaker[Session]
    ) -> None:
        subject = queue(factory)
        zombie = claimed(factory, subject)
        heir = claimed(factory, subject, now=utc_now() + timedelta(hours=1))
        stray = new_id()

        def store_late() -> None:
            with transaction(factory) as session:
                session.add(Job(name=NAME.value, subject_id=stray))
                jobs.complete(session, zombie)

        with pytest.raises(LeaseLost):
            store_late()
        with transaction(factory) as session:
            assert jobs.find(session, NAME, stray) is None
            assert not jobs.renew(session, zombie, LEASE)
            jobs.complete(session, heir)
        with pytest.raises(LeaseLost), transaction(factory) as session:
            jobs.fail(session, zombie, "late", max_attempts=5, retry_after=LEASE)
        assert job_of(factory, subject).state == JobState.DONE

    @pytest.mark.parametrize(("attempt", "delay_s"), [(1, 5), (2, 20), (3, 80), (4, 320)])
    def test_a_fault_is_tried_again_later_and_later(
        self, factory: sessionmaker[Session], attempt: int, delay_s: int
    ) -> None:
        subject, now = queue(factory), utc_now()
        held = claimed(factory, subject)
        held = Claim(held.job_id, held.name, held.subject_id, held.fence, attempt)
        with transaction(factory) as session:
            again = timedelta(seconds=5)
            jobs.fail(session, held, "why", max_attempts=5, retry_after=again, now=now)
        job = job_of(factory, subject)
        assert (job.state, job.last_error) == (JobState.QUEUED, "why")
        assert job.available_at - now == timedelta(seconds=delay_s)
        assert claim(factory, subject, now=now + timedelta(seconds=delay_s - 1)) is None
        assert claim(factory, subject, now=now + timedelta(seconds=delay_s)) is not None

    def test_the_last_attempt_fails_for_good(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        held = claimed(factory, subject, max_attempts=1)
        with transaction(factory) as session:
            state = jobs.fail(session, held, "why", max_attempts=1, retry_after=LEASE)
        assert state is JobState.FAILED
        assert job_of(factory, subject).finished_at is not None

    def test_giving_back_is_no_attempt_and_wakes_others(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        subject = queue(factory)
        held = claimed(factory, subject)
        sent.clear()
        with transaction(factory) as session:
            assert jobs.release(session, held)
        assert sent == [(NAME, subject)]
        assert claimed(factory, subject).attempts == 1


class TestSweep:
    def test_expired_leases_are_queued_and_announced(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        subject = queue(factory)
        claimed(factory, subject)
        sent.clear()
        later = utc_now() + timedelta(hours=1)
        with transaction(factory) as session:
            assert jobs.requeue_expired(session, max_attempts=5, now=later) == 1
            assert jobs.requeue_expired(session, max_attempts=5, now=later) == 0
            assert jobs.announce_overdue(session, again_after=LEASE, now=later) == 1
        assert sent == [(NAME, subject)]

    def test_a_running_job_is_left_alone(self, factory: sessionmaker[Session]) -> None:
        subject = queue(factory)
        claimed(factory, subject)
        with transaction(factory) as session:
            assert jobs.requeue_expired(session, max_attempts=5) == 0
            assert jobs.claim_hopeless(session, max_attempts=1) is None
        assert job_of(factory, subject).state == JobState.RUNNING

    def test_a_fresh_job_is_not_announced_twice(
        self, factory: sessionmaker[Session], sent: list[tuple[TaskName, UUID]]
    ) -> None:
        queue(factory)
        with transaction(factory) as session:
            assert jobs.announce_overdue(session, again_after=timedelta(seconds=30)) == 0
        assert len(sent) == 1

    def test_a_job_without_attempts_left_is_taken_to_be_failed(
        self, factory: sessionmaker[Session]
    ) -> None:
        subject = queue(factory)
        zombie = claimed(factory, subject, max_attempts=1)
        later = utc_now() + timedelta(hours=1)
        with transaction(factory) as session:
            hopeless = jobs.claim_hopeless(session, max_attempts=1, now=later)
            assert hopeless is not None
            jobs.complete(session, hopeless, JobState.FAILED, error="silent")
        with pytest.raises(LeaseLost), transaction(factory) as session:
            jobs.complete(session, zombie)
        job = job_of(factory, subject)
        assert (job.state, job.last_error) == (JobState.FAILED, "silent")

    def test_counts_name_every_state(self, factory: sessionmaker[Session]) -> None:
        claimed(factory, queue(factory))
        queue(factory)
        with transaction(factory) as session:
            counted = jobs.count_by_state(session)
        assert counted == dict.fromkeys(JobState, 0) | {
            JobState.QUEUED: 1,
            JobState.RUNNING: 1,
        }

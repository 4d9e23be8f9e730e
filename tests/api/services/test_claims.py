"""Claims collide safely, on both databases: many at once, one winner."""

import threading
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import TypeVar
from uuid import UUID

import pytest
from sqlalchemy import select
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session, sessionmaker

from api.db import reviews as reviews_db
from api.db.models import Academy, Clip, Membership, Review, Submission
from api.db.session import make_engine, make_session_factory, transaction
from api.db.submissions import settle_submission
from api.domain.actors import Actor
from api.domain.errors import Conflict, FairleadError, Stale
from api.domain.names import Role
from api.services import reviews
from api.services.reviews import Desk, DraftParts
from api.services.submissions import withdraw_submission
from tests import factories

Result = TypeVar("Result")
THREADS = 8
LEASE = timedelta(minutes=30)


@pytest.fixture
def factory(either_url: str) -> Iterator[sessionmaker[Session]]:
    engine = make_engine(either_url)
    yield make_session_factory(engine)
    engine.dispose()


def all_at_once(work: Callable[[int], Result], threads: int = THREADS) -> list[Result]:
    """Run ``work(0..n-1)`` at the same moment; a failure in a thread fails the test."""
    gate = threading.Barrier(threads)
    results: dict[int, Result] = {}

    def run(number: int) -> None:
        gate.wait()
        results[number] = work(number)

    running = [threading.Thread(target=run, args=(number,)) for number in range(threads)]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join(timeout=120)
    assert len(results) == threads
    return [results[number] for number in range(threads)]


class Place:
    """An academy with coaches, and reviews that wait."""

    def __init__(self, factory: sessionmaker[Session]) -> None:
        self.factory = factory
        with transaction(factory) as session:
            self.academy: Academy = factories.make_academy(session)
            self.student: Membership = factories.make_member(session, academy=self.academy)
            self.coaches: list[Actor] = [
                factories.actor_of(factories.make_member(session, Role.COACH, academy=self.academy))
                for _ in range(THREADS)
            ]

    def wait(self, count: int = 1) -> list[UUID]:
        now = datetime.now(UTC)
        with transaction(self.factory) as session:
            made = []
            for number in range(count):
                submission = factories.make_submission(session, self.student, state="waiting")
                due_at = now + timedelta(hours=number)
                made.append(factories.make_review(session, submission, due_at=due_at).id)
            return made

    def desk(self, session: Session, number: int = 0) -> Desk:
        return Desk(session, self.coaches[number], datetime.now(UTC), LEASE)


@pytest.fixture
def place(factory: sessionmaker[Session]) -> Place:
    return Place(factory)


def test_eight_coaches_take_the_same_review_and_one_has_it(place: Place) -> None:
    (review_id,) = place.wait()

    def take(number: int) -> str:
        try:
            with transaction(place.factory) as session:
                reviews.claim(place.desk(session, number), review_id)
        except Conflict as refused:
            return refused.code
        return "taken"

    said = all_at_once(take)
    won = [word == "taken" for word in said]
    assert sorted(said) == ["already_claimed"] * (THREADS - 1) + ["taken"]
    with transaction(place.factory) as session:
        row = session.get_one(Review, review_id)
        assert row.claimed_by == place.coaches[won.index(True)].membership_id
        assert session.get_one(Submission, row.submission_id).state == "with_coach"


def test_eight_coaches_take_the_next_and_none_gets_anothers(place: Place) -> None:
    waiting = place.wait(5)

    def take(number: int) -> UUID | None:
        with transaction(place.factory) as session:
            desk = place.desk(session, number)
            return reviews_db.claim_next(session, desk.actor, now=desk.now, until=desk.until)

    taken = [one for one in all_at_once(take) if one is not None]
    assert sorted(taken) == sorted(waiting)


def test_one_at_a_time_gets_what_is_due_first(place: Place) -> None:
    waiting = place.wait(3)
    for number, review_id in enumerate(waiting):
        with transaction(place.factory) as session:
            assert reviews.claim_next(place.desk(session, number)).id == review_id


def test_eight_tabs_change_one_draft_and_one_change_is_kept(place: Place) -> None:
    (review_id,) = place.wait()
    with transaction(place.factory) as session:
        version = reviews.claim(place.desk(session), review_id).version

    def write(number: int) -> bool:
        try:
            with transaction(place.factory) as session:
                parts = DraftParts(text=f"Tab {number}")
                reviews.change_draft(place.desk(session), review_id, [version], parts)
        except Stale:
            return False
        return True

    won = all_at_once(write)
    assert sum(won) == 1
    with transaction(place.factory) as session:
        row = session.get_one(Review, review_id)
        assert (row.draft_text, row.version) == (f"Tab {won.index(True)}", version + 1)


def test_a_lapsed_claim_goes_to_one_of_many(place: Place) -> None:
    (review_id,) = place.wait()
    with transaction(place.factory) as session:
        reviews.claim(place.desk(session), review_id)
        session.get_one(Review, review_id).lease_ends_at = datetime.now(UTC) - LEASE

    def take(number: int) -> bool:
        if number == 0:
            return False  # the first coach is away
        with transaction(place.factory) as session:
            desk = place.desk(session, number)
            taken = reviews_db.claim(session, desk.actor, review_id, now=desk.now, until=desk.until)
            return taken == review_id

    assert sum(all_at_once(take)) == 1


def test_a_lapse_returns_it_to_the_queue_with_its_draft(place: Place) -> None:
    (review_id,) = place.wait()
    with transaction(place.factory) as session:
        reviews.claim(place.desk(session), review_id)
        reviews.change_draft(place.desk(session), review_id, None, DraftParts(text="Half"))
    later = datetime.now(UTC) + LEASE + timedelta(seconds=1)
    with transaction(place.factory) as session:
        assert reviews_db.lapse_leases(session, later) == 1
        assert reviews_db.lapse_leases(session, later) == 0
    with transaction(place.factory) as session:
        row = session.get_one(Review, review_id)
        assert (row.state, row.draft_text, row.submission.state) == ("waiting", "Half", "waiting")
    with transaction(place.factory) as session:
        parts = DraftParts(text="Half and half")
        review = reviews.change_draft(place.desk(session), review_id, None, parts)
        assert review.state == "claimed", "the same coach goes on without a word"


def test_withdrawing_against_claiming_ends_one_way_or_the_other(place: Place) -> None:
    student = factories.actor_of(place.student)
    for _ in range(5):
        (review_id,) = place.wait()
        with transaction(place.factory) as session:
            submission_id = session.get_one(Review, review_id).submission_id

        def act(
            number: int, review_id: UUID = review_id, submission_id: UUID = submission_id
        ) -> bool:
            try:
                with transaction(place.factory) as session:
                    if number == 0:
                        withdraw_submission(session, student, submission_id)
                    else:
                        reviews.claim(place.desk(session), review_id)
            except (FairleadError, OperationalError):
                return False  # a deadlock would end one of them; it must not end both
            return True

        won = all_at_once(act, threads=2)
        assert sum(won) == 1
        with transaction(place.factory) as session:
            row = session.get_one(Review, review_id)
            state = session.get_one(Submission, submission_id).state
            assert (row.state, state) == (
                ("closed", "withdrawn") if won[0] else ("claimed", "with_coach")
            )


def test_two_clips_finished_at_once_open_one_review(place: Place) -> None:
    now = datetime.now(UTC)
    for _ in range(5):
        with transaction(place.factory) as session:
            submission = factories.make_submission(
                session, place.student, state="analysing", received_at=now, due_at=now + LEASE
            )
            clips = [
                factories.make_clip(session, submission, view=view).id
                for view in ("face-on", "down-the-line")
            ]

        def finish(
            number: int, submission_id: UUID = submission.id, clips: list[UUID] = clips
        ) -> None:
            with transaction(place.factory) as session:
                clip = session.get_one(Clip, clips[number])
                clip.state = "measured"
                settle_submission(session, submission_id)

        all_at_once(finish, threads=2)
        with transaction(place.factory) as session:
            assert session.get_one(Submission, submission.id).state == "waiting"
            found = select(Review.id).where(Review.submission_id == submission.id)
            assert len(session.scalars(found).all()) == 1


@pytest.mark.parametrize(
    ("clips", "upload", "state"),
    [
        (["refused"], None, "unreadable"),
        (["refused", "refused"], None, "unreadable"),
        (["measured"], None, "waiting"),
        (["measured", "refused"], None, "waiting"),
        (["failed"], None, "waiting"),
        (["measured", "received"], None, "analysing"),
        (["measured"], "receiving", "analysing"),
        (["measured"], "expired", "waiting"),
        (["measured"], "cancelled", "waiting"),
        ([], None, "analysing"),
    ],
)
def test_where_a_submission_goes_when_its_clips_are_done(
    place: Place, clips: list[str], upload: str | None, state: str
) -> None:
    now = datetime.now(UTC)
    with transaction(place.factory) as session:
        row = factories.make_submission(
            session, place.student, state="analysing", received_at=now, due_at=now + LEASE
        )
        for view, clip_state in zip(("face-on", "down-the-line"), clips, strict=False):
            factories.make_clip(session, row, view=view, state=clip_state)
        if upload is not None:
            factories.make_upload(session, row, view="down-the-line", state=upload)
        assert settle_submission(session, row.id) == state
        assert settle_submission(session, row.id) == state, "again is harmless"

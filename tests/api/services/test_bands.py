"""Targets of a student's own on both databases: what holds, what moves with them, many at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db.bands import bands_in_force
from api.db.models import Membership, Review, StudentBands, Submission
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.actors import Actor
from api.domain.checkpoint_ids import CheckpointId
from api.domain.errors import Invalid, NotFound
from api.domain.names import Role
from api.services.bands import NewBands, list_bands, remove_bands, set_bands
from tests import factories
from tests.api.race import at_once

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
COACHES = 6


@dataclass
class School:
    """An academy with coaches and a student who has sent a clip with an iron and one with a wood."""

    factory: sessionmaker[Session]

    def __post_init__(self) -> None:
        with transaction(self.factory) as session:
            academy = factories.make_academy(session)
            self.student: Membership = factories.make_member(session, academy=academy)
            self.coaches: list[Actor] = [
                factories.actor_of(factories.make_member(session, Role.COACH, academy=academy))
                for _ in range(COACHES)
            ]
            self.iron = factories.make_submission(session, self.student, club_name="7 iron")
            self.wood = factories.make_submission(session, self.student, club_name="3 wood")
            for submission in (self.iron, self.wood):
                factories.make_review(session, submission)

    def set(
        self, session: Session, *, good_low: float = 85.0, club: str | None = None, coach: int = 0
    ) -> StudentBands:
        new = NewBands(ANGLE, club, (78.0, good_low, 95.0, 105.0), "")
        return set_bands(session, self.coaches[coach], self.student.id, new, datetime.now(UTC))

    def in_force(self, session: Session, submission: Submission) -> float | None:
        held = bands_in_force(session, submission)
        return held[ANGLE.value].good_low if held else None

    def versions(self, session: Session) -> list[int]:
        ids = [self.iron.id, self.wood.id]
        found = {
            row.submission_id: row.version
            for row in session.scalars(
                select(Review)
                .where(Review.submission_id.in_(ids))
                .execution_options(populate_existing=True)
            )
        }
        return [found[submission_id] for submission_id in ids]


@pytest.fixture
def school(either_url: str) -> Iterator[School]:
    engine = make_engine(either_url)
    yield School(make_session_factory(engine))
    engine.dispose()


def test_the_clubs_own_holds_before_that_for_every_club(school: School) -> None:
    with transaction(school.factory) as session:
        school.set(session, good_low=82.0)
        school.set(session, good_low=88.0, club="7 iron")
        assert school.in_force(session, school.iron) == 88.0
        assert school.in_force(session, school.wood) == 82.0


def test_taking_the_clubs_own_away_leaves_that_for_every_club(school: School) -> None:
    with transaction(school.factory) as session:
        school.set(session, good_low=82.0)
        row = school.set(session, good_low=88.0, club="7 iron")
        coach = school.coaches[0]
        remove_bands(session, coach, school.student.id, row.id, datetime.now(UTC))
        assert school.in_force(session, school.iron) == 82.0
        with pytest.raises(NotFound):
            remove_bands(session, coach, school.student.id, row.id, datetime.now(UTC))


def test_open_reviews_of_that_club_count_it_as_a_change(school: School) -> None:
    with transaction(school.factory) as session:
        school.set(session, club="7 iron")
        assert school.versions(session) == [2, 1]
        row = school.set(session)
        assert school.versions(session) == [3, 2]
        remove_bands(session, school.coaches[0], school.student.id, row.id, datetime.now(UTC))
        assert school.versions(session) == [4, 3]


def test_a_club_nothing_was_sent_of_is_refused_with_those_there_are(school: School) -> None:
    with transaction(school.factory) as session:
        with pytest.raises(Invalid, match="So far: 3 wood, 7 iron") as refused:
            school.set(session, club="7 irom")
        assert refused.value.code == "unknown_club"
        assert list_bands(session, school.coaches[0], school.student.id) == []


def test_of_many_coaches_at_once_one_target_holds_and_nobody_fails(school: School) -> None:
    def by(coach: int) -> Callable[[Session], float]:
        return lambda session: school.set(session, good_low=80.0 + coach, coach=coach).good_low

    results = at_once(school.factory, *(by(coach) for coach in range(COACHES)))
    assert results == [80.0 + coach for coach in range(COACHES)]
    with school.factory() as session:
        rows = session.scalars(select(StudentBands)).all()
        assert len(rows) == COACHES
        (held,) = [row for row in rows if row.retired_at is None]
        assert held.good_low == max(rows, key=lambda row: row.created_at).good_low
        assert school.versions(session) == [1 + COACHES, 1 + COACHES]

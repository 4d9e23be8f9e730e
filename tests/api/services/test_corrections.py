"""What one academy's sent corrections teach, and what that does to its next clips, on both databases."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.analyses import store_measured
from api.db.models import Academy, Answer, Reading, Review, Submission
from api.db.session import make_engine, make_session_factory
from api.domain.actors import Actor
from api.domain.checkpoint_ids import CheckpointId
from api.domain.corrections import FEWEST, Correction, Learnt, RateClass, adjusted, learn
from api.domain.measurement import Reading as DomainReading
from api.domain.names import Band, KeyframeId, PointName, Role, View
from api.services import answers, overlays, reviews
from api.services.corrections import Lesson, list_lessons
from api.services.readings import Told, findings_told, told_to_people
from api.services.reviews import Desk, DraftParts
from api.storage.base import Storage
from api.storage.local import LocalStorage
from tests import factories, measured

LEASE, WINDOW = timedelta(minutes=30), timedelta(minutes=10)
ANGLE, ELBOW = measured.ANGLE, CheckpointId.LEAD_ELBOW_BEND
WIDER_BY = 3
"""Frames by which the coaches of these tests move lead arm parallel: each widens the angle by two degrees."""
TOO_LOW = -WIDER_BY * measured.DEG_PER_FRAME
"""Machine less coach, degrees: as they see it the machine read too low."""


@dataclass
class School:
    """An academy with one student and one coach, and a shelf for its clips."""

    session: Session
    storage: Storage
    academy: Academy

    def __post_init__(self) -> None:
        self.student = factories.make_member(self.session, academy=self.academy)
        self.coach = factories.make_member(self.session, Role.COACH, academy=self.academy)
        self.session.commit()

    @property
    def actor(self) -> Actor:
        return factories.actor_of(self.coach)

    @property
    def desk(self) -> Desk:
        return Desk(self.session, self.actor, datetime.now(UTC), LEASE)

    def film(self, *, more: measured.Readings = measured.NO_MORE) -> Submission:
        return measured.make_measured(self.session, self.storage, self.student, more=more)

    def film_otherwise(
        self, *, pipeline: str = measured.PIPELINE, rate: float = 60.0
    ) -> Submission:
        """A clip of another rate, or measured by another version of the pipeline."""
        now = datetime.now(UTC)
        submission = factories.make_submission(
            self.session, self.student, state="analysing", received_at=now, due_at=now
        )
        clip = factories.make_clip(self.session, submission)
        usual = measured.measurement()
        facts = replace(usual.clip, frame_rate=rate)
        store_measured(self.session, clip.id, replace(usual, clip=facts, pipeline=pipeline))
        self.session.flush()
        self.session.refresh(submission)
        self.session.commit()
        return submission

    def review_of(self, submission: Submission) -> UUID:
        review_id = self.session.scalars(
            select(Review.id).where(Review.submission_id == submission.id)
        ).one()
        reviews.claim(self.desk, review_id)
        return review_id

    def correct(self, submission: Submission, frames: int = WIDER_BY) -> UUID:
        """Move lead arm parallel in a draft, and go no further."""
        review_id = self.review_of(submission)
        place = overlays.Place(submission.clips[0].id, 0, KeyframeId.LEAD_ARM_PARALLEL)
        correcting = overlays.Correcting(self.desk, self.storage, review_id, None, place)
        overlays.move_keyframe(correcting, measured.LEVEL + frames)
        self.session.commit()
        return review_id

    def send(self, review_id: UUID) -> Answer:
        reviews.change_draft(self.desk, review_id, None, DraftParts(text="Stop and look."))
        sending = answers.Sending(self.storage, "http://fairlead.test", b"secret of the tests")
        answers.send_answer(self.desk, review_id, None, sending)
        self.session.commit()
        standing = select(Answer).where(Answer.review_id == review_id, Answer.recalled_at.is_(None))
        return self.session.scalars(standing).one()

    def answer_corrected(self, times: int = FEWEST) -> None:
        for _ in range(times):
            self.send(self.correct(self.film()))

    def recall(self, review_id: UUID) -> None:
        answers.recall_answer(self.desk, review_id, WINDOW)
        self.session.commit()

    def lessons(self) -> list[Lesson]:
        return list_lessons(self.session, self.actor, datetime.now(UTC))

    def told(
        self,
        submission: Submission,
        checkpoint: CheckpointId = ANGLE,
        review_id: UUID | None = None,
    ) -> Told:
        self.session.info.clear()  # as the next request would ask, not from what this one keeps
        found = [
            one
            for one in told_to_people(self.session, submission, review_id)
            if one.checkpoint is checkpoint
        ]
        (only,) = found
        return only


@pytest.fixture
def session(either_url: str) -> Iterator[Session]:
    engine = make_engine(either_url)
    with make_session_factory(engine)() as session:
        yield session
    engine.dispose()


@pytest.fixture
def found(session: Session, tmp_path: Path) -> Callable[[], School]:
    storage = LocalStorage(tmp_path / "clips")
    return lambda: School(session, storage, factories.make_academy(session))


@pytest.fixture
def school(found: Callable[[], School]) -> School:
    return found()


def expected(school: School, times: int, left_alone: int = 0) -> Learnt:
    """What the domain makes of the stored pairs themselves, machine less coach."""
    machine = measured.machine_reading()
    coach = school.session.scalars(
        select(Reading).where(Reading.source == "coach", Reading.retired_at.is_(None))
    ).first()
    assert coach is not None
    assert coach.value is not None
    assert coach.sigma is not None
    difference = machine.value - coach.value
    assert difference == pytest.approx(TOO_LOW)
    return learn(
        [Correction(difference, machine.sigma, coach.sigma)] * times, left_alone=left_alone
    )


class TestWhatCounts:
    def test_nothing_corrected_teaches_nothing(self, school: School) -> None:
        school.send(school.review_of(school.film()))
        assert school.lessons() == []

    def test_corrections_that_were_sent_are_learnt_from(self, school: School) -> None:
        school.answer_corrected(FEWEST)
        (lesson,) = school.lessons()
        group = lesson.group
        assert (group.checkpoint, group.view) == (ANGLE, View.FACE_ON)
        assert (group.rate, group.pipeline) == (RateClass.FROM_45, measured.PIPELINE)
        wanted = expected(school, FEWEST)
        assert lesson.learnt.bias == pytest.approx(wanted.bias)
        assert lesson.learnt.bias_sigma == pytest.approx(wanted.bias_sigma)
        assert lesson.learnt.cases == FEWEST
        assert lesson.learnt.bias < -1.0

    def test_fewer_than_the_fewest_are_counted_and_teach_nothing(self, school: School) -> None:
        school.answer_corrected(FEWEST - 1)
        (lesson,) = school.lessons()
        assert (lesson.learnt.cases, lesson.learnt.teaches) == (FEWEST - 1, False)

    def test_drafts_do_not_count(self, school: School) -> None:
        for _ in range(FEWEST):
            school.correct(school.film())
        assert school.lessons() == []

    def test_a_correction_taken_back_before_sending_does_not_count(self, school: School) -> None:
        submission = school.film()
        review_id = school.correct(submission)
        place = overlays.Place(submission.clips[0].id, 0, KeyframeId.LEAD_ARM_PARALLEL)
        overlays.keyframe_back(
            overlays.Correcting(school.desk, school.storage, review_id, None, place)
        )
        school.send(review_id)
        assert school.lessons() == []

    def test_an_answer_called_back_counts_no_more_and_again_once_it_is_sent(
        self, school: School
    ) -> None:
        review_id = school.correct(school.film())
        school.send(review_id)
        assert [lesson.learnt.cases for lesson in school.lessons()] == [1]
        school.recall(review_id)
        assert school.lessons() == []
        school.send(review_id)
        assert [lesson.learnt.cases for lesson in school.lessons()] == [1]

    def test_of_a_correction_corrected_after_a_recall_the_last_one_counts(
        self, school: School
    ) -> None:
        submission = school.film()
        review_id = school.correct(submission, 5)
        school.send(review_id)
        school.recall(review_id)
        school.correct(submission, WIDER_BY)
        school.send(review_id)
        school.answer_corrected(FEWEST - 1)
        (lesson,) = school.lessons()
        assert lesson.learnt.cases == FEWEST
        assert lesson.learnt.bias == pytest.approx(expected(school, FEWEST).bias)

    def test_readings_left_alone_are_counted_beside_those_corrected(self, school: School) -> None:
        school.answer_corrected(FEWEST)
        for _ in range(4):
            school.send(school.review_of(school.film()))
        (lesson,) = school.lessons()
        assert (lesson.learnt.cases, lesson.learnt.left_alone) == (FEWEST, 4)
        alone = expected(school, FEWEST)
        assert abs(lesson.learnt.bias) < abs(alone.bias)
        assert lesson.learnt.bias == pytest.approx(expected(school, FEWEST, 4).bias)

    def test_a_point_moved_corrects_the_numbers_read_from_it_and_leaves_the_others_alone(
        self, school: School
    ) -> None:
        more: measured.Readings = {ELBOW: measured.elbow_reading()}
        for _ in range(FEWEST):
            submission = school.film(more=more)
            review_id = school.review_of(submission)
            place = overlays.Place(submission.clips[0].id, 0, KeyframeId.LEAD_ARM_PARALLEL)
            overlays.move_point(
                overlays.Correcting(school.desk, school.storage, review_id, None, place),
                PointName.LEAD_ELBOW,
                400.0,
                330.0,
            )
            school.send(review_id)
        (lesson,) = school.lessons()
        assert (lesson.group.checkpoint, lesson.learnt.cases) == (ELBOW, FEWEST)
        assert lesson.learnt.left_alone == 0


class TestWhoseAndWhich:
    def test_another_academys_corrections_are_theirs(self, found: Callable[[], School]) -> None:
        here, there = found(), found()
        there.answer_corrected(FEWEST)
        assert here.lessons() == []
        assert len(there.lessons()) == 1
        assert here.told(here.film()).learnt is None
        assert there.told(there.film()).learnt is not None

    def test_rates_and_pipelines_are_learnt_apart(self, school: School) -> None:
        school.answer_corrected(FEWEST)
        assert school.told(school.film_otherwise()).learnt is not None
        assert school.told(school.film_otherwise(rate=240.0)).learnt is not None
        assert school.told(school.film_otherwise(rate=30.0)).learnt is None
        assert school.told(school.film_otherwise(pipeline="test-2")).learnt is None


class TestUse:
    def test_without_corrections_the_reading_is_told_as_it_was_read(self, school: School) -> None:
        told = school.told(school.film())
        assert (told.learnt, told.own) == (None, None)
        assert told.reading == measured.machine_reading()

    def test_what_was_learnt_comes_off_and_the_stored_reading_stays(self, school: School) -> None:
        school.answer_corrected(6)
        told = school.told(school.film())
        learnt = expected(school, 6)
        assert told.learnt is not None
        assert told.learnt.cases == 6
        assert isinstance(told.reading, DomainReading)
        raw = measured.machine_reading()
        wanted = adjusted(ANGLE, raw, learnt)
        assert isinstance(wanted, DomainReading)
        assert told.reading.value == pytest.approx(wanted.value)
        assert told.reading.value > raw.value + 3.0
        assert told.reading.sigma == pytest.approx(wanted.sigma)
        assert told.reading.sigma >= raw.sigma
        assert (told.row.value, told.row.sigma) == pytest.approx((raw.value, raw.sigma))

    def test_a_clip_measured_before_keeps_its_number(self, school: School) -> None:
        early = school.film()
        school.answer_corrected(6)
        assert school.told(early).learnt is None
        assert school.told(school.film()).learnt is not None

    def test_what_a_clip_was_told_does_not_move_when_more_is_learnt(self, school: School) -> None:
        school.answer_corrected(FEWEST)
        submission = school.film()
        before = school.told(submission)
        school.answer_corrected(5)
        after = school.told(submission)
        assert (after.learnt, after.reading) == (before.learnt, before.reading)

    def test_nor_when_an_answer_that_taught_it_is_called_back(self, school: School) -> None:
        school.answer_corrected(FEWEST - 1)
        last = school.correct(school.film())
        school.send(last)
        submission = school.film()
        before = school.told(submission)
        assert before.learnt is not None
        school.recall(last)
        assert school.told(submission).reading == before.reading
        assert school.told(school.film()).learnt is None

    def test_the_coachs_own_reading_is_not_adjusted(self, school: School) -> None:
        school.answer_corrected(6)
        submission = school.film()
        review_id = school.correct(submission, 1)
        told = school.told(submission, review_id=review_id)
        assert (told.row.source, told.learnt) == ("coach", None)
        assert isinstance(told.reading, DomainReading)
        assert told.reading.value == pytest.approx(92.0)

    def test_a_correction_is_against_the_machines_own_number(self, school: School) -> None:
        """Coaches who always move the same way teach the same bias, however long it has been in use."""
        school.answer_corrected(12)
        (lesson,) = school.lessons()
        assert lesson.learnt.bias == pytest.approx(expected(school, 12).bias)
        assert abs(lesson.learnt.bias) < abs(TOO_LOW)

    def test_an_answer_keeps_what_it_told(self, school: School) -> None:
        school.answer_corrected(FEWEST)
        answer = school.send(school.review_of(school.film()))
        (kept,) = answer.content["readings"]
        assert kept["source"] == "machine"
        assert kept["value"] > 91.0
        assert kept["adjusted"]["machine_value"] == pytest.approx(90.0)
        assert kept["adjusted"]["corrections"] == FEWEST
        was = dict(kept)
        school.answer_corrected(4)
        school.session.info.clear()
        school.session.refresh(answer)
        assert answer.content["readings"] == [was]

    def test_findings_look_at_the_number_that_is_told(self, school: School) -> None:
        """The machine read 102 where coaches, time after time, saw some 24 degrees more."""
        for _ in range(8):
            school.send(school.correct(school.film(), 12))
        submission = self.wide(school, 6)
        told = school.told(submission)
        assert isinstance(told.reading, DomainReading)
        assert told.row.band == Band.TOO_CLOSE
        assert told.reading.band is Band.OUTSIDE
        (analysis,) = submission.clips[0].analyses
        school.session.info.clear()
        assert analysis.measurement["swings"][0]["findings"] == []
        found = findings_told(school.session, submission)[str(analysis.id)]
        assert found == [[{"code": "under_set", "sure": True, "because": [ANGLE.value]}]]

    def wide(self, school: School, frames: int) -> Submission:
        """A clip on which the machine itself reads a wider angle."""
        points = measured.points_at(measured.LEVEL + frames)
        reading = measured.reading_of(ANGLE, measured.LEVEL, points, measured.INPUTS)
        return measured.make_seen(
            school.session, school.storage, school.student, {View.FACE_ON: [{ANGLE: reading}]}
        )

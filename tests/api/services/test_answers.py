"""Correcting an answer that was read, on both databases: what stands, what may happen at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session, sessionmaker

from api.db import reviews as reviews_db
from api.db.answers import drills_of, earlier_answers, standing_answer
from api.db.models import Answer, AuditEvent, DrillAssignment, Mail, Membership, Review, Submission
from api.db.queues import queue_counts
from api.db.reviews import marks_when
from api.db.session import make_engine, make_session_factory, transaction
from api.domain.errors import Conflict, FairleadError, Stale
from api.domain.names import KeyframeId, Role
from api.domain.refilm import RefilmReason
from api.services import answers, overlays, refilm, reviews
from api.services.corrections import list_lessons
from api.services.proof import prove_last_drills
from api.services.reviews import ChosenDrill, Desk, DraftParts
from api.storage.local import LocalStorage
from tests import factories, measured
from tests.api.race import at_once

LEASE, WINDOW = timedelta(minutes=30), timedelta(minutes=10)
FEET = ChosenDrill("feet-together", 3, 6, None, 4, None, "")
LEVEL = ChosenDrill("stop-and-look", 3, 5, 1.0, 4, None, "")
FIRST, SECOND = "Let it set a little more.", "Let it set a little less."
CHANGED = "I had looked at the wrong moment."


@pytest.fixture
def factory(either_url: str) -> Iterator[sessionmaker[Session]]:
    engine = make_engine(either_url)
    yield make_session_factory(engine)
    engine.dispose()


@dataclass
class Lesson:
    """An answered review, sent ``ago``, and the people round it."""

    factory: sessionmaker[Session]
    storage: LocalStorage
    student: Membership
    coaches: list[Membership]
    review_id: UUID
    submission_id: UUID

    def desk(self, session: Session, coach: int = 0, now: datetime | None = None) -> Desk:
        actor = factories.actor_of(self.coaches[coach])
        return Desk(session, actor, now or datetime.now(UTC), LEASE)

    @property
    def sending(self) -> answers.Sending:
        return answers.Sending(self.storage, "http://fairlead.test", b"secret of the tests")

    def write(self, text: str, *drills: ChosenDrill, what_changed: str | None = None) -> None:
        parts = DraftParts(text=text, drills=drills, what_changed=what_changed)
        with transaction(self.factory) as session:
            reviews.change_draft(self.desk(session), self.review_id, None, parts)

    def send(self) -> None:
        with transaction(self.factory) as session:
            answers.send_answer(self.desk(session), self.review_id, None, self.sending)

    def age(self, by: timedelta = WINDOW) -> None:
        """Let time pass since the answer that stands was sent."""
        with transaction(self.factory) as session:
            answer = standing_answer(session, self.submission_id)
            review = session.get_one(Review, self.review_id)
            assert answer is not None
            assert review.answered_at is not None
            answer.sent_at -= by
            review.answered_at -= by
            if answer.corrects_number is None:
                answer.first_sent_at -= by

    def correct(self, coach: int = 0) -> None:
        with transaction(self.factory) as session:
            answers.correct_answer(self.desk(session, coach), self.review_id, WINDOW)

    def recall(self) -> None:
        with transaction(self.factory) as session:
            answers.recall_answer(self.desk(session), self.review_id, WINDOW)

    def standing(self) -> tuple[int, str]:
        with transaction(self.factory) as session:
            answer = standing_answer(session, self.submission_id)
            assert answer is not None
            return answer.number, answer.text

    def earlier(self) -> list[int]:
        with transaction(self.factory) as session:
            found = earlier_answers(session, [self.review_id])
            return [one.number for one in found.get(self.review_id, [])]

    def drills(self) -> list[str]:
        with transaction(self.factory) as session:
            answer = standing_answer(session, self.submission_id)
            assert answer is not None
            return [one.drill for one in drills_of(session, answer)]

    def states(self) -> tuple[str, str]:
        with transaction(self.factory) as session:
            review = session.get_one(Review, self.review_id)
            return review.state, review.submission.state

    def mails(self) -> list[str]:
        with transaction(self.factory) as session:
            return list(session.scalars(select(Mail.subject).order_by(Mail.id)))


def make_lesson(factory: sessionmaker[Session], folder: Path) -> Lesson:
    storage = LocalStorage(folder / "clips")
    with factory() as session:
        academy = factories.make_academy(session)
        student = factories.make_member(session, academy=academy)
        coaches = [factories.make_member(session, Role.COACH, academy=academy) for _ in range(2)]
        submission = measured.make_measured(session, storage, student)
        review_id = session.scalars(
            select(Review.id).where(Review.submission_id == submission.id)
        ).one()
        lesson = Lesson(factory, storage, student, coaches, review_id, submission.id)
        session.commit()
    with transaction(factory) as session:
        reviews.claim(lesson.desk(session), review_id)
    lesson.write(FIRST, FEET, LEVEL)
    lesson.send()
    return lesson


@pytest.fixture
def fresh(factory: sessionmaker[Session], tmp_path: Path) -> Lesson:
    """Answered just now."""
    return make_lesson(factory, tmp_path)


@pytest.fixture
def lesson(fresh: Lesson) -> Lesson:
    """Answered so long ago that it cannot be called back."""
    fresh.age()
    return fresh


class TestCorrecting:
    def test_the_first_answer_stands_until_the_second_is_sent(self, lesson: Lesson) -> None:
        lesson.correct()
        assert lesson.states() == ("claimed", "answered")
        lesson.write(SECOND, FEET, what_changed=CHANGED)
        assert lesson.standing() == (1, FIRST)
        assert lesson.earlier() == []
        lesson.send()
        assert lesson.standing() == (2, SECOND)
        assert lesson.earlier() == [1]
        assert lesson.states() == ("answered", "answered")
        assert lesson.mails() == ["Your coach has answered", "Your coach has corrected an answer"]

    def test_it_names_what_it_corrects_and_what_changed(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=f"  {CHANGED} ")
        lesson.send()
        with transaction(lesson.factory) as session:
            answer = standing_answer(session, lesson.submission_id)
            assert answer is not None
            assert (answer.corrects_number, answer.what_changed) == (1, CHANGED)
            assert answer.first_sent_at < answer.sent_at
            review = session.get_one(Review, lesson.review_id)
            assert (review.amends_number, review.draft_what_changed) == (None, "")

    def test_without_words_on_what_changed_nothing_goes_out(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed="  ")
        with pytest.raises(Conflict) as refused:
            lesson.send()
        assert refused.value.code == "say_what_changed"
        assert lesson.standing() == (1, FIRST)

    def test_a_second_correction_corrects_the_first(self, lesson: Lesson) -> None:
        for text in (SECOND, "Leave it as it is."):
            lesson.correct()
            lesson.write(text, what_changed=CHANGED)
            lesson.send()
            lesson.age()
        assert lesson.standing() == (3, "Leave it as it is.")
        assert lesson.earlier() == [2, 1]

    def test_the_draft_begins_as_it_was_sent(self, lesson: Lesson) -> None:
        lesson.correct()
        with transaction(lesson.factory) as session:
            review = session.get_one(Review, lesson.review_id)
            assert review.draft_text == FIRST
            assert [one["drill_id"] for one in review.draft_drills] == [
                FEET.drill_id,
                LEVEL.drill_id,
            ]

    def test_every_step_is_written_down(self, lesson: Lesson) -> None:
        lesson.correct()
        with transaction(lesson.factory) as session:
            event = session.scalars(
                select(AuditEvent).where(AuditEvent.act == "review.correcting")
            ).one()
            assert event.after == {"corrects": 1}
            assert event.actor_id == lesson.coaches[0].id


class TestWho:
    def test_not_while_it_can_be_called_back(self, fresh: Lesson) -> None:
        with pytest.raises(Conflict) as refused:
            fresh.correct()
        assert refused.value.code == "call_it_back"
        fresh.recall()
        assert fresh.states() == ("claimed", "with_coach")

    def test_not_another_coach_while_the_first_is_there(self, lesson: Lesson) -> None:
        with pytest.raises(Conflict) as refused:
            lesson.correct(coach=1)
        assert refused.value.code == "not_yours_to_correct"

    def test_another_coach_once_the_first_was_deactivated(self, lesson: Lesson) -> None:
        with transaction(lesson.factory) as session:
            session.get_one(Membership, lesson.coaches[0].id).deactivated_at = datetime.now(UTC)
        lesson.correct(coach=1)
        assert lesson.states() == ("claimed", "answered")

    def test_nothing_of_another_academy(self, lesson: Lesson) -> None:
        with transaction(lesson.factory) as session:
            stranger = factories.make_member(session, Role.COACH)
            desk = Desk(session, factories.actor_of(stranger), datetime.now(UTC), LEASE)
            with pytest.raises(FairleadError, match="no such review"):
                answers.correct_answer(desk, lesson.review_id, WINDOW)

    def test_a_new_film_cannot_be_asked_for_instead(self, lesson: Lesson) -> None:
        lesson.correct()
        asking = refilm.Asking(lesson.storage, "http://fairlead.test")
        new = refilm.NewFilm([RefilmReason.OTHER], "Again.")
        with transaction(lesson.factory) as session:
            desk = lesson.desk(session)
            with pytest.raises(Conflict):
                refilm.ask_refilm(desk, lesson.review_id, new, asking)
        assert lesson.states() == ("claimed", "answered")


class TestLeftHalfDone:
    def lapse(self, lesson: Lesson) -> int:
        later = datetime.now(UTC) + LEASE + timedelta(seconds=1)
        with transaction(lesson.factory) as session:
            return reviews_db.lapse_leases(session, later)

    def test_a_lapse_leaves_the_answer_and_the_draft(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=CHANGED)
        assert self.lapse(lesson) == 1
        assert lesson.states() == ("answered", "answered")
        assert lesson.standing() == (1, FIRST)
        # The same coach goes on without a word, and may send.
        lesson.write(f"{SECOND} So.")
        assert lesson.states() == ("claimed", "answered")
        with transaction(lesson.factory) as session:
            assert session.get_one(Review, lesson.review_id).draft_what_changed == CHANGED
        lesson.send()
        assert lesson.standing() == (2, f"{SECOND} So.")

    def test_a_lapsed_one_is_in_nobodys_queue_to_take(self, lesson: Lesson) -> None:
        lesson.correct()
        later = datetime.now(UTC) + LEASE + timedelta(seconds=1)
        with transaction(lesson.factory) as session:
            desk = lesson.desk(session, 1, later)
            assert reviews_db.claim_next(session, desk.actor, now=later, until=desk.until) is None
            assert queue_counts(session, desk.actor, later)["waiting"] == 0

    def test_given_back_it_is_answered_and_the_draft_waits(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=CHANGED)
        with transaction(lesson.factory) as session:
            version = session.get_one(Review, lesson.review_id).version
            reviews.release(lesson.desk(session), lesson.review_id)
        assert lesson.states() == ("answered", "answered")
        assert lesson.standing() == (1, FIRST)
        parts = DraftParts(text="From a tab that was left open.")
        with transaction(lesson.factory) as session:
            desk = lesson.desk(session)
            with pytest.raises(Conflict):
                reviews.change_draft(desk, lesson.review_id, [version], parts)
        lesson.correct()
        with transaction(lesson.factory) as session:
            review = session.get_one(Review, lesson.review_id)
            assert (review.draft_text, review.draft_what_changed) == (SECOND, CHANGED)


class TestCallingACorrectionBack:
    def test_the_answer_from_before_stands_again_with_its_drills(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, FEET, what_changed=CHANGED)
        lesson.send()
        assert lesson.drills() == [FEET.drill_id]
        lesson.recall()
        assert lesson.states() == ("claimed", "answered")
        assert lesson.standing() == (1, FIRST)
        assert lesson.earlier() == []
        assert lesson.drills() == [FEET.drill_id, LEVEL.drill_id]
        lesson.send()
        assert lesson.standing() == (3, SECOND)
        assert lesson.earlier() == [1]

    def test_what_had_changed_is_in_the_draft_again(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=CHANGED)
        lesson.send()
        lesson.recall()
        with transaction(lesson.factory) as session:
            review = session.get_one(Review, lesson.review_id)
            assert (review.draft_what_changed, review.draft_text) == (CHANGED, SECOND)
            assert "called the correction back" in review.submission.state_reason


class TestDrills:
    def test_those_not_in_the_new_one_are_withdrawn(self, lesson: Lesson) -> None:
        with transaction(lesson.factory) as session:
            kept = session.scalars(
                select(DrillAssignment.id).where(DrillAssignment.drill == LEVEL.drill_id)
            ).one()
        lesson.correct()
        lesson.write(SECOND, LEVEL, what_changed=CHANGED)
        lesson.send()
        assert lesson.drills() == [LEVEL.drill_id]
        with transaction(lesson.factory) as session:
            rows = session.scalars(select(DrillAssignment).order_by(DrillAssignment.id)).all()
            assert [(row.drill, row.withdrawn_at is None) for row in rows] == [
                (FEET.drill_id, False),
                (LEVEL.drill_id, True),
            ]
            assert rows[1].id == kept, "what was said again goes on as it was given"

    def test_another_dose_is_another_drill(self, lesson: Lesson) -> None:
        more = ChosenDrill(FEET.drill_id, 5, 6, None, 4, date(2030, 1, 1), "")
        lesson.correct()
        lesson.write(SECOND, more, what_changed=CHANGED)
        lesson.send()
        with transaction(lesson.factory) as session:
            answer = standing_answer(session, lesson.submission_id)
            assert answer is not None
            assert [one.dose["sets"] for one in drills_of(session, answer)] == [5]

    def film(self, lesson: Lesson, arrived: datetime) -> UUID:
        with lesson.factory() as session:
            student = session.get_one(Membership, lesson.student.id)
            clip = measured.make_measured(session, lesson.storage, student).clips[0]
            clip.received_at = arrived
            session.commit()
            return clip.submission_id

    def proven(self, lesson: Lesson, submission_id: UUID) -> list[str]:
        with transaction(lesson.factory) as session:
            submission = session.get_one(Submission, submission_id)
            proof = prove_last_drills(session, submission, None)
            return [] if proof is None else [one["drill_id"] for one in proof["drills"]]

    def test_a_clip_between_answer_and_correction_proves_what_both_gave(
        self, lesson: Lesson
    ) -> None:
        between = datetime.now(UTC) - timedelta(minutes=1)
        earlier = self.film(lesson, between)
        assert self.proven(lesson, earlier) == [FEET.drill_id, LEVEL.drill_id]
        lesson.correct()
        lesson.write(SECOND, LEVEL, what_changed=CHANGED)
        lesson.send()
        assert self.proven(lesson, earlier) == [LEVEL.drill_id]

    def test_what_came_with_the_correction_is_asked_of_later_clips_alone(
        self, lesson: Lesson
    ) -> None:
        earlier = self.film(lesson, datetime.now(UTC) - timedelta(minutes=1))
        more = ChosenDrill(FEET.drill_id, 5, 6, None, 4, None, "")
        lesson.correct()
        lesson.write(SECOND, LEVEL, more, what_changed=CHANGED)
        lesson.send()
        later = self.film(lesson, datetime.now(UTC) + timedelta(minutes=1))
        assert self.proven(lesson, earlier) == [LEVEL.drill_id]
        assert self.proven(lesson, later) == [LEVEL.drill_id, FEET.drill_id]


class TestWhatIsLearnt:
    def move(self, lesson: Lesson, frame: int) -> None:
        with transaction(lesson.factory) as session:
            clip_id = session.get_one(Submission, lesson.submission_id).clips[0].id
            place = overlays.Place(clip_id, 0, KeyframeId.LEAD_ARM_PARALLEL)
            desk = lesson.desk(session)
            correcting = overlays.Correcting(desk, lesson.storage, lesson.review_id, None, place)
            overlays.move_keyframe(correcting, frame)

    def lessons(self, lesson: Lesson) -> list[int]:
        with transaction(lesson.factory) as session:
            actor = factories.actor_of(lesson.coaches[0])
            return [one.learnt.cases for one in list_lessons(session, actor, datetime.now(UTC))]

    def test_a_correction_counts_once_and_only_when_sent(self, lesson: Lesson) -> None:
        lesson.correct()
        self.move(lesson, measured.LEVEL + 3)
        assert self.lessons(lesson) == [], "the draft of a correction teaches nothing"
        lesson.write(SECOND, what_changed=CHANGED)
        lesson.send()
        assert self.lessons(lesson) == [1]

    def test_the_instants_of_what_stands_are_those_it_was_sent_with(self, lesson: Lesson) -> None:
        lesson.correct()
        self.move(lesson, measured.LEVEL + 3)
        with transaction(lesson.factory) as session:
            answer = standing_answer(session, lesson.submission_id)
            assert answer is not None
            assert marks_when(session, lesson.review_id, answer.sent_at) == []
            now = marks_when(session, lesson.review_id, datetime.now(UTC))
            assert [mark.frame for mark in now] == [measured.LEVEL + 3]


class TestAtOnce:
    def test_the_database_lets_one_answer_stand(self, lesson: Lesson) -> None:
        with lesson.factory() as session:
            answer = standing_answer(session, lesson.submission_id)
            assert answer is not None
            session.add(
                Answer(
                    review_id=answer.review_id,
                    submission_id=answer.submission_id,
                    number=2,
                    text="Another",
                    content=answer.content,
                    sent_by=answer.sent_by,
                    sent_at=answer.sent_at,
                    first_sent_at=answer.sent_at,
                )
            )
            with pytest.raises(IntegrityError):
                session.flush()

    def test_a_correction_without_words_is_refused_by_the_database(self, lesson: Lesson) -> None:
        with lesson.factory() as session:
            answer = standing_answer(session, lesson.submission_id)
            assert answer is not None
            answer.corrects_number = 1
            with pytest.raises(IntegrityError):
                session.flush()

    def test_correcting_against_calling_back_ends_one_way(self, fresh: Lesson) -> None:
        # On the edge of the window each sees its own time to be right.
        for _ in range(5):
            late = datetime.now(UTC) + WINDOW + timedelta(seconds=1)
            is_correction = bool(fresh.earlier())

            def correct(session: Session, late: datetime = late) -> str:
                answers.correct_answer(fresh.desk(session, now=late), fresh.review_id, WINDOW)
                return "correcting"

            def recall(session: Session) -> str:
                answers.recall_answer(fresh.desk(session), fresh.review_id, WINDOW)
                return "recalled"

            results = at_once(fresh.factory, correct, recall)
            (won,) = [one for one in results if isinstance(one, str)]
            (lost,) = [one for one in results if not isinstance(one, str)]
            assert isinstance(lost, FairleadError), lost
            expected = "answered" if won == "correcting" or is_correction else "with_coach"
            assert fresh.states() == ("claimed", expected)
            fresh.write(SECOND, what_changed=CHANGED)
            fresh.send()
            assert fresh.states() == ("answered", "answered")

    def test_two_tabs_open_one_correction(self, lesson: Lesson) -> None:
        def correct(session: Session) -> int:
            review = answers.correct_answer(lesson.desk(session), lesson.review_id, WINDOW)
            return review.version

        results = at_once(lesson.factory, correct, correct, correct, correct)
        assert len([one for one in results if isinstance(one, int)]) == 1
        refused = [one for one in results if isinstance(one, Conflict)]
        assert [one.code for one in refused] == ["already_claimed"] * 3

    def test_two_tabs_send_one_correction(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=CHANGED)
        with transaction(lesson.factory) as session:
            version = session.get_one(Review, lesson.review_id).version

        def send(session: Session) -> int:
            desk = lesson.desk(session)
            return answers.send_answer(desk, lesson.review_id, [version], lesson.sending).version

        results = at_once(lesson.factory, *[send] * 4)
        assert len([one for one in results if isinstance(one, int)]) == 1
        assert all(isinstance(one, int | Conflict | Stale) for one in results), results
        assert lesson.standing() == (2, SECOND)
        assert lesson.earlier() == [1]

    def test_a_lapse_against_a_sending_loses_neither(self, lesson: Lesson) -> None:
        lesson.correct()
        lesson.write(SECOND, what_changed=CHANGED)
        later = datetime.now(UTC) + LEASE + timedelta(seconds=1)

        def send(session: Session) -> str:
            answers.send_answer(lesson.desk(session), lesson.review_id, None, lesson.sending)
            return "sent"

        def lapse(session: Session) -> str:
            return f"lapsed {reviews_db.lapse_leases(session, later)}"

        acts: list[Callable[[Session], str]] = [send, lapse]
        results = at_once(lesson.factory, *acts)
        if results[0] != "sent":  # the lapse moved the review between its two reads
            assert isinstance(results[0], FairleadError), results
            lesson.send()
        assert lesson.standing() == (2, SECOND)
        assert lesson.states() == ("answered", "answered")

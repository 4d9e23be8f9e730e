"""What a student ticks of their drills: kept once a day, read by the coach, nobody else's to touch."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import AuditEvent, Membership, PracticeDay, Review
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

STOP = {"drill_id": "stop-and-look", "sets": 3, "reps": 5, "pause_s": 2, "days_per_week": 2}
TOWEL = {"drill_id": "towel-hug", "sets": 3, "reps": 8, "days_per_week": 4}
Answered = Callable[..., str]


@pytest.fixture
def answered(session: Session, storage: Storage, student: Membership, coach: Browser) -> Answered:
    """Makes an answer with drills; returns its review's path."""

    def make(*drills: dict[str, Any]) -> str:
        submission = measured.make_measured(session, storage, student)
        review = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
        session.commit()
        path = f"/reviews/{review}"
        version = coach.post(f"{path}/claim").ok()["version"]
        draft = {"text": "Good.", "drills": list(drills)}
        version = coach.patch(f"{path}/draft", draft, etag=version).ok()["version"]
        coach.post(f"{path}/send", etag=version).ok()
        return path

    return make


def practice(browser: Browser, student: Membership) -> dict[str, Any]:
    body: dict[str, Any] = json.loads(browser.get(f"/people/{student.id}/practice").text)
    return body


def place(student: Membership, drill: dict[str, Any], day: str) -> str:
    return f"/people/{student.id}/practice/{drill['assignment_id']}/{day}"


def test_nothing_to_practise_before_the_first_answer(pupil: Browser, student: Membership) -> None:
    found = practice(pupil, student)
    assert (found["answer"], found["drills"]) == (None, [])


def test_a_day_is_ticked_told_again_and_unticked(
    answered: Answered, pupil: Browser, coach: Browser, student: Membership, session: Session
) -> None:
    answered(STOP, TOWEL)
    found = practice(pupil, student)
    stop, towel = found["drills"]
    assert (stop["drill"]["drill_id"], towel["week_asked"]) == ("stop-and-look", 4)
    assert stop["drill"]["steps"]
    assert stop["drill"]["caution"]
    today = found["today"]
    pupil.put(place(student, stop, today), {"sets_done": 1}).ok()
    told = pupil.put(place(student, stop, today), {"sets_done": 3, "note": " Better. "}).ok()
    (day,) = told["drills"][0]["days"]
    assert day == {"day": today, "sets_done": 3, "hurt": False, "note": "Better."}
    assert (told["drills"][0]["week_done"], told["drills"][1]["week_done"]) == (1, 0)
    assert session.scalars(select(PracticeDay)).all().__len__() == 1
    session.commit()
    assert practice(coach, student)["drills"][0]["days"] == [day]
    assert pupil.delete(place(student, stop, today)).ok()["drills"][0]["days"] == []


def test_a_drill_given_again_goes_on_where_it_was(
    answered: Answered, pupil: Browser, student: Membership, session: Session
) -> None:
    answered(STOP, TOWEL)
    first = practice(pupil, student)
    stop, towel = first["drills"]
    today = first["today"]
    pupil.put(place(student, stop, today), {"sets_done": 2}).ok()
    pupil.put(place(student, towel, today), {"sets_done": 1}).ok()
    answered(STOP)
    (again,) = practice(pupil, student)["drills"]
    assert again["assignment_id"] != stop["assignment_id"]
    assert ([day["sets_done"] for day in again["days"]], again["week_done"]) == ([2], 1)
    told = pupil.put(place(student, again, today), {"sets_done": 0}).ok()["drills"][0]
    assert ([day["sets_done"] for day in told["days"]], told["week_done"]) == ([0], 0)
    kept = session.scalars(select(PracticeDay.sets_done)).all()
    assert sorted(kept) == [0, 1, 2], "what was told before stays as it was"


def test_no_set_done_is_no_day_of_practice(
    answered: Answered, pupil: Browser, student: Membership
) -> None:
    answered(STOP)
    found = practice(pupil, student)
    path = place(student, found["drills"][0], found["today"])
    told = pupil.put(path, {"sets_done": 0, "hurt": True}).ok()
    assert told["drills"][0]["week_done"] == 0


def test_that_something_hurt_is_written_down_without_the_words(
    answered: Answered, pupil: Browser, student: Membership, session: Session
) -> None:
    answered(STOP)
    found = practice(pupil, student)
    path = place(student, found["drills"][0], found["today"])
    pupil.put(path, {"sets_done": 1, "hurt": True, "note": "My left wrist."}).ok()
    event = session.scalars(select(AuditEvent).filter_by(act="practice.hurt")).one()
    assert "wrist" not in json.dumps([event.before, event.after])
    session.commit()


@pytest.mark.parametrize(
    ("off_days", "said"),
    [(3, "That day has not come yet."), (-9, "there was nothing to tick before")],
)
def test_a_day_that_cannot_be_is_refused_in_words(
    answered: Answered, pupil: Browser, student: Membership, off_days: int, said: str
) -> None:
    answered(STOP)
    drill = practice(pupil, student)["drills"][0]
    day = (datetime.now(UTC) + timedelta(days=off_days)).date().isoformat()
    refused = pupil.put(place(student, drill, day), {"sets_done": 1})
    assert refused.status_code == 422
    assert said in json.loads(refused.text)["detail"]


def test_the_newest_answers_drills_are_todays(
    answered: Answered, pupil: Browser, student: Membership
) -> None:
    answered(STOP)
    before = practice(pupil, student)["drills"][0]
    answered(TOWEL)
    found = practice(pupil, student)
    assert [one["drill"]["drill_id"] for one in found["drills"]] == ["towel-hug"]
    # What was practised before and told late is still kept: the phone may have been offline.
    pupil.put(place(student, before, found["today"]), {"sets_done": 1}).ok()


def test_a_drill_that_was_called_back_can_no_longer_be_ticked(
    answered: Answered, pupil: Browser, coach: Browser, student: Membership
) -> None:
    path = answered(STOP)
    found = practice(pupil, student)
    coach.post(f"{path}/recall").ok()
    gone = pupil.put(place(student, found["drills"][0], found["today"]), {"sets_done": 1})
    assert gone.status_code == 404


def test_nobody_ticks_or_reads_for_somebody_else(
    app: FastAPI, session: Session, answered: Answered, pupil: Browser, student: Membership
) -> None:
    answered(STOP)
    found = practice(pupil, student)
    fellow = factories.make_member(session, academy=student.academy)
    stranger = open_browser(app, session, fellow)
    path = place(student, found["drills"][0], found["today"])
    assert stranger.put(path, {"sets_done": 1}).status_code == 404
    own_name = place(fellow, found["drills"][0], found["today"])
    assert stranger.put(own_name, {"sets_done": 1}).status_code == 404
    assert stranger.get(f"/people/{student.id}/practice").status_code == 404

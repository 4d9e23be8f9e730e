"""How a student's numbers went from answer to answer: what answers told, changes beyond noise, drills between."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Role, View
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.domain.test_findings import reading

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
DRILL = {"sets": 3, "reps": 5, "pause_s": 2.0, "days_per_week": 3}
Answered = Callable[..., Submission]


@pytest.fixture
def answered(session: Session, storage: Storage, student: Membership, coach: Browser) -> Answered:
    """Makes a clip of the student's, days ago, and the coach's answer to it."""

    def make(degrees: float, days_ago: float, *drills: str, **values: object) -> Submission:
        seen = {View.FACE_ON: [{ANGLE: reading(ANGLE, degrees, 2.0)}]}
        arrived = datetime.now(UTC) - timedelta(days=days_ago)
        submission = measured.make_seen(
            session,
            storage,
            student,
            seen,
            arrived=arrived,
            **values,
        )
        review = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
        session.commit()
        path = f"/reviews/{review}"
        version = coach.post(f"{path}/claim").ok()["version"]
        draft = {"text": "Good.", "drills": [{"drill_id": one, **DRILL} for one in drills]}
        version = coach.patch(f"{path}/draft", draft, etag=version).ok()["version"]
        coach.post(f"{path}/send", etag=version).ok()
        return submission

    return make


def progress(browser: Browser, student: Membership) -> dict[str, Any]:
    found = browser.get(f"/people/{student.id}/progress")
    assert found.status_code == 200, found.text
    body: dict[str, Any] = json.loads(found.text)
    return body


def of_the_angle(body: dict[str, Any], purpose: str = "full") -> dict[str, Any]:
    (one,) = [
        one for one in body["series"] if one["checkpoint"] == ANGLE and one["purpose"] == purpose
    ]
    assert isinstance(one, dict)
    return one


def test_the_values_that_answers_told_and_what_really_changed(
    answered: Answered, pupil: Browser, student: Membership
) -> None:
    first = answered(125.0, 20.0)
    second = answered(112.0, 10.0)
    answered(60.0, 5.0, purpose="rehearsal")
    last = answered(110.0, 1.0)
    series = of_the_angle(progress(pupil, student))
    assert [point["submission_id"] for point in series["points"]] == [
        str(one.id) for one in (first, second, last)
    ]
    assert [point["value"] for point in series["points"]] == [125.0, 112.0, 110.0]
    changed = series["changed"]
    assert changed["since"] == str(second.id)
    assert (changed["difference"], changed["moved"]) == (-2.0, "not_clear")
    assert changed["least"] == pytest.approx(1.96 * 2.0 * 2.0**0.5, rel=1e-3)


def test_a_change_beyond_the_noise_is_told_with_its_direction(
    answered: Answered, coach: Browser, student: Membership
) -> None:
    answered(125.0, 20.0)
    answered(104.0, 1.0)
    assert of_the_angle(progress(coach, student))["changed"]["moved"] == "nearer"


def test_clips_with_another_club_are_not_compared(
    answered: Answered, pupil: Browser, student: Membership
) -> None:
    iron = answered(125.0, 20.0, club_name="7-iron")
    answered(110.0, 10.0, club_name="driver")
    assert of_the_angle(progress(pupil, student))["changed"] is None
    answered(100.0, 1.0, club_name="7-iron")
    assert of_the_angle(progress(pupil, student))["changed"]["since"] == str(iron.id)


def test_drills_are_spans_from_the_answer_that_gave_them_to_the_next_that_did_not(
    answered: Answered, pupil: Browser, student: Membership
) -> None:
    answered(125.0, 20.0, "stop-and-look")
    answered(115.0, 10.0, "stop-and-look", "towel-hug")
    answered(100.0, 1.0, "towel-hug")
    spans = {one["drill_id"]: one for one in progress(pupil, student)["drills"]}
    assert set(spans) == {"stop-and-look", "towel-hug"}
    assert spans["stop-and-look"]["until"] is not None
    assert spans["stop-and-look"]["since"] < spans["towel-hug"]["since"]
    assert spans["towel-hug"]["until"] is None


def test_what_was_called_back_tells_nothing(
    session: Session, answered: Answered, coach: Browser, pupil: Browser, student: Membership
) -> None:
    submission = answered(125.0, 1.0, "stop-and-look")
    review = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    coach.post(f"/reviews/{review}/recall").ok()
    assert progress(pupil, student) == {"series": [], "drills": []}


def test_nobody_reads_what_is_another_students_or_another_academys(
    app: FastAPI, session: Session, answered: Answered, student: Membership
) -> None:
    answered(125.0, 1.0)
    fellow = factories.make_member(session, academy=student.academy)
    stranger = factories.make_member(session, Role.ADMIN)
    for member in (fellow, stranger):
        browser = open_browser(app, session, member)
        assert browser.get(f"/people/{student.id}/progress").status_code == 404

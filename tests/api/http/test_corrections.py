"""What corrections teach, over HTTP: the table, a reading on the desk, and the student's answer."""

from collections.abc import Callable
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Role, View
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.domain.test_findings import reading

Film = Callable[[], Submission]
TURN, BUTT_END = CheckpointId.CHEST_TURN_AT_PARALLEL, CheckpointId.BUTT_END_INSIDE


@pytest.fixture
def film(session: Session, storage: Storage, student: Membership) -> Film:
    return lambda: measured.make_measured(session, storage, student)


@pytest.fixture
def office(app: FastAPI, session: Session, academy: Academy, coach: Browser) -> Browser:
    return open_browser(app, session, factories.make_member(session, Role.ADMIN, academy=academy))


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def moved(coach: Browser, review: dict[str, Any], frame: int) -> dict[str, Any]:
    clip_id = review["submission"]["clips"][0]["id"]
    url = f"/reviews/{review['id']}/marks/{clip_id}/0/lead_arm_parallel"
    return coach.put(url, {"frame": frame}, etag=review["version"]).ok()


def sent(coach: Browser, review: dict[str, Any]) -> dict[str, Any]:
    url = f"/reviews/{review['id']}"
    draft = coach.patch(f"{url}/draft", {"text": "Stop and look."}, etag=review["version"]).ok()
    return coach.post(f"{url}/send", etag=draft["version"]).ok()


def teach(coach: Browser, session: Session, film: Film, times: int) -> None:
    """Answers in which the coach saw six degrees more than the machine."""
    for _ in range(times):
        review = claimed(coach, session, film())
        sent(coach, moved(coach, review, measured.LEVEL + 3))


def test_at_first_there_is_nothing(coach: Browser) -> None:
    assert coach.get("/corrections").ok() == {"fewest": 3, "lessons": []}


def test_few_are_counted_and_teach_nothing_yet(
    coach: Browser, office: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 2)
    body = coach.get("/corrections").ok()
    (lesson,) = body["lessons"]
    assert lesson == {
        "checkpoint": "lead_arm_shaft_angle",
        "unit": "deg",
        "view": "face-on",
        "rate": "from_45",
        "pipeline": measured.PIPELINE,
        "corrections": 2,
        "left_alone": 0,
        "bias": None,
        "bias_sigma": None,
        "spread": None,
    }
    assert office.get("/corrections").ok() == body


def test_enough_of_them_are_told_with_their_doubt(
    coach: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 3)
    (lesson,) = coach.get("/corrections").ok()["lessons"]
    assert -6.0 < lesson["bias"] < -3.0
    assert 0.0 < lesson["bias_sigma"] < 3.0
    # Three who agree leave the bias unsure and show no scatter: less is added than that doubt alone.
    assert 0.0 <= lesson["spread"] < lesson["bias_sigma"]


def test_a_student_does_not_see_the_table(pupil: Browser) -> None:
    assert pupil.get("/corrections").status_code == 403


def test_another_academy_sees_nothing_of_it(
    app: FastAPI, coach: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 3)
    elsewhere = open_browser(app, session, factories.make_member(session, Role.ADMIN))
    assert elsewhere.get("/corrections").ok()["lessons"] == []


def test_the_desk_shows_the_number_as_it_is_told_and_the_machines_own(
    coach: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 4)
    (told,) = claimed(coach, session, film())["readings"]
    adjusted = told["adjusted"]
    assert told["source"] == "machine"
    assert adjusted["machine_value"] == pytest.approx(90.0)
    assert told["value"] == pytest.approx(90.0 - adjusted["bias"])
    assert told["sigma"] ** 2 == pytest.approx(
        measured.machine_reading().sigma ** 2 + adjusted["spread"] ** 2
    )
    assert (adjusted["corrections"], adjusted["left_alone"]) == (4, 0)
    assert told["own_bands"] is None


def test_a_coach_who_moves_a_point_reads_from_points_alone(
    coach: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 4)
    review = claimed(coach, session, film())
    (told,) = moved(coach, review, measured.LEVEL + 1)["readings"]
    assert (told["source"], told["adjusted"]) == ("coach", None)
    assert told["value"] == pytest.approx(92.0)


def test_the_answer_keeps_it_and_the_student_reads_the_same(
    coach: Browser, pupil: Browser, session: Session, film: Film
) -> None:
    teach(coach, session, film, 4)
    submission = film()
    review = sent(coach, claimed(coach, session, submission))
    (kept,) = pupil.get(f"/submissions/{submission.id}").ok()["answer"]["readings"]
    assert kept["adjusted"]["corrections"] == 4
    assert review["readings"] == [kept]
    teach(coach, session, film, 3)
    assert pupil.get(f"/submissions/{submission.id}").ok()["answer"]["readings"] == [kept]
    assert coach.get(f"/reviews/{review['id']}").ok()["readings"] == [kept]


def test_the_picture_never_says_another_number_than_the_answer(
    coach: Browser, session: Session, film: Film
) -> None:
    """The machine writes its own number on its picture: beside an adjusted one the plain still is sent."""
    before = sent(coach, claimed(coach, session, film()))
    teach(coach, session, film, 4)
    after = sent(coach, claimed(coach, session, film()))
    drawn = [
        {one["keyframe"]: one["lines_drawn"] for one in review["submission"]["answer"]["pictures"]}
        for review in (before, after)
    ]
    assert [each["lead_arm_parallel"] for each in drawn] == [True, False]


def test_both_views_together_are_read_from_adjusted_numbers(
    coach: Browser, session: Session, storage: Storage, student: Membership, film: Film
) -> None:
    """102 degrees are no finding; with the 24 that coaches saw more, time after time, they are one."""
    wide = measured.reading_of(
        measured.ANGLE, measured.LEVEL, measured.points_at(measured.LEVEL + 6), measured.INPUTS
    )
    views = {
        View.FACE_ON: [{measured.ANGLE: wide}],
        View.DOWN_THE_LINE: [{BUTT_END: reading(BUTT_END, 0.5, 0.1)}],
    }
    before = claimed(coach, session, measured.make_seen(session, storage, student, views))
    assert before["together"]["findings"] == []
    for _ in range(8):
        review = claimed(coach, session, film())
        sent(coach, moved(coach, review, measured.LEVEL + 12))
    after = claimed(coach, session, measured.make_seen(session, storage, student, views))
    (found,) = after["together"]["findings"]
    assert (found["code"], found["sure"]) == ("under_set", True)
    (evidence,) = found["because"]
    (told,) = [one for one in after["readings"] if one["checkpoint"] == measured.ANGLE.value]
    assert evidence["value"] == told["value"]
    (front,) = [one for one in after["submission"]["clips"] if one["view"] == View.FACE_ON.value]
    assert [one["code"] for one in front["measurement"]["swings"][0]["findings"]] == ["under_set"]
    raw = front["measurement"]["swings"][0]["checkpoints"][measured.ANGLE.value]
    assert raw["value"] == pytest.approx(102.0)

"""One question back about each answer: asked once, replied to once, told by mail without its words."""

import json
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Answer, Mail, Membership
from api.domain.names import Role
from tests import factories
from tests.api.browsers import Answered, Browser, open_browser

ASKED = "Should I feel the pause in my hands?\nOr in my chest?"


@pytest.fixture
def path(session: Session, student: Membership) -> str:
    """Of the question about an answer that stands."""
    given = factories.make_given_drill(session, student)
    submission_id = session.get_one(Answer, given.answer_id).submission_id
    session.commit()
    return f"/submissions/{submission_id}/question"


def body(browser: Browser, path: str) -> Any:  # noqa: ANN401 - a list or an object
    found = browser.get(path)
    assert found.status_code == 200, found.text
    return json.loads(found.text)


def code_of(answer: Answered) -> tuple[int, str]:
    return answer.status_code, json.loads(answer.text)["code"]


def test_a_question_is_asked_read_by_coaches_and_replied_to(
    session: Session, pupil: Browser, coach: Browser, path: str, student: Membership
) -> None:
    assert body(pupil, path) == {"question": None}
    asked = pupil.post(path, {"text": f"  {ASKED} "}).ok()
    assert (asked["text"], asked["reply"]) == (ASKED, None)
    (open_one,) = body(coach, "/questions")
    assert open_one["student_name"] == student.person.name
    replied = coach.post(f"/questions/{asked['id']}/reply", {"text": "In your chest."}).ok()
    assert replied["reply"] == "In your chest."
    assert body(coach, "/questions") == []
    assert body(pupil, path)["question"]["reply"] == "In your chest."
    mail = session.scalars(select(Mail).order_by(Mail.id.desc()).limit(1)).one()
    assert mail.to_address == student.person.email
    assert "chest" not in mail.body


def test_there_is_one_question_for_each_answer(pupil: Browser, path: str) -> None:
    pupil.post(path, {"text": ASKED}).ok()
    assert code_of(pupil.post(path, {"text": "And one more?"})) == (409, "asked_already")


def test_the_same_question_sent_twice_by_a_bad_line_is_one(pupil: Browser, path: str) -> None:
    first = pupil.post(path, {"text": ASKED}, key="one").ok()
    again = pupil.post(path, {"text": ASKED}, key="one").ok()
    assert first["id"] == again["id"]


def test_before_an_answer_there_is_nothing_to_ask_about(
    session: Session, pupil: Browser, student: Membership
) -> None:
    submission = factories.make_submission(session, student, state="waiting")
    session.commit()
    refused = pupil.post(f"/submissions/{submission.id}/question", {"text": ASKED})
    assert code_of(refused) == (409, "not_answered")


def test_two_coaches_do_not_both_reply(
    app: FastAPI, session: Session, pupil: Browser, coach: Browser, path: str, student: Membership
) -> None:
    asked = pupil.post(path, {"text": ASKED}).ok()
    other = open_browser(
        app, session, factories.make_member(session, Role.COACH, academy=student.academy)
    )
    coach.post(f"/questions/{asked['id']}/reply", {"text": "So."}).ok()
    late = other.post(f"/questions/{asked['id']}/reply", {"text": "Or so."})
    assert code_of(late) == (409, "replied_already")
    assert body(pupil, path)["question"]["reply"] == "So."


def test_nobody_sees_what_is_asked_in_another_academy(
    app: FastAPI, session: Session, pupil: Browser, path: str
) -> None:
    asked = pupil.post(path, {"text": ASKED}).ok()
    stranger = open_browser(app, session, factories.make_member(session, Role.COACH))
    assert body(stranger, "/questions") == []
    assert stranger.get(path).status_code == 404
    assert stranger.post(f"/questions/{asked['id']}/reply", {"text": "So."}).status_code == 404


@pytest.mark.parametrize("text", ["", "   ", "x" * 1001, "a\u0000b"])
def test_words_that_are_none_or_too_many_are_refused(pupil: Browser, path: str, text: str) -> None:
    assert pupil.post(path, {"text": text}).status_code == 422

"""The same file sent twice is recognised by its content, and by nobody else's."""

import json

import pytest
from fastapi import FastAPI
from sqlalchemy.orm import Session

from api.db.models import Membership
from tests import factories
from tests.api.browsers import Browser, open_browser

SHA = "ab" * 32


@pytest.fixture(autouse=True)
def _clip(session: Session, student: Membership) -> None:
    submission = factories.make_submission(session, student, state="answered")
    factories.make_clip(session, submission, bytes=1234, sha256=SHA)
    session.commit()


def asked(browser: Browser, **query: object) -> dict[str, object]:
    words = "&".join(f"{name}={value}" for name, value in query.items())
    found = browser.get(f"/clips/sent-before?{words}")
    assert found.status_code == 200, found.text
    body: dict[str, object] = json.loads(found.text)
    return body


def test_a_length_alone_only_says_that_it_is_worth_reading_the_file(pupil: Browser) -> None:
    assert asked(pupil, length=1234) == {"same_length": True, "sent": None}
    assert asked(pupil, length=1235) == {"same_length": False, "sent": None}


def test_the_same_content_is_recognised_and_another_of_the_same_length_is_not(
    pupil: Browser,
) -> None:
    sent = asked(pupil, length=1234, sha256=SHA)["sent"]
    assert isinstance(sent, dict)
    assert sent["view"] == "face-on"
    assert asked(pupil, length=1234, sha256="cd" * 32)["sent"] is None


def test_what_was_taken_back_may_be_sent_anew(
    session: Session, student: Membership, pupil: Browser
) -> None:
    other = factories.make_submission(session, student, state="withdrawn")
    factories.make_clip(session, other, bytes=77, sha256=SHA)
    session.commit()
    assert asked(pupil, length=77)["same_length"] is False


def test_it_says_nothing_of_what_others_sent(
    app: FastAPI, session: Session, student: Membership, pupil: Browser
) -> None:
    fellow = open_browser(app, session, factories.make_member(session, academy=student.academy))
    assert asked(pupil, length=1234)["same_length"] is True
    assert asked(fellow, length=1234, sha256=SHA) == {"same_length": False, "sent": None}


@pytest.mark.parametrize("query", ["", "length=0", "length=5&sha256=XY"])
def test_a_question_that_makes_no_sense_is_refused(pupil: Browser, query: str) -> None:
    assert pupil.get(f"/clips/sent-before?{query}").status_code == 422

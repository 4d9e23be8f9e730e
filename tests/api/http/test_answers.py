"""Correcting an answer over HTTP: what student and coach read meanwhile and afterwards."""

from datetime import timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Academy, Answer, Mail, Membership, Review, Submission
from api.domain.names import Role
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

FIRST, SECOND, CHANGED = "Let it set more.", "Let it set less.", "I read the wrong moment."


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    return measured.make_measured(session, storage, student)


@pytest.fixture
def sent(session: Session, coach: Browser, submission: Submission) -> dict[str, Any]:
    """Answered an hour ago."""
    review_id = session.scalars(select(Review.id)).one()
    session.commit()
    url = f"/reviews/{review_id}"
    claimed = coach.post(f"{url}/claim").ok()
    drafted = coach.patch(f"{url}/draft", {"text": FIRST}, etag=claimed["version"]).ok()
    coach.post(f"{url}/send", etag=drafted["version"]).ok()
    ago = utc_now() - timedelta(hours=1)
    session.execute(update(Review).values(answered_at=ago))
    session.execute(update(Answer).values(sent_at=ago, first_sent_at=ago))
    session.commit()
    return coach.get(url).ok()


def correct(coach: Browser, review: dict[str, Any], **more: object) -> dict[str, Any]:
    url = f"/reviews/{review['id']}"
    opened = coach.post(f"{url}/correct").ok()
    words = {"text": SECOND, "what_changed": CHANGED, **more}
    return coach.patch(f"{url}/draft", words, etag=opened["version"]).ok()


def test_the_page_is_told_who_may_correct(
    app: FastAPI, session: Session, academy: Academy, coach: Browser, sent: dict[str, Any]
) -> None:
    colleague = open_browser(
        app, session, factories.make_member(session, Role.COACH, academy=academy)
    )
    url = f"/reviews/{sent['id']}"
    assert sent["may_correct"] is True
    assert colleague.get(url).ok()["may_correct"] is False
    assert colleague.post(f"{url}/correct").json()["code"] == "not_yours_to_correct"


def test_the_student_reads_the_standing_answer_meanwhile(
    coach: Browser, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    drafted = correct(coach, sent)
    assert (drafted["state"], drafted["corrects"]) == ("claimed", 1)
    read = pupil.get(f"/submissions/{submission.id}").ok()
    assert (read["state"], read["answer"]["text"]) == ("answered", FIRST)
    assert (read["answer"]["what_changed"], read["answer"]["earlier"]) == (None, [])


def test_the_correction_says_so_and_what_it_said_before_stays(
    session: Session,
    coach: Browser,
    pupil: Browser,
    submission: Submission,
    sent: dict[str, Any],
) -> None:
    drafted = correct(coach, sent)
    done = coach.post(f"/reviews/{sent['id']}/send", etag=drafted["version"]).ok()
    assert (done["state"], done["corrects"]) == ("answered", None)
    for reader in (pupil, coach):
        answer = reader.get(f"/submissions/{submission.id}").ok()["answer"]
        assert (answer["number"], answer["text"], answer["what_changed"]) == (2, SECOND, CHANGED)
        (before,) = answer["earlier"]
        assert (before["number"], before["text"]) == (1, FIRST)
        assert before["pictures"], "with the pictures that went with it"
    mails = session.scalars(select(Mail).order_by(Mail.id)).all()
    assert mails[-1].subject == "Your coach has corrected an answer"
    assert CHANGED not in mails[-1].body


def test_a_correction_can_be_called_back_within_minutes(
    coach: Browser, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    drafted = correct(coach, sent)
    coach.post(f"/reviews/{sent['id']}/send", etag=drafted["version"]).ok()
    back = coach.post(f"/reviews/{sent['id']}/recall").ok()
    assert (back["corrects"], back["draft"]["what_changed"]) == (1, CHANGED)
    read = pupil.get(f"/submissions/{submission.id}").ok()
    assert (read["state"], read["answer"]["text"]) == ("answered", FIRST)
    assert "Until it comes again" in read["state_reason"]


def test_a_tab_with_an_old_version_changes_nothing(coach: Browser, sent: dict[str, Any]) -> None:
    drafted = correct(coach, sent)
    url = f"/reviews/{sent['id']}"
    assert coach.patch(f"{url}/draft", {"text": "x"}, etag=sent["version"]).status_code == 412
    assert coach.post(f"{url}/send", etag=drafted["version"] - 1).status_code == 412
    assert coach.get(url).ok()["draft"]["text"] == SECOND


def test_without_what_changed_it_is_refused_in_words(coach: Browser, sent: dict[str, Any]) -> None:
    drafted = correct(coach, sent, what_changed="")
    refused = coach.post(f"/reviews/{sent['id']}/send", etag=drafted["version"])
    assert (refused.status_code, refused.json()["code"]) == (409, "say_what_changed")


def test_given_back_the_review_is_answered_as_before(coach: Browser, sent: dict[str, Any]) -> None:
    correct(coach, sent)
    back = coach.post(f"/reviews/{sent['id']}/release").ok()
    assert (back["state"], back["submission"]["state"]) == ("answered", "answered")
    assert back["submission"]["answer"]["text"] == FIRST
    assert back["may_correct"] is True

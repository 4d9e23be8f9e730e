"""A guardian does for a child what a student does; of another's child nothing is there, and nothing can be done."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import (
    Academy,
    Answer,
    AuditEvent,
    Clip,
    Guardianship,
    Mail,
    Membership,
    Submission,
    Upload,
)
from api.db.rows_of import rows_of_place
from tests import factories
from tests.api.browsers import Browser, open_browser
from tests.api.http.test_questions import code_of
from tests.api.tus_client import offset_of, opened, send

DATA = b"not really a film, but bytes that arrive"
TODAY = datetime.now(UTC).date()


@pytest.fixture
def child(session: Session, academy: Academy) -> Membership:
    return factories.make_child(session, academy)


@pytest.fixture
def guardianship(session: Session, child: Membership) -> Guardianship:
    return factories.make_guardian(session, child)


@pytest.fixture
def guardian(
    app: FastAPI, session: Session, guardianship: Guardianship, client: TestClient
) -> Browser:
    return open_browser(app, session, session.get_one(Membership, guardianship.guardian_id))


@pytest.fixture
def stranger(app: FastAPI, session: Session, academy: Academy, guardian: Browser) -> Browser:
    """A guardian of another child at the same academy."""
    other = factories.make_guardian(session, factories.make_child(session, academy, years=13))
    return open_browser(app, session, session.get_one(Membership, other.guardian_id))


def started(browser: Browser, child: Membership, **more: object) -> str:
    sent = {"handed": "left", "student_id": str(child.id), **more}
    return str(browser.post("/submissions", sent).ok()["id"])


def test_a_clip_is_sent_and_it_is_the_childs(
    session: Session, guardian: Browser, child: Membership, guardianship: Guardianship
) -> None:
    club = guardian.post(
        "/clubs", {"name": "5 iron", "length_m": 0.9, "student_id": str(child.id)}
    ).ok()
    submission_id = started(guardian, child, club_id=club["id"], note="Why left?")
    answer = opened(guardian.client, submission_id, len(DATA))
    assert answer.status_code == 201, answer.text
    url = answer.headers["Location"]
    assert send(guardian.client, url, DATA[:10]).status_code == 204
    assert offset_of(guardian.client, url) == 10
    assert send(guardian.client, url, DATA[10:], 10).status_code == 204
    submission = session.get_one(Submission, UUID(submission_id))
    assert (submission.student_id, submission.club_name) == (child.id, "5 iron")
    clip = session.scalars(select(Clip)).one()
    upload = session.scalars(select(Upload)).one()
    assert (clip.submission_id, upload.owner_id) == (submission.id, child.id)
    acts = session.execute(
        select(AuditEvent.act, AuditEvent.actor_id).where(
            AuditEvent.act.in_(["submission.started", "upload.opened"])
        )
    ).all()
    assert {(row.act, row.actor_id) for row in acts} == {
        ("submission.started", guardianship.guardian_id),
        ("upload.opened", guardianship.guardian_id),
    }
    # What the guardian sent stays the child's when the guardian is erased.
    assert guardianship.guardian_id is not None
    theirs = rows_of_place(session, guardianship.guardian_id)
    assert not theirs["submissions"] | theirs["uploads"] | theirs["clips"]
    session.commit()
    again = f"/clips/sent-before?length={len(DATA)}&sha256={clip.sha256}&student_id={child.id}"
    assert guardian.get(again).ok()["sent"]["submission_id"] == submission_id
    assert guardian.post(f"/submissions/{submission_id}/withdraw").ok()["state"] == "withdrawn"


def test_the_child_sees_what_the_guardian_sent(
    app: FastAPI, session: Session, guardian: Browser, child: Membership
) -> None:
    submission_id = started(guardian, child)
    own = open_browser(app, session, child)
    assert own.get(f"/submissions/{submission_id}").ok()["student"]["id"] == str(child.id)
    assert opened(own.client, submission_id, 5).status_code == 201


def test_a_guardian_says_for_which_child(guardian: Browser) -> None:
    assert code_of(guardian.post("/submissions", {"handed": "left"})) == (422, "which_child")
    assert code_of(guardian.get("/clubs")) == (422, "which_child")


def test_before_the_guardian_has_agreed_nothing_is_taken(
    session: Session, guardian: Browser, child: Membership
) -> None:
    session.execute(
        Guardianship.__table__.update().values(ended_at=datetime.now(UTC) - timedelta(days=1))  # type: ignore[attr-defined]  # a table
    )
    asked = factories.make_guardian(session, child, consents=False)
    asked.guardian_id = session.scalars(select(Guardianship.guardian_id)).first()
    session.commit()
    sent = {"handed": "left", "student_id": str(child.id)}
    refused = guardian.post("/submissions", sent)
    assert code_of(refused) == (409, "guardian_consent_missing")
    assert "You have not agreed yet" in refused.text


@pytest.fixture
def given(session: Session, child: Membership) -> dict[str, Any]:
    """An answer with a drill."""
    row = factories.make_given_drill(session, child)
    submission_id = session.get_one(Answer, row.answer_id).submission_id
    session.commit()
    return {"drill": row.id, "submission": submission_id}


def test_practice_is_ticked_and_the_question_asked(
    session: Session, guardian: Browser, child: Membership, given: dict[str, Any]
) -> None:
    place = f"/people/{child.id}/practice/{given['drill']}/{TODAY}"
    assert guardian.put(place, {"sets_done": 2}).ok()["today"]
    assert json.loads(guardian.get(f"/people/{child.id}/practice").text)["answer"]
    guardian.delete(place).ok()
    path = f"/submissions/{given['submission']}/question"
    asked = guardian.post(path, {"text": "Is it the grip?"}).ok()
    assert guardian.get(path).ok()["question"]["id"] == asked["id"]
    assert code_of(guardian.post(path, {"text": "And now?"})) == (409, "asked_already")


def test_the_reply_is_told_to_both(
    session: Session, guardian: Browser, coach: Browser, child: Membership, given: dict[str, Any]
) -> None:
    path = f"/submissions/{given['submission']}/question"
    asked = guardian.post(path, {"text": "Is it the grip?"}).ok()
    coach.post(f"/questions/{asked['id']}/reply", {"text": "It is."}).ok()
    assert set(session.scalars(select(Mail.kind))) == {"child_written_to", "replied"}


class TestAnothersChild:
    """Nothing of it is there for a guardian of one child, whatever they ask for."""

    def test_nothing_is_seen(
        self, stranger: Browser, guardian: Browser, child: Membership, given: dict[str, Any]
    ) -> None:
        for path in (
            f"/submissions/{started(guardian, child)}",
            f"/submissions/{given['submission']}/question",
            f"/people/{child.id}/practice",
            f"/people/{child.id}/progress",
            f"/people/{child.id}/consents",
            f"/people/{child.id}/exports",
            f"/clubs?student_id={child.id}",
            f"/clips/sent-before?length=5&student_id={child.id}",
        ):
            assert guardian.get(path).status_code == 200, path
            assert stranger.get(path).status_code == 404, path
        assert stranger.get("/submissions?limit=1").ok()["items"] == []
        seen = json.loads(stranger.get("/children").text)
        assert str(child.id) not in {one["membership_id"] for one in seen}

    def test_nothing_is_done(
        self,
        session: Session,
        stranger: Browser,
        guardian: Browser,
        child: Membership,
        given: dict[str, Any],
    ) -> None:
        submission_id = started(guardian, child)
        url = opened(guardian.client, submission_id, len(DATA)).headers["Location"]
        sent = {"handed": "left", "student_id": str(child.id)}
        assert stranger.post("/submissions", sent).status_code == 404
        assert opened(stranger.client, submission_id, 5).status_code == 404
        assert send(stranger.client, url, DATA).status_code == 404
        club = {"name": "x", "length_m": 0.9, "student_id": str(child.id)}
        assert stranger.post("/clubs", club).status_code == 404
        place = f"/people/{child.id}/practice/{given['drill']}/{TODAY}"
        assert stranger.put(place, {"sets_done": 1}).status_code == 404
        assert stranger.delete(place).status_code == 404
        question = f"/submissions/{given['submission']}/question"
        assert stranger.post(question, {"text": "Why?"}).status_code == 404
        assert stranger.post(f"/submissions/{submission_id}/withdraw").status_code == 404

    def test_nor_with_a_club_of_anothers(
        self, session: Session, stranger: Browser, guardian: Browser, child: Membership
    ) -> None:
        club = factories.make_club(session, child.person)
        session.commit()
        (mine,) = json.loads(stranger.get("/children").text)
        sent = {"handed": "left", "student_id": mine["membership_id"], "club_id": str(club.id)}
        assert stranger.post("/submissions", sent).status_code == 404

    @pytest.mark.parametrize("how", ["ended", "closed"])
    def test_nor_of_ones_own_when_it_is_over(
        self,
        session: Session,
        guardian: Browser,
        child: Membership,
        guardianship: Guardianship,
        how: str,
    ) -> None:
        submission_id = started(guardian, child)
        if how == "ended":
            guardianship.ended_at = datetime.now(UTC)
        else:
            child.deactivated_at = datetime.now(UTC)
        session.commit()
        sent = {"handed": "left", "student_id": str(child.id)}
        assert guardian.post("/submissions", sent).status_code == 404
        assert opened(guardian.client, submission_id, 5).status_code == 404


def test_a_student_cannot_act_as_another(
    session: Session, pupil: Browser, academy: Academy
) -> None:
    other = factories.make_member(session, academy=academy)
    session.commit()
    sent = {"handed": "left", "student_id": str(other.id)}
    assert pupil.post("/submissions", sent).status_code == 404
    assert pupil.get(f"/clubs?student_id={other.id}").status_code == 404

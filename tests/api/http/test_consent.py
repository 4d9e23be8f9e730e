"""Consent: nothing is taken, measured or said without it, and withdrawing it stops everything at once."""

from base64 import b64encode
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.analyses import clip_to_measure
from api.db.consents import standing_of
from api.db.jobs import enqueue
from api.db.models import (
    Academy,
    ConsentRecord,
    ConsentText,
    Guardianship,
    Job,
    Mail,
    Membership,
    Question,
    Review,
    StudentProfile,
    Submission,
)
from api.db.rows_of import delete_rows, rows_of_place
from api.domain.consent import ASK_AGAIN_WITHIN, Consent
from api.domain.names import Role
from api.domain.tasks import TaskName
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

WORDS = "The next text, with other content. " * 10


@pytest.fixture
def child(session: Session, academy: Academy) -> Membership:
    return factories.make_child(session, academy)


@pytest.fixture
def guardianship(session: Session, child: Membership) -> Guardianship:
    return factories.make_guardian(session, child, consents=False)


@pytest.fixture
def guardian(
    app: FastAPI, session: Session, guardianship: Guardianship, client: TestClient
) -> Browser:
    member = session.get_one(Membership, guardianship.guardian_id)
    return open_browser(app, session, member)


@pytest.fixture
def phone(app: FastAPI, session: Session, child: Membership, client: TestClient) -> Browser:
    return open_browser(app, session, child)


@pytest.fixture
def office(app: FastAPI, session: Session, academy: Academy, client: TestClient) -> Browser:
    return open_browser(app, session, factories.make_member(session, Role.ADMIN, academy=academy))


def text_for(browser: Browser, id_: object) -> str:
    return str(browser.get(f"/people/{id_}/consents").ok()["text"]["id"])


def decide(browser: Browser, id_: object, decision: str = "given") -> dict[str, Any]:
    sent = {"text_id": text_for(browser, id_), "decision": decision}
    return browser.post(f"/people/{id_}/consents", sent).ok()


def refused(answer: Any) -> tuple[int, str]:  # noqa: ANN401 - what was answered
    return answer.status_code, answer.json()["code"]


def start(browser: Browser) -> Any:  # noqa: ANN401 - what was answered
    return browser.post("/submissions", {"handed": "right"})


# ---------------------------------------------------------------- adults


def test_an_adult_agrees_before_the_first_clip(
    app: FastAPI, session: Session, academy: Academy, client: TestClient
) -> None:
    member = factories.make_member(session, academy=academy, joined=False)
    phone = open_browser(app, session, member)
    assert refused(start(phone)) == (409, "age_unknown")
    assert refused(
        phone.post(
            f"/people/{member.id}/consents",
            {"text_id": text_for(phone, member.id), "decision": "given"},
        )
    ) == (409, "age_unknown")
    phone.patch("/joining", {"adult": True}).ok()
    assert refused(start(phone)) == (409, "consent_missing")
    told = decide(phone, member.id)
    assert told["consent"] == "valid"
    assert told["records"][0]["text"]["version"] == 1
    assert start(phone).status_code == 201
    row = session.scalars(select(ConsentRecord).where(ConsentRecord.student_id == member.id)).one()
    assert (row.given_by, row.decision, row.source) == (member.id, "given", "testclient")


def test_saying_the_same_twice_is_one_record(
    pupil: Browser, student: Membership, session: Session
) -> None:
    decide(pupil, student.id)
    decide(pupil, student.id)
    rows = select(ConsentRecord).where(ConsentRecord.student_id == student.id)
    assert len(session.scalars(rows).all()) == 1


def test_an_upload_is_refused_once_consent_is_withdrawn(
    pupil: Browser, student: Membership
) -> None:
    submission = start(pupil).ok()
    pupil.post(f"/people/{student.id}/consents/withdraw").ok()
    answer = pupil.client.post(
        "/api/v1/uploads",
        headers={
            "Tus-Resumable": "1.0.0",
            "Upload-Length": "10",
            "Upload-Metadata": f"submission_id {_b64(submission['id'])},view {_b64('face-on')}",
        },
    )
    assert (answer.status_code, answer.json()["code"]) == (409, "consent_withdrawn")
    assert refused(start(pupil)) == (409, "consent_withdrawn")
    assert decide(pupil, student.id)["consent"] == "valid"
    assert start(pupil).status_code == 201


def _b64(text: object) -> str:

    return b64encode(str(text).encode()).decode()


def test_withdrawing_what_was_never_given(phone: Browser, child: Membership) -> None:
    answer = phone.post(f"/people/{child.id}/consents/withdraw")
    assert refused(answer) == (409, "nothing_to_withdraw")


# ---------------------------------------------------------------- children and guardians


def test_a_guardian_comes_in_by_mail_and_decides(
    app: FastAPI, session: Session, academy: Academy, client: TestClient
) -> None:
    member = factories.make_member(session, academy=academy, joined=False)
    phone = open_browser(app, session, member)
    phone.patch("/joining", {"born_on": "2016-02-03"}).ok()
    phone.put("/joining/guardian", {"name": "Jo", "email": "jo@example.org"}).ok()
    assert refused(start(phone)) == (409, "guardian_consent_missing")
    mail = session.scalars(select(Mail).where(Mail.to_address == "jo@example.org")).one()
    token = mail.body.partition("#guardian=")[2].split()[0]
    session.commit()
    assert client.post("/api/v1/guardian-acceptances", json={"token": "other"}).status_code == 410
    answer = client.post("/api/v1/guardian-acceptances", json={"token": token})
    assert answer.json()["active"]["role"] == "guardian"
    assert client.post("/api/v1/guardian-acceptances", json={"token": token}).status_code == 410
    assert refused(start(phone)) == (409, "guardian_consent_missing"), (
        "nothing is agreed to by coming in"
    )

    guardian = Browser(client)
    client.headers["X-CSRF-Token"] = answer.json()["csrf_token"]
    assert decide(guardian, member.id, "refused")["consent"] == "refused"
    assert refused(start(phone)) == (409, "consent_refused")
    assert decide(guardian, member.id)["consent"] == "valid"
    assert start(phone).status_code == 201
    assert phone.patch("/joining", {"to_know": "A weak wrist."}).status_code == 200


def test_a_child_does_not_decide_and_a_stranger_finds_nobody(
    phone: Browser, pupil: Browser, guardian: Browser, child: Membership
) -> None:
    sent = {"text_id": text_for(phone, child.id), "decision": "given"}
    assert refused(phone.post(f"/people/{child.id}/consents", sent)) == (403, "guardian_decides")
    assert pupil.post(f"/people/{child.id}/consents", sent).status_code == 404
    assert pupil.get(f"/people/{child.id}/consents").status_code == 404
    assert guardian.post(f"/people/{child.id}/consents", sent).status_code == 200


def test_a_child_may_stop_it_too(phone: Browser, guardian: Browser, child: Membership) -> None:
    decide(guardian, child.id)
    assert phone.post(f"/people/{child.id}/consents/withdraw").ok()["consent"] == "withdrawn"


def test_another_guardian_consents_anew(
    office: Browser, guardian: Browser, phone: Browser, child: Membership, session: Session
) -> None:
    decide(guardian, child.id)
    assert start(phone).status_code == 201
    answer = office.put(f"/people/{child.id}/guardian", {"name": "Al", "email": "al@example.org"})
    assert answer.ok()["came_in_at"] is None
    assert refused(start(phone)) == (409, "guardian_consent_missing")
    assert guardian.get(f"/people/{child.id}/consents").status_code == 404
    assert guardian.get("/submissions").ok()["items"] == []


def test_a_guardian_sees_their_childs_clips_and_no_others(
    guardian: Browser, child: Membership, student: Membership, session: Session, storage: Storage
) -> None:
    theirs = measured.make_measured(session, storage, child)
    other = measured.make_measured(session, storage, student)
    items = guardian.get("/submissions").ok()["items"]
    assert [one["id"] for one in items] == [str(theirs.id)]
    assert guardian.get(f"/submissions/{theirs.id}").ok()["clips"][0]["media"] is not None
    assert guardian.get(f"/submissions/{other.id}").status_code == 404


# ---------------------------------------------------------------- coaches


def _claimed(session: Session, coach: Browser, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(
        select(Review.id).where(Review.submission_id == submission.id)
    ).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def _send(coach: Browser, review: dict[str, Any]) -> Any:  # noqa: ANN401 - what was answered
    path = f"/reviews/{review['id']}"
    held = coach.patch(f"{path}/draft", {"text": "Stay."}, etag=review["version"]).ok()
    return coach.post(f"{path}/send", etag=held["version"])


def test_a_child_without_consent_gets_no_answer_and_no_request(
    coach: Browser, child: Membership, session: Session, storage: Storage
) -> None:
    review = _claimed(session, coach, measured.make_measured(session, storage, child))
    assert refused(_send(coach, review)) == (409, "guardian_missing")
    asked = {"causes": ["other"], "message": "Once more."}
    answer = coach.post(f"/reviews/{review['id']}/ask-refilm", asked)
    assert refused(answer) == (409, "guardian_missing")


def test_the_guardian_gets_word_of_what_a_coach_wrote(
    coach: Browser,
    guardian: Browser,
    guardianship: Guardianship,
    child: Membership,
    session: Session,
    storage: Storage,
) -> None:
    decide(guardian, child.id)
    review = _claimed(session, coach, measured.make_measured(session, storage, child))
    _send(coach, review).ok()
    mails = session.scalars(select(Mail).where(Mail.to_address == guardianship.email)).all()
    assert [(mail.about_id, mail.subject) for mail in mails] == [
        (child.id, "A coach wrote to your child")
    ]
    assert "Stay." not in mails[0].body, "no word of the answer in a mail"
    session.commit()
    submission = guardian.get("/submissions").ok()["items"][0]
    assert guardian.get(f"/submissions/{submission['id']}").ok()["answer"]["text"] == "Stay."


def test_a_reply_to_a_childs_question_reaches_the_guardian_too(
    coach: Browser,
    guardian: Browser,
    guardianship: Guardianship,
    phone: Browser,
    child: Membership,
    session: Session,
    storage: Storage,
) -> None:
    decide(guardian, child.id)
    submission = measured.make_measured(session, storage, child)
    _send(coach, _claimed(session, coach, submission)).ok()
    asked = phone.post(f"/submissions/{submission.id}/question", {"text": "How often?"}).ok()
    question_id = asked.get("id") or session.scalars(select(Question.id)).one()
    session.commit()
    coach.post(f"/questions/{question_id}/reply", {"text": "Daily."}).ok()
    mails = session.scalars(select(Mail).where(Mail.to_address == guardianship.email)).all()
    assert "replied" in mails[-1].body
    assert "Daily." not in mails[-1].body
    session.commit()
    told = guardian.get(f"/submissions/{submission.id}/question")
    assert "Daily." in told.text
    # Who withdrew hears no more of a coach.
    phone.post(f"/people/{child.id}/consents/withdraw").ok()
    assert coach.get("/questions").status_code == 200
    assert coach.post(f"/questions/{question_id}/reply", {"text": "More."}).status_code == 404


def test_the_queue_says_that_a_child_waits(
    coach: Browser, child: Membership, student: Membership, session: Session, storage: Storage
) -> None:
    measured.make_measured(session, storage, child)
    measured.make_measured(session, storage, student)
    items = coach.get("/reviews?state=waiting").ok()["items"]
    told = {
        one["student"]["name"] if "student" in one else one["student_name"]: [
            reason["code"] for reason in one["reasons"]
        ]
        for one in items
    }
    assert "child" in told[child.person.name]
    assert "child" not in told[student.person.name]
    narrowed = coach.get("/reviews?state=waiting&reason=child").ok()["items"]
    assert len(narrowed) == 1
    assert coach.get("/reviews/filters?state=waiting").ok()["reasons"]["child"] == 1


def test_a_coach_copies_their_own_words_for_a_while_and_none_of_who_is_erased(
    app: FastAPI,
    academy: Academy,
    coach: Browser,
    pupil: Browser,
    student: Membership,
    session: Session,
    storage: Storage,
) -> None:
    review = _claimed(session, coach, measured.make_measured(session, storage, student))
    url = f"/reviews/{review['id']}"
    draft = {"text": "Mind the set.", "later": ["Then the feet."]}
    coach.patch(f"{url}/draft", draft, etag=review["version"]).ok()
    assert refused(coach.get(f"{url}/own-words")) == (404, "not_found")
    pupil.post(f"/people/{student.id}/consents/withdraw").ok()
    own = coach.get(f"{url}/own-words").ok()
    assert set(own) == {"words", "until"}
    assert own["words"] == ["Mind the set.", "Then the feet."]
    other = open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))
    assert refused(other.get(f"{url}/own-words")) == (404, "not_found")

    profile = session.scalars(select(StudentProfile).filter_by(membership_id=student.id)).one()
    profile.stopped_at = datetime.now(UTC) - timedelta(days=14, minutes=1)
    session.commit()
    assert refused(coach.get(f"{url}/own-words")) == (404, "own_words_over")

    profile.stopped_because = "erasure"
    session.commit()
    gone = (404, "review_erased")
    assert (refused(coach.get(url)), refused(coach.get(f"{url}/own-words"))) == (gone, gone)
    delete_rows(session, rows_of_place(session, student.id))
    session.commit()
    assert (refused(coach.get(url)), refused(coach.get(f"{url}/own-words"))) == (gone, gone)
    assert refused(other.get(url)) == (404, "not_found")


def test_withdrawing_ends_what_is_open_and_hides_what_was_answered(
    app: FastAPI,
    academy: Academy,
    coach: Browser,
    office: Browser,
    pupil: Browser,
    student: Membership,
    session: Session,
    storage: Storage,
) -> None:
    answered = measured.make_measured(session, storage, student)
    _send(coach, _claimed(session, coach, answered)).ok()
    under_work = measured.make_measured(session, storage, student)
    review = _claimed(session, coach, under_work)
    arriving = factories.make_submission(session, student, state="analysing")
    clip = factories.make_clip(session, arriving)
    enqueue(session, TaskName.ANALYSE_CLIP, clip.id)
    session.commit()

    pupil.post(f"/people/{student.id}/consents/withdraw").ok()

    session.expire_all()
    assert session.get_one(Submission, under_work.id).state == "withdrawn"
    assert session.get_one(Submission, arriving.id).state == "withdrawn"
    assert session.get_one(Submission, answered.id).state == "answered"
    assert (
        session.scalars(select(Review.state).where(Review.submission_id == under_work.id)).one()
        == "closed"
    )
    job = session.scalars(select(Job).where(Job.subject_id == clip.id)).one()
    assert (job.state, job.fence) == ("refused", 1)
    assert clip_to_measure(session, clip.id) is None
    session.commit()
    # The coach sees nothing of the student any more, and cannot send.
    assert refused(coach.get(f"/reviews/{review['id']}")) == (404, "review_stopped")
    assert _try_send(coach, review) == 404
    # Who never had it does not learn that there is one.
    other = open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))
    strangers = factories.make_member(session, Role.COACH)
    for nobody in (other, open_browser(app, session, strangers)):
        assert refused(nobody.get(f"/reviews/{review['id']}")) == (404, "not_found")
    assert coach.get("/reviews?state=answered").ok()["items"] == []
    assert coach.get(f"/submissions/{answered.id}").status_code == 404
    assert office.get("/submissions").ok()["items"] == []
    # The student keeps the answer.
    assert pupil.get(f"/submissions/{answered.id}").ok()["answer"]["text"] == "Stay."
    # Given again, what was answered is seen again; what ended stays ended.
    decide(pupil, student.id)
    assert coach.get(f"/submissions/{answered.id}").status_code == 200
    assert pupil.get(f"/submissions/{under_work.id}").ok()["state"] == "withdrawn"


def _try_send(coach: Browser, review: dict[str, Any]) -> int:
    return coach.post(f"/reviews/{review['id']}/send", etag=review["version"]).status_code


# ---------------------------------------------------------------- texts


def test_a_new_text_asks_again_and_the_old_consent_holds_for_a_while(
    office: Browser, pupil: Browser, student: Membership, session: Session
) -> None:
    sent = {"audience": "adult", "bodies": {"en": WORDS, "de": WORDS + "!"}, "asks_again": True}
    rows = office.post("/consent-texts", sent)
    assert rows.status_code == 201
    told = pupil.get(f"/people/{student.id}/consents?locale=de-AT").ok()
    assert (told["consent"], told["ask_again"]) == ("valid", True)
    assert (told["text"]["version"], told["text"]["locale"]) == (2, "de")
    assert start(pupil).status_code == 201
    later = datetime.now(UTC) + ASK_AGAIN_WITHIN + timedelta(minutes=1)
    assert standing_of(session, student.id, later).consent is Consent.OUTDATED
    session.commit()
    old = session.scalars(
        select(ConsentText).where(ConsentText.version == 1, ConsentText.audience == "adult")
    ).one()
    stale = {"text_id": str(old.id), "decision": "given"}
    session.commit()
    assert refused(pupil.post(f"/people/{student.id}/consents", stale)) == (409, "text_replaced")
    told = decide(pupil, student.id)
    assert (told["consent"], told["ask_again"]) == ("valid", False)
    assert standing_of(session, student.id, later).consent is Consent.VALID


def test_a_slip_of_the_pen_asks_nobody_again(
    office: Browser, pupil: Browser, student: Membership, session: Session
) -> None:
    sent = {"audience": "adult", "bodies": {"en": WORDS}, "asks_again": False}
    office.post("/consent-texts", sent)
    told = pupil.get(f"/people/{student.id}/consents").ok()
    assert (told["consent"], told["ask_again"], told["text"]["version"]) == ("valid", False, 2)
    later = datetime.now(UTC) + ASK_AGAIN_WITHIN + timedelta(minutes=1)
    assert standing_of(session, student.id, later).consent is Consent.VALID


def test_another_academys_text_is_none_of_ours(
    app: FastAPI, pupil: Browser, student: Membership, session: Session
) -> None:
    elsewhere = factories.make_member(session, Role.ADMIN)
    theirs = open_browser(app, session, elsewhere)
    sent = {"audience": "adult", "bodies": {"en": WORDS}, "asks_again": True}
    theirs.post("/consent-texts", sent)
    assert pupil.get(f"/people/{student.id}/consents").ok()["text"]["version"] == 1
    row = session.scalars(
        select(ConsentText).where(ConsentText.academy_id == elsewhere.academy_id)
    ).one()
    foreign = {"text_id": str(row.id), "decision": "given"}
    session.commit()
    assert pupil.post(f"/people/{student.id}/consents", foreign).status_code == 404


def test_a_text_is_not_in_force_before_it_was_there(office: Browser) -> None:
    yesterday = (datetime.now(UTC) - timedelta(days=1)).isoformat()
    sent = {"audience": "adult", "bodies": {"en": WORDS}, "asks_again": True}
    answer = office.post("/consent-texts", {**sent, "valid_from": yesterday})
    assert refused(answer) == (422, "invalid")
    assert office.post("/consent-texts", {**sent, "bodies": {"en": "Short."}}).status_code == 422
    assert office.post("/consent-texts", {**sent, "bodies": {"English": WORDS}}).status_code == 422

"""Coming in by a mailed link, as a browser does it."""

import re
import statistics
import time
from collections.abc import Callable
from datetime import timedelta

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pydantic import SecretStr
from sqlalchemy import event, select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import AuditEvent, Job, Mail, Membership, SignInLink, SignInSession
from api.domain.names import Role
from api.domain.secrets import digest
from api.http.app import create_app
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from api.settings import Settings
from tests import factories

SignIn = Callable[[Membership], TestClient]


def ask(client: TestClient, email: str) -> int:
    return client.post("/api/v1/sign-in-links", json={"email": email}).status_code


def mailed_token(session: Session, kind: str = "token") -> str:
    body = session.scalars(select(Mail.body).order_by(Mail.id.desc())).first()
    session.commit()  # even a read holds SQLite's one lock until it ends
    assert body is not None
    found = re.search(rf"/sign-in#{kind}=(\S+)", body)
    assert found is not None
    return found[1]


@pytest.fixture
def student(session: Session) -> Membership:
    member = factories.make_member(
        session, person=factories.make_person(session, email="ana@example.org", name="Ana")
    )
    session.commit()
    return member


@pytest.fixture
def no_wait(monkeypatch: pytest.MonkeyPatch) -> None:
    """For tests that ask many times and do not look at the clock."""
    monkeypatch.setattr("api.http.sign_in.ANSWER_NO_SOONER_S", 0.0)


def test_a_link_is_mailed_confirmed_and_signs_in(
    client: TestClient, session: Session, student: Membership
) -> None:
    assert ask(client, "  Ana@Example.ORG ") == 202
    answer = client.post("/api/v1/sessions", json={"token": mailed_token(session)})
    assert answer.status_code == 200
    me = answer.json()
    assert me["person"] == {
        "id": str(student.person_id),
        "name": "Ana",
        "email": "ana@example.org",
    }
    assert me["active"]["id"] == str(student.id)
    assert me["csrf_token"]
    assert client.get("/api/v1/me").json() == me


def test_the_mail_is_a_job_for_a_worker(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    mail = session.scalars(select(Mail)).one()
    job = session.scalars(select(Job)).one()
    assert (job.name, job.subject_id, job.state) == ("send_mail", mail.id, "queued")
    assert mail.to_address == "ana@example.org"


def test_only_the_digest_of_a_link_is_stored(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    token = mailed_token(session)
    link = session.scalars(select(SignInLink)).one()
    assert link.token_sha256 == digest(token)
    assert token not in str(vars(link))
    assert len(token) >= 43  # 256 bits


def test_opening_the_page_does_not_spend_the_link(
    client: TestClient, session: Session, student: Membership
) -> None:
    # Mail scanners fetch every address in a mail. The token is in the fragment, which is never
    # sent, and nothing answers a GET with it.
    ask(client, student.person.email)
    token = mailed_token(session)
    client.get("/sign-in")
    assert client.get("/api/v1/sessions", params={"token": token}).status_code == 405
    assert client.post("/api/v1/sessions", json={"token": token}).status_code == 200


def test_a_link_works_once(client: TestClient, session: Session, student: Membership) -> None:
    ask(client, student.person.email)
    token = mailed_token(session)
    client.post("/api/v1/sessions", json={"token": token})
    again = client.post("/api/v1/sessions", json={"token": token})
    assert (again.status_code, again.json()["code"]) == (410, "link_spent")
    assert "used already" in again.json()["detail"]


def test_an_expired_link_says_what_to_do(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    token = mailed_token(session)
    session.scalars(select(SignInLink)).one().expires_at = utc_now() - timedelta(seconds=1)
    session.commit()
    answer = client.post("/api/v1/sessions", json={"token": token})
    assert (answer.status_code, answer.json()["code"]) == (410, "link_spent")
    assert "Enter your mail address on the sign-in page" in answer.json()["detail"]


def test_an_unknown_link_is_spent_too(client: TestClient) -> None:
    answer = client.post("/api/v1/sessions", json={"token": "never-made"})
    assert (answer.status_code, answer.json()["code"]) == (410, "link_spent")


def test_unknown_and_closed_addresses_are_answered_alike_and_get_no_mail(
    client: TestClient, session: Session, student: Membership
) -> None:
    closed = factories.make_member(session, deactivated_at=utc_now())
    session.commit()
    answers = [
        client.post("/api/v1/sign-in-links", json={"email": email})
        for email in ("nobody@example.org", closed.person.email, student.person.email)
    ]
    assert {(answer.status_code, answer.text) for answer in answers} == {(202, "null")}
    assert [mail.to_address for mail in session.scalars(select(Mail))] == ["ana@example.org"]


def test_answers_take_the_same_time_whether_the_address_is_known(
    client: TestClient, app: FastAPI, student: Membership
) -> None:
    def commit_slowly(session: Session) -> None:
        if any(isinstance(row, SignInLink) for row in session):
            time.sleep(0.15)

    event.listen(app.state.session_factory, "before_commit", commit_slowly)

    def seconds(email: str) -> float:
        started = time.perf_counter()
        assert ask(client, email) == 202
        return time.perf_counter() - started

    known = [seconds(student.person.email) for _ in range(4)]
    unknown = [seconds("nobody@example.org") for _ in range(4)]
    assert min(known + unknown) >= 0.25
    assert abs(statistics.median(known) - statistics.median(unknown)) < 0.1


@pytest.mark.usefixtures("no_wait")
def test_asking_too_often_is_refused_alike_for_known_and_unknown(
    client: TestClient, student: Membership
) -> None:
    for email in (student.person.email, "nobody@example.org"):
        assert [ask(client, email) for _ in range(5)] == [202] * 5
        answer = client.post("/api/v1/sign-in-links", json={"email": email})
        assert (answer.status_code, answer.json()["code"]) == (429, "too_many_requests")
        assert 0 < int(answer.headers["Retry-After"]) <= 15 * 60


@pytest.mark.usefixtures("no_wait")
def test_one_caller_cannot_ask_for_everybody(client: TestClient) -> None:
    answers = [ask(client, f"person{number}@example.org") for number in range(31)]
    assert answers == [202] * 30 + [429]


@pytest.mark.usefixtures("no_wait")
def test_somebody_else_can_still_sign_in_meanwhile(client: TestClient, student: Membership) -> None:
    for _ in range(6):
        ask(client, "nobody@example.org")
    assert ask(client, student.person.email) == 202


@pytest.mark.parametrize(
    "email",
    ["", "ana", "ana@", "@example.org", "ana@example", "a b@example.org", "a@b..org",
     "ana@example.org\n", "žana@example.org", "ana@example.org" + "x" * 300],
)  # fmt: skip
def test_what_is_no_address_is_refused_in_words(client: TestClient, email: str) -> None:
    answer = client.post("/api/v1/sign-in-links", json={"email": email})
    if email.strip() == "ana@example.org":  # space around an address is a slip of the thumb
        assert answer.status_code == 202
        return
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["where"] == "body.email"


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    answer = client.post("/api/v1/sessions", json={"token": mailed_token(session)})
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith(f"{SESSION_COOKIE}=")
    parts = {part.strip().lower() for part in cookie.split(";")[1:]}
    assert {"httponly", "samesite=lax", "path=/", "max-age=2592000"} <= parts
    assert "secure" not in parts  # this app is served over plain http


def test_over_https_the_cookie_is_secure(
    settings: Settings, session: Session, student: Membership
) -> None:
    safe = settings.model_copy(update={"base_url": "https://fairlead.test"})
    with TestClient(create_app(safe), base_url="https://fairlead.test") as client:
        ask(client, student.person.email)
        answer = client.post("/api/v1/sessions", json={"token": mailed_token(session)})
    assert "; Secure" in answer.headers["Set-Cookie"]


def test_only_the_digest_of_a_session_is_stored(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    client.post("/api/v1/sessions", json={"token": mailed_token(session)})
    row = session.scalars(select(SignInSession)).one()
    assert row.token_sha256 == digest(client.cookies[SESSION_COOKIE])


def test_signing_out_ends_the_session_for_good(
    session: Session, student: Membership, as_member: SignIn
) -> None:
    client = as_member(student)
    cookie = client.cookies[SESSION_COOKIE]
    answer = client.delete("/api/v1/sessions/current")
    assert answer.status_code == 204
    assert "Max-Age=0" in answer.headers["Set-Cookie"]
    client.cookies.set(SESSION_COOKIE, cookie)
    assert client.get("/api/v1/me").status_code == 401


def test_a_session_ends_by_itself(
    client: TestClient, session: Session, student: Membership
) -> None:
    signed_in = factories.make_session(
        session, student, expires_at=utc_now() - timedelta(seconds=1)
    )
    session.commit()
    client.cookies.set(SESSION_COOKIE, signed_in.cookie)
    assert client.get("/api/v1/me").status_code == 401


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Origin": "http://fairlead.test"}, 200),
        ({"Origin": "https://evil.example"}, 403),
        ({"Origin": "null"}, 403),
        ({"Origin": "http://fairlead.test.evil.example"}, 403),
        ({"Sec-Fetch-Site": "same-origin"}, 200),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({CSRF_HEADER: "wrong"}, 403),
    ],
)
def test_another_sites_page_changes_nothing(
    student: Membership, as_member: SignIn, headers: dict[str, str], status: int
) -> None:
    client = as_member(student)
    answer = client.patch("/api/v1/me", json={"handed": "left"}, headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert answer.json()["code"] == "csrf"
        assert client.get("/api/v1/me").json()["handed"] == "right"


def test_another_sites_page_cannot_sign_a_visitor_in(
    client: TestClient, session: Session, student: Membership
) -> None:
    # Otherwise a student could be made to send clips into a stranger's account.
    ask(client, student.person.email)
    answer = client.post(
        "/api/v1/sessions",
        json={"token": mailed_token(session)},
        headers={"Origin": "https://evil.example"},
    )
    assert (answer.status_code, answer.json()["code"]) == (403, "csrf")


def test_a_returning_person_acts_where_they_acted_last(
    client: TestClient, session: Session
) -> None:
    person = factories.make_person(session)
    factories.make_member(session, Role.STUDENT, person=person)
    coach = factories.make_member(session, Role.COACH, person=person)
    factories.make_session(session, coach)
    session.commit()
    ask(client, person.email)
    me = client.post("/api/v1/sessions", json={"token": mailed_token(session)}).json()
    assert me["active"]["id"] == str(coach.id)
    assert len(me["memberships"]) == 2


def test_a_link_of_somebody_closed_meanwhile_does_not_let_in(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    token = mailed_token(session)
    student.deactivated_at = utc_now()
    session.merge(student)
    session.commit()
    answer = client.post("/api/v1/sessions", json={"token": token})
    assert (answer.status_code, answer.json()["code"]) == (403, "deactivated")


def test_signing_in_is_in_the_audit_trail_with_the_requests_id(
    client: TestClient, session: Session, student: Membership
) -> None:
    ask(client, student.person.email)
    answer = client.post("/api/v1/sessions", json={"token": mailed_token(session)})
    trail = session.scalars(select(AuditEvent)).one()
    assert (trail.act, trail.subject_id) == ("session.opened", student.id)
    assert trail.request_id == answer.headers["X-Request-Id"]


def test_production_refuses_the_development_secret() -> None:
    with pytest.raises(ValueError, match="FAIRLEAD_SECRET"):
        Settings(development=False)
    Settings(development=False, secret=SecretStr("long and random"))

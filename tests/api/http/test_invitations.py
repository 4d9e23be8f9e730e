"""Inviting people into an academy."""

import json
import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import AuditEvent, Invitation, Mail, Membership, Person
from api.domain.names import Role
from api.domain.secrets import digest
from tests import factories

SignIn = Callable[[Membership], TestClient]
ANA = {"email": "Ana@Example.org", "name": "Ana Horvat", "role": "student"}


@pytest.fixture
def admin(session: Session) -> Membership:
    return factories.make_member(session, Role.ADMIN)


@pytest.fixture
def office(admin: Membership, as_member: SignIn) -> TestClient:
    """A browser in which the admin is signed in."""
    return as_member(admin)


def mailed_tokens(session: Session) -> list[str]:
    bodies = session.scalars(select(Mail.body).order_by(Mail.id)).all()
    session.commit()
    return re.findall(r"/sign-in#invitation=(\S+)", "\n".join(bodies))


def accept(client: TestClient, token: str, **more: str) -> dict[str, object]:
    client.cookies.clear()
    answer = client.post("/api/v1/invitation-acceptances", json={"token": token, **more})
    return {"status": answer.status_code, **answer.json()}


def test_whoever_comes_in_reads_what_the_academy_wrote_until_they_choose(
    office: TestClient, admin: Membership, session: Session
) -> None:
    sent = office.post("/api/v1/invitations", json={**ANA, "language": "DE-at"})
    assert sent.json()["language"] == "de-AT"
    (token,) = mailed_tokens(session)
    assert accept(office, token)["language"] == "de-AT"
    person = session.scalars(select(Person).where(Person.email == "ana@example.org")).one()
    person.language = "ar-EG"
    session.commit()
    other = factories.make_member(session, Role.ADMIN)
    again = factories.saved(
        session,
        Invitation(
            academy_id=other.academy_id,
            email="ana@example.org",
            name="Ana",
            role="student",
            language="fr",
            token_sha256=digest("again"),
            expires_at=utc_now() + timedelta(days=1),
        ),
    )
    session.commit()
    assert again.language == "fr"
    assert accept(office, "again")["language"] == "ar-EG"


def test_without_a_language_the_academys_holds(office: TestClient, session: Session) -> None:
    assert office.post("/api/v1/invitations", json=ANA).json()["language"] is None
    (token,) = mailed_tokens(session)
    me = accept(office, token)
    assert me["language"] is None
    assert me["active"]["language"] == "en-GB"  # type: ignore[index]  # JSON


@pytest.mark.parametrize("language", ["german", "de_AT", "", "x" * 36])
def test_an_invitation_in_what_is_no_language_is_refused(office: TestClient, language: str) -> None:
    answer = office.post("/api/v1/invitations", json={**ANA, "language": language})
    assert answer.status_code == 422
    assert "language" in json.dumps(answer.json())


def test_the_letter_prints_no_date(office: TestClient, session: Session) -> None:
    office.post("/api/v1/invitations", json=ANA)
    (body,) = session.scalars(select(Mail.body)).all()
    assert "within 7 days of this mail" in body
    assert re.findall(r"\d{4}|\d:\d", body.split("#")[0] + body.split("\n")[-2]) == []


def test_an_invitation_is_mailed_taken_up_and_signs_in(
    office: TestClient, admin: Membership, session: Session
) -> None:
    answer = office.post("/api/v1/invitations", json=ANA)
    assert answer.status_code == 201
    assert answer.json()["email"] == "ana@example.org"
    (token,) = mailed_tokens(session)
    me = accept(office, token)
    assert me["status"] == 200
    assert me["person"]["name"] == "Ana Horvat"  # type: ignore[index]  # JSON
    assert me["active"]["academy_id"] == str(admin.academy_id)  # type: ignore[index]  # JSON
    assert me["active"]["role"] == "student"  # type: ignore[index]  # JSON
    assert office.get("/api/v1/me").status_code == 200


def test_only_the_digest_is_stored(office: TestClient, session: Session) -> None:
    office.post("/api/v1/invitations", json=ANA)
    (token,) = mailed_tokens(session)
    assert session.scalars(select(Invitation)).one().token_sha256 == digest(token)


def test_the_invited_may_correct_their_name(office: TestClient, session: Session) -> None:
    office.post("/api/v1/invitations", json=ANA)
    (token,) = mailed_tokens(session)
    me = accept(office, token, name=" Ana  Horvat-Kos ")
    assert me["person"]["name"] == "Ana  Horvat-Kos"  # type: ignore[index]  # JSON


def test_an_invitation_works_once(office: TestClient, session: Session) -> None:
    office.post("/api/v1/invitations", json=ANA)
    (token,) = mailed_tokens(session)
    accept(office, token)
    again = accept(office, token)
    assert (again["status"], again["code"]) == (410, "link_spent")
    assert "accepted already" in str(again["detail"])


def test_expired_withdrawn_and_unknown_invitations_say_what_to_do(
    office: TestClient, session: Session
) -> None:
    first = office.post("/api/v1/invitations", json=ANA).json()
    office.post("/api/v1/invitations", json=ANA | {"email": "bo@example.org"})
    withdrawn, expired = mailed_tokens(session)
    assert office.delete(f"/api/v1/invitations/{first['id']}").status_code == 204
    row = session.scalars(select(Invitation).where(Invitation.email == "bo@example.org")).one()
    row.expires_at = utc_now() - timedelta(seconds=1)
    session.commit()
    for token, words in (
        (withdrawn, "withdrawn"),
        (expired, "Ask your academy to send it again"),
        ("never-made", "Use the newest mail"),
    ):
        answer = accept(office, token)
        assert (answer["status"], answer["code"]) == (410, "link_spent")
        assert words in str(answer["detail"])


def test_sending_again_renews_the_link_and_ends_the_old_one(
    office: TestClient, session: Session
) -> None:
    sent = office.post("/api/v1/invitations", json=ANA).json()
    row = session.scalars(select(Invitation)).one()
    row.expires_at = utc_now() - timedelta(days=1)
    session.commit()
    again = office.post(f"/api/v1/invitations/{sent['id']}/resend")
    assert again.status_code == 200
    assert again.json()["expires_at"] > sent["created_at"]
    old, new = mailed_tokens(session)
    assert accept(office, old)["status"] == 410
    assert accept(office, new)["status"] == 200


def test_a_second_open_invitation_is_refused(office: TestClient) -> None:
    office.post("/api/v1/invitations", json=ANA)
    answer = office.post("/api/v1/invitations", json=ANA)
    assert (answer.status_code, answer.json()["code"]) == (409, "already_invited")
    assert office.post("/api/v1/invitations", json=ANA | {"role": "coach"}).status_code == 201


def test_members_are_not_invited_again(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    ana = factories.make_member(session, academy=admin.academy)
    bo = factories.make_member(session, academy=admin.academy, deactivated_at=utc_now())
    office = as_member(admin)
    for member, words in ((ana, "already"), (bo, "Open that place again")):
        answer = office.post(
            "/api/v1/invitations",
            json={"email": member.person.email, "name": "X", "role": "student"},
        )
        assert (answer.status_code, answer.json()["code"]) == (409, "already_member")
        assert words in answer.json()["detail"]


def test_somebody_of_another_academy_keeps_one_account(
    session: Session, office: TestClient
) -> None:
    elsewhere = factories.make_member(session, Role.COACH)
    session.commit()
    office.post("/api/v1/invitations", json=ANA | {"email": elsewhere.person.email})
    (token,) = mailed_tokens(session)
    me = accept(office, token)
    assert me["person"]["id"] == str(elsewhere.person_id)  # type: ignore[index]  # JSON
    assert me["person"]["name"] == elsewhere.person.name  # type: ignore[index]  # JSON
    assert len(me["memberships"]) == 2  # type: ignore[arg-type]  # JSON
    found = session.scalars(select(Person).where(Person.email == elsewhere.person.email))
    assert len(found.all()) == 1


def test_the_list_holds_open_invitations_only(office: TestClient, session: Session) -> None:
    for number in range(3):
        office.post("/api/v1/invitations", json=ANA | {"email": f"p{number}@example.org"})
    listed = office.get("/api/v1/invitations").json()
    assert [row["email"] for row in listed] == [f"p{n}@example.org" for n in (2, 1, 0)]
    office.delete(f"/api/v1/invitations/{listed[0]['id']}")
    assert len(office.get("/api/v1/invitations").json()) == 2
    assert office.delete(f"/api/v1/invitations/{listed[0]['id']}").status_code == 404


def test_repeating_a_request_with_its_key_mails_once(office: TestClient, session: Session) -> None:
    headers = {"Idempotency-Key": "tap-tap"}
    first = office.post("/api/v1/invitations", json=ANA, headers=headers)
    again = office.post("/api/v1/invitations", json=ANA, headers=headers)
    assert (again.status_code, again.json()) == (201, first.json())
    assert again.headers["Idempotency-Replayed"] == "true"
    assert "Idempotency-Replayed" not in first.headers
    assert len(mailed_tokens(session)) == 1
    other = office.post("/api/v1/invitations", json=ANA | {"name": "B"}, headers=headers)
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")


def test_the_trail_tells_who_invited_without_naming_the_invited(
    office: TestClient, admin: Membership, session: Session
) -> None:
    sent = office.post("/api/v1/invitations", json=ANA).json()
    event = session.scalars(select(AuditEvent).where(AuditEvent.act == "invitation.sent")).one()
    assert (event.actor_id, str(event.subject_id)) == (admin.id, sent["id"])
    assert "ana" not in str(event.after).lower()


@pytest.mark.parametrize(
    "wrong",
    [
        {"role": "owner"},
        {"name": ""},
        {"name": "a\nBcc: x@example.org"},
        {"name": "nul\x00"},
        {"name": "half \ud800"},
        {"name": "x" * 121},
        {"surprise": 1},
    ],
)
def test_what_cannot_be_accepted_is_named(office: TestClient, wrong: dict[str, object]) -> None:
    answer = office.post(
        "/api/v1/invitations",
        content=json.dumps(ANA | wrong),  # ASCII, so that half a surrogate pair gets through
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["where"] == f"body.{next(iter(wrong))}"

"""API tokens: made by their owner on a page, narrower than their owner."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import ApiToken, Membership
from api.domain.actors import SCOPES_OF_ROLE, Scope
from api.domain.names import Role
from api.domain.secrets import digest
from api.http.deps import CSRF_HEADER
from tests import factories

SignIn = Callable[[Membership], TestClient]
WANTED = {"name": "range camera", "scopes": ["clips:read", "clips:write"]}


@pytest.fixture
def student(session: Session) -> Membership:
    return factories.make_member(session)


def by_token(client: TestClient, secret: str) -> TestClient:
    """The same app, called by a program: no cookie, no CSRF header."""
    client.cookies.clear()
    client.headers.pop(CSRF_HEADER, None)
    client.headers["Authorization"] = f"Bearer {secret}"
    return client


def test_the_secret_is_shown_once_and_stored_nowhere(
    student: Membership, as_member: SignIn, session: Session
) -> None:
    phone = as_member(student)
    made = phone.post("/api/v1/tokens", json=WANTED | {"expires_in_days": 30})
    assert made.status_code == 201
    secret = made.json()["secret"]
    assert secret.startswith("flt_")
    assert len(secret) >= 47
    row = session.scalars(select(ApiToken)).one()
    assert row.token_sha256 == digest(secret)
    assert secret not in str(vars(row))
    session.commit()
    listed = phone.get("/api/v1/tokens").json()
    assert [token["id"] for token in listed] == [made.json()["id"]]
    assert "secret" not in listed[0]


def test_a_token_works_without_a_csrf_token_and_notes_its_use(
    student: Membership, as_member: SignIn, session: Session
) -> None:
    secret = as_member(student).post("/api/v1/tokens", json=WANTED).json()["secret"]
    camera = by_token(as_member(student), secret)
    answer = camera.post("/api/v1/clubs", json={"name": "7 iron", "length_m": 0.94})
    assert answer.status_code == 201
    used_at = session.scalars(select(ApiToken.last_used_at)).one()
    assert used_at is not None
    assert utc_now() - used_at < timedelta(minutes=1)


def test_a_token_does_not_make_or_list_tokens(student: Membership, as_member: SignIn) -> None:
    secret = as_member(student).post("/api/v1/tokens", json=WANTED).json()["secret"]
    camera = by_token(as_member(student), secret)
    for answer in (camera.get("/api/v1/tokens"), camera.post("/api/v1/tokens", json=WANTED)):
        assert (answer.status_code, answer.json()["code"]) == (403, "scope_missing")


def test_revoked_expired_and_invented_tokens_are_nobody(
    student: Membership, as_member: SignIn, session: Session
) -> None:
    phone = as_member(student)
    made = phone.post("/api/v1/tokens", json=WANTED).json()
    assert phone.delete(f"/api/v1/tokens/{made['id']}").status_code == 204
    assert phone.delete(f"/api/v1/tokens/{made['id']}").status_code == 404
    assert phone.get("/api/v1/tokens").json() == []
    expired = factories.make_token(
        session, student, Scope.CLIPS_READ, expires_at=utc_now() - timedelta(seconds=1)
    )
    session.commit()
    for secret in (made["secret"], expired, "flt_invented", ""):
        answer = by_token(phone, secret).get("/api/v1/clubs")
        assert (answer.status_code, answer.json()["code"]) == (401, "not_signed_in")


def test_other_authorization_schemes_are_refused(student: Membership, as_member: SignIn) -> None:
    # A cookie beside it must not rescue a wrong header: the caller would not notice.
    phone = as_member(student)
    answer = phone.get("/api/v1/clubs", headers={"Authorization": "Basic YTpi"})
    assert answer.status_code == 401


@pytest.mark.parametrize("role", list(Role))
def test_scopes_the_owner_cannot_use_are_refused(
    role: Role, session: Session, as_member: SignIn
) -> None:
    client = as_member(factories.make_member(session, role))
    for scope in Scope:
        answer = client.post("/api/v1/tokens", json={"name": "x", "scopes": [scope.value]})
        allowed = scope in SCOPES_OF_ROLE[role]
        assert answer.status_code == (201 if allowed else 422)
        if not allowed:
            assert scope.value in answer.json()["detail"]


@pytest.mark.parametrize(
    "wrong", [{"scopes": []}, {"scopes": ["all"]}, {"name": " "}, {"expires_in_days": 0}]
)
def test_a_token_needs_a_name_and_scopes(
    student: Membership, as_member: SignIn, wrong: dict[str, object]
) -> None:
    answer = as_member(student).post("/api/v1/tokens", json=WANTED | wrong)
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["where"].startswith(f"body.{next(iter(wrong))}")


def test_tokens_cannot_pile_up(student: Membership, as_member: SignIn, session: Session) -> None:
    for _ in range(20):
        factories.make_token(session, student, Scope.CLIPS_READ)
    answer = as_member(student).post("/api/v1/tokens", json=WANTED)
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict")

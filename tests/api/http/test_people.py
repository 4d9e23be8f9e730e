"""The people of an academy, as each role sees them."""

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import AuditEvent, Membership
from api.domain.actors import Scope
from api.domain.names import Role
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from tests import factories

SignIn = Callable[[Membership], TestClient]


@pytest.fixture
def admin(session: Session) -> Membership:
    return factories.make_member(session, Role.ADMIN)


@pytest.fixture
def coach(session: Session, admin: Membership) -> Membership:
    return factories.make_member(session, Role.COACH, academy=admin.academy)


@pytest.fixture
def student(session: Session, admin: Membership) -> Membership:
    return factories.make_member(session, Role.STUDENT, academy=admin.academy)


def listed(client: TestClient, **query: object) -> set[str]:
    answer = client.get("/api/v1/people", params=query)  # type: ignore[arg-type]  # str or int
    return {row["membership_id"] for row in answer.json()["items"]}


def ids(*members: Membership) -> set[str]:
    return {str(member.id) for member in members}


def test_an_admin_sees_everybody_of_the_academy_and_nobody_else(
    session: Session, admin: Membership, coach: Membership, student: Membership, as_member: SignIn
) -> None:
    factories.make_member(session)  # somewhere else
    office = as_member(admin)
    assert listed(office) == ids(admin, coach, student)
    assert listed(office, role="coach") == ids(coach)
    row = office.get("/api/v1/people", params={"role": "student"}).json()["items"][0]
    assert row["email"] == student.person.email


def test_a_coach_sees_students_and_no_addresses(
    session: Session, admin: Membership, coach: Membership, student: Membership, as_member: SignIn
) -> None:
    factories.make_member(session, Role.COACH, academy=admin.academy)
    desk = as_member(coach)
    assert listed(desk) == ids(coach, student)
    rows = desk.get("/api/v1/people").json()["items"]
    assert [row["email"] for row in rows] == [None, None]


def test_the_list_comes_in_pages_that_miss_and_repeat_nobody(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    members = [factories.make_member(session, academy=admin.academy) for _ in range(6)]
    office = as_member(admin)
    seen: list[str] = []
    cursor: str | None = None
    pages = 0
    while pages == 0 or cursor:
        query = {"limit": 3} | ({"cursor": cursor} if cursor else {})
        page = office.get("/api/v1/people", params=query).json()
        seen += [row["membership_id"] for row in page["items"]]
        cursor = page["next_cursor"]
        pages += 1
    assert pages == 3
    assert seen == [str(member.id) for member in (admin, *members)]


@pytest.mark.parametrize("query", [{"limit": 0}, {"limit": 201}, {"cursor": "x"}, {"role": "x"}])
def test_nonsense_in_the_query_is_refused(
    admin: Membership, as_member: SignIn, query: dict[str, str]
) -> None:
    answer = as_member(admin).get("/api/v1/people", params=query)
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["where"] == f"query.{next(iter(query))}"


def test_closing_a_place_signs_out_and_ends_tokens_and_opening_it_does_not_revive_them(
    session: Session, admin: Membership, student: Membership, as_member: SignIn
) -> None:
    browser = factories.make_session(session, student)
    token = factories.make_token(session, student, Scope.CLIPS_READ)
    office = as_member(admin)
    path = f"/api/v1/people/{student.id}"

    def reach() -> list[int]:
        with TestClient(office.app, base_url="http://fairlead.test") as other:
            other.cookies.set(SESSION_COOKIE, browser.cookie)
            by_cookie = other.get("/api/v1/clubs").status_code
            other.cookies.clear()
            headers = {"Authorization": f"Bearer {token}"}
            return [by_cookie, other.get("/api/v1/clubs", headers=headers).status_code]

    assert reach() == [200, 200]
    closed = office.post(f"{path}/deactivate")
    assert closed.status_code == 200
    assert closed.json()["deactivated_at"] is not None
    assert reach() == [401, 401]
    assert office.post(f"{path}/deactivate").json() == closed.json()
    assert office.post(f"{path}/reactivate").json()["deactivated_at"] is None
    assert reach() == [401, 401]
    acts = session.scalars(select(AuditEvent.act).order_by(AuditEvent.id)).all()
    assert acts == ["membership.closed", "membership.opened"]


def test_the_last_admin_cannot_be_closed(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    office = as_member(admin)
    answer = office.post(f"/api/v1/people/{admin.id}/deactivate")
    assert (answer.status_code, answer.json()["code"]) == (409, "last_admin")
    assert office.get("/api/v1/me").status_code == 200
    factories.make_member(session, Role.ADMIN, academy=admin.academy)
    session.commit()
    assert office.post(f"/api/v1/people/{admin.id}/deactivate").status_code == 200
    assert office.get("/api/v1/me").status_code == 401


def test_an_admin_elsewhere_does_not_count(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    factories.make_member(session, Role.ADMIN)
    answer = as_member(admin).post(f"/api/v1/people/{admin.id}/deactivate")
    assert answer.json()["code"] == "last_admin"


def test_a_person_with_two_places_acts_in_one_at_a_time(
    session: Session, admin: Membership, coach: Membership, as_member: SignIn
) -> None:
    elsewhere = factories.make_member(session, Role.STUDENT, person=coach.person)
    desk = as_member(coach)
    assert desk.get("/api/v1/clubs").status_code == 403
    me = desk.put("/api/v1/me/active", json={"membership_id": str(elsewhere.id)}).json()
    assert me["active"]["id"] == str(elsewhere.id)
    assert me["active"]["academy_id"] == str(elsewhere.academy_id)
    assert desk.get("/api/v1/clubs").status_code == 200
    assert desk.get("/api/v1/people").status_code == 403


def test_nobody_acts_in_a_place_that_is_closed_or_not_theirs(
    session: Session, coach: Membership, admin: Membership, as_member: SignIn
) -> None:
    closed = factories.make_member(session, person=coach.person, deactivated_at=admin.created_at)
    desk = as_member(coach)
    for place in (closed.id, admin.id, factories.unknown_id()):
        answer = desk.put("/api/v1/me/active", json={"membership_id": str(place)})
        assert (answer.status_code, answer.json()["code"]) == (404, "not_found")
    assert desk.get("/api/v1/me").json()["active"]["id"] == str(coach.id)


def test_the_profile_changes_what_is_sent_and_nothing_else(
    student: Membership, as_member: SignIn
) -> None:
    phone = as_member(student)
    before = phone.get("/api/v1/me").json()
    me = phone.patch("/api/v1/me", json={"stature_m": 1.78, "handed": "left"}).json()
    assert (me["stature_m"], me["handed"]) == (1.78, "left")
    assert me["person"] == before["person"]
    assert phone.patch("/api/v1/me", json={"name": "New Name"}).json()["stature_m"] == 1.78
    assert phone.patch("/api/v1/me", json={"stature_m": None}).json()["stature_m"] is None


@pytest.mark.parametrize("body", [b'{"stature_m": NaN}', b'{"stature_m": 1e999}', b"{", b"[]"])
def test_numbers_that_are_none_and_broken_json_are_422(
    student: Membership, as_member: SignIn, body: bytes
) -> None:
    answer = as_member(student).patch(
        "/api/v1/me", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "NaN" not in answer.text


def test_a_browser_must_send_its_own_csrf_token(
    session: Session, student: Membership, admin: Membership, as_member: SignIn
) -> None:
    others = factories.make_session(session, admin)
    phone = as_member(student)
    phone.headers[CSRF_HEADER] = others.csrf_token
    assert phone.patch("/api/v1/me", json={"handed": "left"}).json()["code"] == "csrf"

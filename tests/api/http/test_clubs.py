"""A student's bag."""

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from sqlalchemy.orm import Session

from api.db.models import Membership
from api.services.clubs import MAX_CLUBS
from tests import factories

SignIn = Callable[[Membership], TestClient]


@pytest.fixture
def student(session: Session) -> Membership:
    return factories.make_member(session)


def test_clubs_are_added_listed_longest_first_and_removed(
    student: Membership, as_member: SignIn
) -> None:
    phone = as_member(student)
    iron = phone.post("/api/v1/clubs", json={"name": "7 iron", "length_m": 0.94}).json()
    phone.post("/api/v1/clubs", json={"name": "Driver", "length_m": 1.14})
    listed = phone.get("/api/v1/clubs").json()
    assert [club["name"] for club in listed] == ["Driver", "7 iron"]
    assert phone.delete(f"/api/v1/clubs/{iron['id']}").status_code == 204
    assert [club["name"] for club in phone.get("/api/v1/clubs").json()] == ["Driver"]
    assert phone.delete(f"/api/v1/clubs/{iron['id']}").status_code == 404


@pytest.mark.parametrize("length_m", [0.457, 1.22])
def test_the_shortest_and_longest_lawful_clubs_are_taken(
    student: Membership, as_member: SignIn, length_m: float
) -> None:
    answer = as_member(student).post("/api/v1/clubs", json={"name": "x", "length_m": length_m})
    assert answer.status_code == 201


@pytest.mark.parametrize("length_m", [0.456, 1.221, 37.0, 0, -1, None, "long"])
def test_other_lengths_are_refused(
    student: Membership, as_member: SignIn, length_m: object
) -> None:
    answer = as_member(student).post("/api/v1/clubs", json={"name": "x", "length_m": length_m})
    assert answer.status_code == 422
    assert answer.json()["fields"][0]["where"] == "body.length_m"


def test_a_key_sent_twice_adds_one_club(student: Membership, as_member: SignIn) -> None:
    phone = as_member(student)
    for _ in range(2):
        phone.post(
            "/api/v1/clubs",
            json={"name": "7 iron", "length_m": 0.94},
            headers={"Idempotency-Key": "tapped-twice"},
        )
    assert len(phone.get("/api/v1/clubs").json()) == 1


@pytest.mark.parametrize("key", ["", "x" * 201, "with space"])
def test_a_key_that_is_no_key_is_refused(student: Membership, as_member: SignIn, key: str) -> None:
    answer = as_member(student).post(
        "/api/v1/clubs",
        json={"name": "7 iron", "length_m": 0.94},
        headers={"Idempotency-Key": key},
    )
    assert answer.status_code == 422


def test_a_bag_has_an_end(session: Session, student: Membership, as_member: SignIn) -> None:
    for _ in range(MAX_CLUBS):
        factories.make_club(session, student.person)
    answer = as_member(student).post("/api/v1/clubs", json={"name": "x", "length_m": 0.94})
    assert answer.status_code == 409

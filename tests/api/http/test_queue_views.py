"""Views of the queue: kept, opened, renamed, deleted, and read when they are old."""

from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.models import Academy, QueueView
from api.domain.names import Role
from api.services.queue_views import MAX_VIEWS
from tests import factories
from tests.api.browsers import Browser, open_browser

FILTERS = {"search": "hook", "reason": "proof", "club": ""}
NOTHING = {"view": None, "purpose": None, "drafted": None}


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


def keep(coach: Browser, name: str = "Proofs", **more: object) -> dict[str, Any]:
    return coach.post(
        "/queue-views", {"name": name, "queue": "waiting", "filters": FILTERS} | more
    ).ok()


def names(coach: Browser) -> list[str]:
    return [view["name"] for view in coach.client.get("/api/v1/queue-views").json()]


def test_what_was_kept_comes_back(coach: Browser) -> None:
    view = keep(coach, "  Proofs ")
    assert view["filters"] == FILTERS | NOTHING
    assert (view["name"], view["queue"], view["broken"]) == ("Proofs", "waiting", [])
    assert coach.client.get("/api/v1/queue-views").json() == [view]


def test_a_view_is_renamed_and_filled_anew(coach: Browser) -> None:
    url = f"/queue-views/{keep(coach)['id']}"
    assert coach.patch(url, {"name": "proofs"}).ok()["name"] == "proofs"
    changed = coach.patch(url, {"queue": "mine", "filters": {"view": "face-on"}}).ok()
    assert (changed["name"], changed["queue"]) == ("proofs", "mine")
    assert changed["filters"]["view"] == "face-on"
    assert changed["filters"]["reason"] is None
    assert coach.delete(url).status_code == 204
    assert names(coach) == []
    assert coach.delete(url).status_code == 404


def test_two_of_one_name_are_refused_in_any_case(coach: Browser) -> None:
    keep(coach, "Late")
    other = keep(coach, "Later")
    for answer in (
        coach.post("/queue-views", {"name": "LATE", "queue": "waiting", "filters": {}}),
        coach.patch(f"/queue-views/{other['id']}", {"name": "late"}),
    ):
        assert (answer.status_code, answer.json()["code"]) == (409, "view_name_taken")
    assert names(coach) == ["Late", "Later"]


def test_there_are_so_many_and_no_more(coach: Browser) -> None:
    for number in range(MAX_VIEWS):
        keep(coach, f"View {number:02}")
    answer = coach.post("/queue-views", {"name": "One more", "queue": "waiting", "filters": {}})
    assert (answer.status_code, answer.json()["code"]) == (409, "too_many_views")


def test_a_repeat_with_the_same_key_keeps_one(coach: Browser) -> None:
    sent = {"name": "Late", "queue": "waiting", "filters": {"reason": "late"}}
    first = coach.post("/queue-views", sent, key="k1").ok()
    assert coach.post("/queue-views", sent, key="k1").ok() == first
    assert names(coach) == ["Late"]


@pytest.mark.parametrize(
    "sent",
    [
        {"name": "", "queue": "waiting", "filters": {}},
        {"name": "x" * 61, "queue": "waiting", "filters": {}},
        {"name": "x", "queue": "lost", "filters": {}},
        {"name": "x", "queue": "waiting", "filters": {"reason": "mood"}},
        {"name": "x", "queue": "waiting", "filters": {"colour": "red"}},
        {"name": "x", "queue": "waiting", "filters": {"search": "x" * 101}},
    ],
)
def test_what_cannot_be_a_view_is_refused(coach: Browser, sent: dict[str, Any]) -> None:
    assert coach.post("/queue-views", sent).status_code == 422


@pytest.mark.parametrize(
    ("queue", "kept", "broken", "reason"),
    [
        ("waiting", {"reason": "mood", "club": "7 iron"}, ["reason"], None),
        ("waiting", {"reason": "late", "colour": "red"}, ["colour"], "late"),
        (
            "waiting",
            {"club": ["7 iron"], "search": 5, "view": None},
            ["club", "search", "view"],
            None,
        ),
        ("parked", {"reason": "late"}, ["queue"], "late"),
    ],
)
def test_an_old_view_tells_what_is_not_known_any_more_and_opens_for_the_rest(
    session: Session,
    coach: Browser,
    queue: str,
    kept: dict[str, Any],
    broken: list[str],
    reason: str | None,
) -> None:
    view = keep(coach)
    session.execute(update(QueueView).values(queue=queue, filters=kept))
    session.commit()
    (read,) = coach.client.get("/api/v1/queue-views").json()
    assert (read["id"], read["broken"], read["queue"]) == (view["id"], broken, "waiting")
    assert read["filters"]["reason"] == reason
    mended = coach.patch(
        f"/queue-views/{view['id']}", {"queue": "waiting", "filters": read["filters"]}
    ).ok()
    assert mended["broken"] == []


def test_they_are_ones_own_in_each_place(
    app: FastAPI, session: Session, academy: Academy, client: TestClient, coach: Browser
) -> None:
    view = keep(coach)
    mine = session.scalars(select(QueueView)).one().membership_id
    session.commit()
    other = open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))
    assert names(other) == []
    assert other.patch(f"/queue-views/{view['id']}", {"name": "x"}).status_code == 404
    assert other.delete(f"/queue-views/{view['id']}").status_code == 404
    keep(other)
    session.expire_all()
    assert len(session.scalars(select(QueueView).where(QueueView.membership_id != mine)).all()) == 1

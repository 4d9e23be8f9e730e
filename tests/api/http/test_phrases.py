"""Phrases over HTTP: whose they are, what they may say, and that no coach overwrites another's."""

import json
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, AuditEvent, Phrase
from api.domain.names import Role
from api.domain.phrases import MOST_PHRASES
from tests import factories
from tests.api.browsers import Browser, open_browser

STOP = {"name": "Stop and look", "body": "{student}, stop at {lead_arm_shaft_angle} and look."}


@pytest.fixture
def colleague(app: FastAPI, session: Session, academy: Academy) -> Browser:
    return open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))


def phrases(browser: Browser) -> list[dict[str, Any]]:
    answer = browser.get("/phrases")
    assert answer.status_code == 200
    found: list[dict[str, Any]] = json.loads(answer.text)
    return found


def test_a_coach_keeps_changes_and_removes_a_phrase(coach: Browser, session: Session) -> None:
    made = coach.post("/phrases", STOP).ok()
    assert made == {**STOP, "id": made["id"], "version": 1, "shared": False}
    path = f"/phrases/{made['id']}"
    changed = coach.put(path, {**STOP, "body": "Look."}, etag=1).ok()
    assert (changed["body"], changed["version"]) == ("Look.", 2)
    assert phrases(coach) == [changed]
    assert coach.delete(path).status_code == 204
    assert phrases(coach) == []
    assert coach.delete(path).status_code == 404
    events = session.scalars(select(AuditEvent.act).where(AuditEvent.subject_type == "phrase"))
    assert list(events) == ["phrase.added", "phrase.changed", "phrase.removed"]


def test_ones_own_is_nobody_elses_and_the_academys_is_every_coachs(
    coach: Browser, colleague: Browser
) -> None:
    own = coach.post("/phrases", STOP).ok()
    ours = coach.post("/phrases", {**STOP, "name": "Ours", "shared": True}).ok()
    assert [one["name"] for one in phrases(coach)] == ["Stop and look", "Ours"]
    assert phrases(colleague) == [ours]
    assert colleague.put(f"/phrases/{own['id']}", STOP, etag=1).status_code == 404
    mended = colleague.put(f"/phrases/{ours['id']}", {**STOP, "shared": True}, etag=1).ok()
    assert phrases(coach)[1] == mended


def test_only_its_maker_takes_a_phrase_back_from_the_academy(
    coach: Browser, colleague: Browser
) -> None:
    ours = coach.post("/phrases", {**STOP, "shared": True}).ok()
    path = f"/phrases/{ours['id']}"
    assert colleague.put(path, {**STOP, "shared": False}, etag=1).status_code == 422
    assert coach.put(path, {**STOP, "shared": False}, etag=1).ok()["shared"] is False
    assert phrases(colleague) == []


def test_another_academys_phrases_do_not_exist(
    app: FastAPI, coach: Browser, session: Session
) -> None:
    elsewhere = open_browser(app, session, factories.make_member(session, Role.COACH))
    theirs = elsewhere.post("/phrases", {**STOP, "shared": True}).ok()
    assert phrases(coach) == []
    assert coach.put(f"/phrases/{theirs['id']}", STOP, etag=1).status_code == 404
    assert coach.delete(f"/phrases/{theirs['id']}").status_code == 404


def test_two_changes_from_one_version_are_one_change(coach: Browser) -> None:
    made = coach.post("/phrases", STOP).ok()
    path = f"/phrases/{made['id']}"
    assert coach.put(path, STOP).status_code == 428
    coach.put(path, {**STOP, "body": "First."}, etag=1).ok()
    late = coach.put(path, {**STOP, "body": "Second."}, etag=1)
    assert (late.status_code, phrases(coach)[0]["body"]) == (412, "First.")


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        ({"body": "{angel}"}, "unknown_field"),
        ({"body": "{student"}, "unknown_field"),
        ({"body": " "}, "invalid"),
        ({"name": ""}, "invalid"),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    coach: Browser, sent: dict[str, str], code: str
) -> None:
    refused = coach.post("/phrases", {**STOP, **sent})
    assert (refused.status_code, refused.json()["code"]) == (422, code)
    assert refused.json()["detail"]


def test_a_full_shelf_says_so_and_the_academys_is_another(
    coach: Browser, session: Session, academy: Academy
) -> None:
    coach.post("/phrases", STOP).ok()
    first = session.scalars(select(Phrase)).one()
    session.add_all(
        Phrase(
            academy_id=academy.id,
            owner_id=first.owner_id,
            name=f"Phrase {number}",
            body="x",
            made_by=first.made_by,
        )
        for number in range(MOST_PHRASES - 1)
    )
    session.commit()
    assert coach.post("/phrases", STOP).status_code == 409
    assert coach.post("/phrases", {**STOP, "shared": True}).status_code == 201

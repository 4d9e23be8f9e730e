"""Submissions over HTTP: starting, listing, withdrawing, following, and who sees them."""

import json
import threading
from collections.abc import Callable
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.models import Academy, Clip, Membership, Review, Submission, Upload
from api.domain.names import Role
from api.http import events
from tests import factories, measured
from tests.api.browsers import Browser, open_browser


@pytest.fixture
def open_as(app: FastAPI, session: Session, client: TestClient) -> Callable[[Membership], Browser]:
    return lambda member: open_browser(app, session, member)


@pytest.fixture
def pupil(open_as: Callable[[Membership], Browser], student: Membership) -> Browser:
    return open_as(student)


class TestStart:
    def test_copies_club_hand_and_height_of_today(
        self, session: Session, student: Membership, pupil: Browser
    ) -> None:
        student.person.stature_m = 1.72
        club = factories.make_club(session, student.person)
        session.commit()
        body = {"club_id": str(club.id), "handed": "left", "note": "  Why left?  "}
        made = pupil.post("/submissions", body)
        assert made.status_code == 201
        read = made.ok()
        assert read["state"] == "receiving"
        assert read["state_words"] == "Waiting for your clip"
        assert read["club"] == {"name": "7 iron", "length_m": 0.94}
        assert (read["handed"], read["note"], read["purpose"]) == ("left", "Why left?", "full")
        assert session.scalars(select(Submission)).one().stature_m == 1.72

    def test_twice_with_one_key_is_one(self, session: Session, pupil: Browser) -> None:
        first = pupil.post("/submissions", {"handed": "right"}, key="again")
        second = pupil.post("/submissions", {"handed": "right"}, key="again")
        assert first.ok() == second.ok()
        assert len(session.scalars(select(Submission)).all()) == 1

    def test_with_somebody_elses_club_is_404(self, session: Session, pupil: Browser) -> None:
        club = factories.make_club(session, factories.make_person(session))
        session.commit()
        answer = pupil.post("/submissions", {"handed": "right", "club_id": str(club.id)})
        assert answer.status_code == 404

    @pytest.mark.parametrize(
        "body",
        [
            {},
            {"handed": "both"},
            {"handed": "right", "purpose": "fun"},
            {"handed": "right", "x": 1},
        ],
    )
    def test_what_cannot_be_read_is_422(self, pupil: Browser, body: dict[str, Any]) -> None:
        assert pupil.post("/submissions", body).status_code == 422


class TestWhoSees:
    def test_own_for_a_student_the_academys_for_staff(
        self,
        session: Session,
        academy: Academy,
        student: Membership,
        pupil: Browser,
        open_as: Callable[[Membership], Browser],
    ) -> None:
        own = factories.make_submission(session, student)
        other = factories.make_submission(session, factories.make_member(session, academy=academy))
        factories.make_submission(session, factories.make_member(session))
        ids = [str(other.id), str(own.id)]
        coach, admin = (
            open_as(factories.make_member(session, role, academy=academy))
            for role in (Role.COACH, Role.ADMIN)
        )
        assert [item["id"] for item in pupil.get("/submissions").ok()["items"]] == ids[1:]
        assert [item["id"] for item in coach.get("/submissions").ok()["items"]] == ids
        assert [item["id"] for item in admin.get("/submissions").ok()["items"]] == ids
        assert pupil.get(f"/submissions/{other.id}").status_code == 404

    def test_an_admin_reads_no_note_no_numbers_no_answer(
        self,
        app: FastAPI,
        session: Session,
        academy: Academy,
        student: Membership,
        open_as: Callable[[Membership], Browser],
        client: TestClient,
    ) -> None:
        row = measured.make_measured(
            session, app.state.storage, student, note="My back has been sore."
        )
        admin = open_as(factories.make_member(session, Role.ADMIN, academy=academy))
        text = admin.get(f"/submissions/{row.id}").text
        assert "sore" not in text
        assert "lead_arm_shaft_angle" not in text

    def test_pages_meet(self, session: Session, student: Membership, pupil: Browser) -> None:
        made = [str(factories.make_submission(session, student).id) for _ in range(5)]
        session.commit()
        first = pupil.get("/submissions?limit=3").ok()
        rest = pupil.get(f"/submissions?limit=3&cursor={first['next_cursor']}").ok()
        seen = [item["id"] for item in first["items"] + rest["items"]]
        assert seen == made[::-1]
        assert rest["next_cursor"] is None


class TestWithdraw:
    @pytest.mark.parametrize(
        "state", ["receiving", "analysing", "waiting", "refilm_asked", "unreadable", "withdrawn"]
    )
    def test_before_a_coach_took_it(
        self, session: Session, student: Membership, pupil: Browser, state: str
    ) -> None:
        row = factories.make_submission(session, student, state=state)
        if state == "waiting":
            factories.make_review(session, row)
        factories.make_upload(session, row)
        session.commit()
        done = pupil.post(f"/submissions/{row.id}/withdraw").ok()
        assert done["state"] == "withdrawn"
        assert [one["state"] for one in done["uploads"]] == ["cancelled"]
        session.expire_all()
        assert [review.state for review in session.scalars(select(Review))] == (
            ["closed"] if state == "waiting" else []
        )
        assert session.scalars(select(Upload)).one().state == "cancelled"

    @pytest.mark.parametrize("state", ["with_coach", "answered"])
    def test_afterwards_it_is_the_coachs(
        self, session: Session, student: Membership, pupil: Browser, state: str
    ) -> None:
        row = factories.make_submission(session, student, state=state)
        session.commit()
        answer = pupil.post(f"/submissions/{row.id}/withdraw")
        assert (answer.status_code, answer.json()["code"]) == (409, "already_claimed")
        assert pupil.get(f"/submissions/{row.id}").ok()["state"] == state


class TestEvents:
    def told(self, pupil: Browser, submission: Submission) -> list[dict[str, Any]]:
        answer = pupil.client.get(f"/api/v1/submissions/{submission.id}/events")
        assert answer.status_code == 200
        assert answer.headers["Content-Type"].startswith("text/event-stream")
        assert answer.headers["Cache-Control"] == "no-store"
        found = []
        for block in filter(None, answer.text.split("\n\n")):
            name, _, data = block.partition("\n")
            assert name == "event: state"
            found.append(json.loads(data.removeprefix("data: ")))
        return found

    def test_tells_each_change_and_ends_when_nothing_moves_by_itself(
        self,
        session: Session,
        student: Membership,
        pupil: Browser,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        monkeypatch.setattr(events, "LOOK_EVERY_S", 0.05)
        row = factories.make_submission(session, student, state="analysing")
        clip = factories.make_clip(session, row)
        session.commit()
        steps = iter(
            [
                update(Clip).values(progress_stage="track", progress_share=0.4),
                update(Clip).values(state="measured", progress_stage=None, progress_share=None),
                update(Submission).values(state="waiting"),
            ]
        )

        def go_on() -> None:
            for step in steps:
                threading.Event().wait(0.4)
                with session.get_bind().connect() as connection, connection.begin():  # type: ignore[union-attr]  # an engine here
                    connection.execute(step)

        worker = threading.Thread(target=go_on)
        worker.start()
        told = self.told(pupil, row)
        worker.join()
        assert [one["state"] for one in told] == ["analysing"] * 3 + ["waiting"]
        assert told[0]["clips"] == [{"id": str(clip.id), "state": "received", "progress": None}]
        assert told[1]["clips"][0]["progress"] == {"stage": "track", "share": 0.4}
        assert told[2]["clips"][0]["state"] == "measured"

    @pytest.mark.parametrize("state", ["waiting", "answered", "withdrawn", "unreadable"])
    def test_says_where_it_stands_and_ends(
        self, session: Session, student: Membership, pupil: Browser, state: str
    ) -> None:
        row = factories.make_submission(session, student, state=state)
        session.commit()
        assert [one["state"] for one in self.told(pupil, row)] == [state]

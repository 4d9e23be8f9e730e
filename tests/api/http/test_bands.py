"""Targets of a student's own: setting them, where they count, and what stays as it was sent."""

import json
from collections.abc import Callable
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Answer, AuditEvent, Membership, Review, StudentBands, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Role, View
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.domain.test_findings import reading

ANGLE, BUTT_END = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE
TIGHT = {"watch_low": 100.0, "good_low": 104.0, "good_high": 120.0, "watch_high": 125.0}
"""A target that the clips of these tests, at 90 degrees, clearly miss."""
SENT = {"checkpoint": ANGLE.value, **TIGHT}
STOP = {"drill_id": "stop-and-look", "sets": 5, "reps": 5, "days_per_week": 5, "pause_s": None}

Film = Callable[..., Submission]


@pytest.fixture
def film(session: Session, storage: Storage, student: Membership) -> Film:
    """A clip of 90 degrees, known to one degree; ``behind`` adds the other view."""

    def clip(*, behind: bool = False, degrees: float = 90.0, **values: object) -> Submission:
        views = {View.FACE_ON: [{ANGLE: reading(ANGLE, degrees, 1.0)}]}
        if behind:
            views[View.DOWN_THE_LINE] = [{BUTT_END: reading(BUTT_END, 0.5, 0.1)}]
        return measured.make_seen(session, storage, student, views, **values)  # type: ignore[arg-type]  # any column of a submission

    return clip


@pytest.fixture
def url(student: Membership, session: Session) -> str:
    found = f"/people/{student.id}/bands"
    session.commit()
    return found


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def sent(coach: Browser, review: dict[str, Any], *drills: dict[str, Any]) -> dict[str, Any]:
    path = f"/reviews/{review['id']}"
    words = {"text": "Stop and look.", "drills": list(drills)}
    draft = coach.patch(f"{path}/draft", words, etag=review["version"]).ok()
    return coach.post(f"{path}/send", etag=draft["version"]).ok()


def angle(body: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in body["readings"] if one["checkpoint"] == ANGLE.value
    )
    return found


def rows(browser: Browser, url: str) -> list[dict[str, Any]]:
    answer = browser.get(url)
    assert answer.status_code == 200
    found: list[dict[str, Any]] = json.loads(answer.text)
    return found


class TestSetting:
    def test_a_coach_sets_reads_and_removes_a_target(self, coach: Browser, url: str) -> None:
        assert rows(coach, url) == []
        made = coach.post(url, SENT | {"reason": " Stiff wrists. "})
        assert made.status_code == 201
        body = made.json()
        assert {name: body[name] for name in TIGHT} == TIGHT
        assert (body["club"], body["unit"], body["reason"]) == (None, "deg", "Stiff wrists.")
        assert body["set_by"]
        assert rows(coach, url) == [body]
        assert coach.delete(f"{url}/{body['id']}").status_code == 204
        assert rows(coach, url) == []
        assert coach.delete(f"{url}/{body['id']}").status_code == 404

    def test_setting_it_anew_takes_its_place_and_keeps_the_row(
        self, coach: Browser, session: Session, url: str
    ) -> None:
        first = coach.post(url, SENT).ok()
        second = coach.post(url, SENT | {"good_low": 105.0}).ok()
        assert [row["id"] for row in rows(coach, url)] == [second["id"]]
        kept = session.scalars(select(StudentBands).order_by(StudentBands.id)).all()
        assert [str(row.id) for row in kept] == [first["id"], second["id"]]
        assert [row.retired_at is None for row in kept] == [False, True]

    def test_the_same_key_sets_it_once(self, coach: Browser, session: Session, url: str) -> None:
        first = coach.post(url, SENT, key="once")
        again = coach.post(url, SENT, key="once")
        assert again.json() == first.json()
        assert again.headers["Idempotency-Replayed"] == "true"
        other = coach.post(url, SENT | {"good_low": 110.0}, key="once")
        assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")
        assert len(session.scalars(select(StudentBands)).all()) == 1

    def test_it_is_written_down(self, coach: Browser, session: Session, url: str) -> None:
        made = coach.post(url, SENT).ok()
        coach.delete(f"{url}/{made['id']}")
        events = session.scalars(
            select(AuditEvent)
            .where(AuditEvent.subject_type == "student_bands")
            .order_by(AuditEvent.id)
        ).all()
        assert [event.act for event in events] == ["bands.set", "bands.removed"]
        assert {str(event.subject_id) for event in events} == {made["id"]}
        assert events[0].after is not None
        assert events[0].after["limits"] == list(TIGHT.values())
        assert all(event.actor_id for event in events)

    @pytest.mark.parametrize(
        ("change", "code", "words"),
        [
            ({"good_low": 99.0}, "bands_out_of_order", "The lower watch limit (100) lies above"),
            ({"good_high": 104.0}, "bands_out_of_order", "The target has no width"),
            ({"watch_high": 181.0}, "bands_out_of_range", "between 0 and 180 degrees"),
            ({"club": "7 irom"}, "unknown_club", "No clip with a club called '7 irom'"),
        ],
    )
    def test_what_cannot_be_is_refused_in_words(
        self, coach: Browser, url: str, change: dict[str, object], code: str, words: str
    ) -> None:
        answer = coach.post(url, SENT | change)
        assert (answer.status_code, answer.json()["code"]) == (422, code)
        assert words in answer.json()["detail"]
        assert rows(coach, url) == []

    def test_an_unknown_number_is_refused(self, coach: Browser, url: str) -> None:
        assert coach.post(url, SENT | {"checkpoint": "luck"}).status_code == 422

    def test_who_is_no_student_has_no_targets(
        self, coach: Browser, session: Session, academy: Academy
    ) -> None:
        colleague = factories.make_member(session, Role.COACH, academy=academy)
        session.commit()
        assert coach.post(f"/people/{colleague.id}/bands", SENT).status_code == 404

    def test_an_admin_reads_and_does_not_set(
        self, app: FastAPI, session: Session, academy: Academy, coach: Browser, url: str
    ) -> None:
        coach.post(url, SENT).ok()
        admin = factories.make_member(session, Role.ADMIN, academy=academy)
        office = open_browser(app, session, admin)
        assert len(rows(office, url)) == 1
        assert office.post(url, SENT).status_code == 403


class TestUse:
    def test_the_desk_judges_by_the_students_own_target(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        submission = film()
        before = angle(claimed(coach, session, submission))
        assert (before["band"], before["own_bands"]) == ("good", None)
        made = coach.post(url, SENT | {"reason": "Stiff wrists."}).ok()
        after = angle(claimed(coach, session, submission))
        assert after["band"] == "outside"
        assert (after["value"], after["adjusted"]) == (before["value"], None)
        own = after["own_bands"]
        assert {name: own[name] for name in TIGHT} == TIGHT
        assert (own["id"], own["reason"]) == (made["id"], "Stiff wrists.")
        coach.delete(f"{url}/{made['id']}")
        assert angle(claimed(coach, session, submission)) == before

    def test_a_coachs_reading_too(
        self, session: Session, storage: Storage, student: Membership, coach: Browser, url: str
    ) -> None:
        submission = measured.make_measured(session, storage, student)
        coach.post(url, SENT).ok()
        review = claimed(coach, session, submission)
        clip_id = review["submission"]["clips"][0]["id"]
        moved = coach.put(
            f"/reviews/{review['id']}/marks/{clip_id}/0/lead_arm_parallel",
            {"frame": measured.LEVEL + 11},
            etag=review["version"],
        ).ok()
        told = angle(moved)
        assert (told["source"], told["value"]) == ("coach", pytest.approx(112.0))
        assert told["band"] == "good"

    def test_another_student_keeps_the_usual_bands(
        self,
        session: Session,
        storage: Storage,
        academy: Academy,
        coach: Browser,
        url: str,
    ) -> None:
        coach.post(url, SENT).ok()
        other = factories.make_member(session, academy=academy)
        submission = measured.make_measured(session, storage, other)
        assert angle(claimed(coach, session, submission))["own_bands"] is None

    def test_a_target_for_one_club_goes_before_that_for_every_club(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        iron, wood = film(club_name="7 iron"), film(club_name="3 wood")
        unnamed = film(club_name=None, club_length_m=None)
        coach.post(url, SENT | {"club": "7 iron"}).ok()
        assert angle(claimed(coach, session, iron))["own_bands"]["club"] == "7 iron"
        assert angle(claimed(coach, session, wood))["own_bands"] is None
        assert angle(claimed(coach, session, unnamed))["own_bands"] is None
        coach.post(url, SENT | {"good_low": 105.0}).ok()
        assert angle(claimed(coach, session, iron))["own_bands"]["good_low"] == 104.0
        assert angle(claimed(coach, session, wood))["own_bands"]["good_low"] == 105.0
        assert angle(claimed(coach, session, unnamed))["own_bands"]["good_low"] == 105.0

    def test_findings_move_with_the_target(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        submission = film(behind=True)
        assert claimed(coach, session, submission)["together"]["findings"] == []
        coach.post(url, SENT).ok()
        review = claimed(coach, session, submission)
        (found,) = review["together"]["findings"]
        assert (found["code"], found["sure"]) == ("over_narrow", True)
        (front,) = [
            one for one in review["submission"]["clips"] if one["view"] == View.FACE_ON.value
        ]
        assert front["measurement"]["swings"][0]["findings"] == [
            {"code": "over_narrow", "sure": True, "because": [ANGLE.value]}
        ]

    def test_a_drill_is_proven_by_the_students_own_target(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        sent(coach, claimed(coach, session, film()), STOP)
        submission = film(purpose="pause")
        asked = claimed(coach, session, submission)["drill_proof"]["drills"][0]["asked"][0]
        assert (asked["least"], asked["most"], asked["verdict"]) == (80.0, 100.0, "met")
        coach.post(url, SENT).ok()
        asked = claimed(coach, session, submission)["drill_proof"]["drills"][0]["asked"][0]
        assert (asked["least"], asked["most"], asked["verdict"]) == (104.0, 120.0, "not_met")

    def test_a_page_opened_before_cannot_send_past_it(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        review = claimed(coach, session, film())
        elsewhere = claimed(coach, session, film(club_name="3 wood"))
        coach.post(url, SENT | {"club": "7 iron"}).ok()
        stale = coach.patch(f"/reviews/{review['id']}/draft", {"text": "x"}, etag=review["version"])
        assert (stale.status_code, stale.json()["code"]) == (412, "stale")
        current = coach.get(f"/reviews/{review['id']}").ok()
        assert current["version"] == review["version"] + 1
        assert coach.get(f"/reviews/{elsewhere['id']}").ok()["version"] == elsewhere["version"]


class TestSent:
    def test_the_picture_with_the_machines_own_verdict_is_not_sent_beside_another(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        coach.post(url, SENT).ok()
        review = sent(coach, claimed(coach, session, film()))
        pictures = review["submission"]["answer"]["pictures"]
        drawn = {picture["keyframe"]: picture["lines_drawn"] for picture in pictures}
        assert drawn["lead_arm_parallel"] is False

    def test_an_answer_keeps_the_target_it_was_sent_with(
        self, session: Session, coach: Browser, pupil: Browser, film: Film, url: str
    ) -> None:
        submission = film(behind=True)
        made = coach.post(url, SENT | {"reason": "Stiff wrists."}).ok()
        review = sent(coach, claimed(coach, session, submission))
        path = f"/submissions/{submission.id}"
        before = pupil.get(path).ok()
        told = angle(before["answer"])
        assert (told["band"], told["own_bands"]["reason"]) == ("outside", "Stiff wrists.")
        (finding,) = before["answer"]["together"]["findings"]
        assert finding["code"] == "over_narrow"

        coach.delete(f"{url}/{made['id']}")
        after = pupil.get(path).ok()
        assert after["answer"]["readings"] == before["answer"]["readings"]
        assert after["answer"]["together"] == before["answer"]["together"]
        found = [clip["measurement"]["swings"] for clip in after["clips"]]
        assert found == [clip["measurement"]["swings"] for clip in before["clips"]]
        desk = coach.get(f"/reviews/{review['id']}").ok()
        assert desk["readings"] == before["answer"]["readings"]
        assert desk["version"] == review["version"]

    def test_called_back_it_is_a_draft_and_judged_anew(
        self, session: Session, coach: Browser, film: Film, url: str
    ) -> None:
        review = sent(coach, claimed(coach, session, film()))
        coach.post(url, SENT).ok()
        assert angle(coach.get(f"/reviews/{review['id']}").ok())["band"] == "good"
        assert angle(coach.post(f"/reviews/{review['id']}/recall").ok())["band"] == "outside"

    def test_an_answer_from_before_there_were_targets_is_still_read(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film()
        sent(coach, claimed(coach, session, submission))
        answer = session.scalars(select(Answer)).one()
        old = [
            {name: value for name, value in row.items() if name not in {"adjusted", "own_bands"}}
            for row in answer.content["readings"]
        ]
        content = {name: value for name, value in answer.content.items() if name != "findings"}
        answer.content = content | {"readings": old}
        session.commit()
        told = angle(pupil.get(f"/submissions/{submission.id}").ok()["answer"])
        assert (told["adjusted"], told["own_bands"]) == (None, None)

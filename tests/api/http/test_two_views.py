"""Two clips of one submission over HTTP: what they say together, to the coach and to the student."""

from collections.abc import Callable
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Answer, Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Missing, Reading
from api.domain.names import PointName, Role, View
from api.domain.two_views import LIKE_SWINGS
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.domain.test_findings import reading

ANGLE, BUTT_END = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE
TURN, TEMPO = CheckpointId.CHEST_TURN_AT_PARALLEL, CheckpointId.TEMPO_RATIO
UPRIGHT = reading(BUTT_END, 2.4, 0.1)
SMALL_TURN = reading(TURN, 10.0, 3.0)
PLACE = "0/lead_arm_parallel"

Seen = dict[CheckpointId, Reading | Missing]


def under_set() -> Reading:
    """130 degrees, from points that a coach can put right."""
    points = measured.points_at(measured.LEVEL + 20)
    return measured.reading_of(ANGLE, measured.LEVEL, points, measured.INPUTS)


Send = Callable[[Seen, Seen], Submission]


@pytest.fixture
def send(session: Session, storage: Storage, student: Membership) -> Send:
    def both(face_on: Seen, down_the_line: Seen) -> Submission:
        views = {View.FACE_ON: [face_on], View.DOWN_THE_LINE: [down_the_line]}
        return measured.make_seen(session, storage, student, views)

    return both


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def codes(together: dict[str, Any]) -> dict[str, bool]:
    return {finding["code"]: finding["sure"] for finding in together["findings"]}


def machines(submission: dict[str, Any], view: View) -> dict[str, bool]:
    """The findings of one clip's own measurement, as its reader gets them."""
    clip = next(clip for clip in submission["clips"] if clip["view"] == view.value)
    return {one["code"]: one["sure"] for one in clip["measurement"]["swings"][0]["findings"]}


def put_clubhead_up(coach: Browser, review: dict[str, Any]) -> dict[str, Any]:
    """Correct an under-set angle to the upright L."""
    clip = next(one for one in review["submission"]["clips"] if one["view"] == "face-on")
    x, y = measured.points_at(measured.LEVEL)[PointName.CLUBHEAD]
    path = f"/reviews/{review['id']}/points/{clip['id']}/{PLACE}/clubhead"
    return coach.put(path, {"x": x, "y": y}, etag=review["version"]).ok()


def sent(coach: Browser, review: dict[str, Any]) -> dict[str, Any]:
    path = f"/reviews/{review['id']}"
    draft = coach.patch(f"{path}/draft", {"text": "Turn more."}, etag=review["version"]).ok()
    return coach.post(f"{path}/send", etag=draft["version"], key="one-send").ok()


class TestTogether:
    def test_a_finding_rests_on_both_clips(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        review = claimed(coach, session, send({TURN: SMALL_TURN}, {BUTT_END: UPRIGHT}))
        together = review["together"]
        assert together["words"] == LIKE_SWINGS
        assert {(one["view"], one["swing"], one["swings"]) for one in together["read_from"]} == {
            ("face-on", 0, 1),
            ("down-the-line", 0, 1),
        }
        lift = next(one for one in together["findings"] if one["code"] == "arm_lift")
        assert lift["sure"]
        evidence = {one["checkpoint"]: (one["value"], one["views"]) for one in lift["because"]}
        assert evidence == {
            "butt_end_inside": (2.4, ["down-the-line"]),
            "chest_turn_at_parallel": (10.0, ["face-on"]),
        }
        assert {"id": "diagonal-hinge", "name": "Hinge on the diagonal, then turn and bow"} in lift[
            "drills"
        ]
        assert "arm_lift" not in machines(review["submission"], View.DOWN_THE_LINE)

    def test_where_the_clips_differ_the_difference_is_told(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        one, other = reading(TEMPO, 2.5, 0.1), reading(TEMPO, 3.5, 0.1)
        together = claimed(coach, session, send({TEMPO: one}, {TEMPO: other}))["together"]
        assert together["disagreements"] == [
            {"checkpoint": "tempo_ratio", "face_on": 2.5, "down_the_line": 3.5, "unit": "ratio"}
        ]

    def test_within_chance_nothing_disagrees(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        one, other = reading(TEMPO, 3.0, 0.1), reading(TEMPO, 3.2, 0.1)
        together = claimed(coach, session, send({TEMPO: one}, {TEMPO: other}))["together"]
        assert together["disagreements"] == []

    def test_a_withheld_reading_makes_no_finding(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        withheld = Missing("The shaft could not be found.")
        review = claimed(coach, session, send({TURN: SMALL_TURN}, {BUTT_END: withheld}))
        assert review["together"]["findings"] == []

    def test_the_first_swing_of_each_clip_is_read(
        self, session: Session, storage: Storage, student: Membership, coach: Browser
    ) -> None:
        views: dict[View, list[Seen]] = {
            View.FACE_ON: [{ANGLE: reading(ANGLE, 90.0, 3.0)}, {ANGLE: reading(ANGLE, 130.0, 3.0)}],
            View.DOWN_THE_LINE: [{}],
        }
        submission = measured.make_seen(session, storage, student, views)
        together = claimed(coach, session, submission)["together"]
        assert together["findings"] == []
        assert {one["swings"] for one in together["read_from"]} == {1, 2}

    def test_one_clip_is_shown_as_ever(
        self, session: Session, storage: Storage, student: Membership, coach: Browser
    ) -> None:
        views: dict[View, list[Seen]] = {View.FACE_ON: [{ANGLE: under_set()}]}
        review = claimed(coach, session, measured.make_seen(session, storage, student, views))
        assert review["together"] is None
        assert machines(review["submission"], View.FACE_ON) == {"under_set": True}
        corrected = put_clubhead_up(coach, review)
        assert machines(corrected["submission"], View.FACE_ON) == {"under_set": True}


class TestCorrected:
    def test_the_coachs_reading_holds_and_the_machines_finding_is_no_longer_sure(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        review = claimed(coach, session, send({ANGLE: under_set()}, {BUTT_END: UPRIGHT}))
        assert codes(review["together"]) == {"under_set": True, "butt_end_far_inside": True}
        assert machines(review["submission"], View.FACE_ON) == {"under_set": True}
        corrected = put_clubhead_up(coach, review)
        assert codes(corrected["together"]) == {"butt_end_far_inside": True}
        assert machines(corrected["submission"], View.FACE_ON) == {"under_set": False}
        assert machines(corrected["submission"], View.DOWN_THE_LINE) == {
            "butt_end_far_inside": True
        }

    def test_a_correction_under_way_is_not_the_students_to_see(
        self, session: Session, coach: Browser, pupil: Browser, send: Send
    ) -> None:
        submission = send({ANGLE: under_set()}, {})
        review = claimed(coach, session, submission)
        put_clubhead_up(coach, review)
        before = pupil.get(f"/submissions/{submission.id}").ok()
        assert machines(before, View.FACE_ON) == {"under_set": True}

    def test_the_answer_keeps_what_held_when_it_was_sent(
        self, session: Session, coach: Browser, pupil: Browser, send: Send
    ) -> None:
        submission = send(
            {ANGLE: under_set(), TURN: SMALL_TURN, TEMPO: reading(TEMPO, 2.5, 0.1)},
            {BUTT_END: UPRIGHT, TEMPO: reading(TEMPO, 3.5, 0.1)},
        )
        corrected = put_clubhead_up(coach, claimed(coach, session, submission))
        sent(coach, corrected)
        got = pupil.get(f"/submissions/{submission.id}").ok()
        assert got["answer"]["together"] == corrected["together"]
        assert codes(got["answer"]["together"]) == {"butt_end_far_inside": True, "arm_lift": True}
        assert [one["checkpoint"] for one in got["answer"]["together"]["disagreements"]] == [
            "tempo_ratio"
        ]
        assert machines(got, View.FACE_ON) == {"under_set": False}


def test_an_answer_from_before_has_none_and_is_still_read(
    session: Session, coach: Browser, pupil: Browser, send: Send
) -> None:
    submission = send({}, {})
    sent(coach, claimed(coach, session, submission))
    answer = session.scalars(select(Answer)).one()
    answer.content = {
        name: part
        for name, part in answer.content.items()
        if name not in {"together", "drill_proof"}
    }
    session.commit()
    got = pupil.get(f"/submissions/{submission.id}").ok()["answer"]
    assert (got["together"], got["drill_proof"]) == (None, None)


def test_another_academys_people_see_none_of_it(
    app: FastAPI, session: Session, coach: Browser, send: Send
) -> None:
    submission = send({TURN: SMALL_TURN}, {BUTT_END: UPRIGHT})
    review = claimed(coach, session, submission)
    sent(coach, review)
    for role in (Role.COACH, Role.STUDENT):
        stranger = open_browser(app, session, factories.make_member(session, role))
        assert stranger.get(f"/submissions/{submission.id}").status_code == 404
        assert stranger.get(f"/reviews/{review['id']}").status_code in {403, 404}

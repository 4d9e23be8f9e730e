"""Drills of the last answer and what a new clip says of them, to the coach and to the student."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.film_proof import NO_STOP_ASKED
from api.domain.measurement import Estimate, Missing, Reading
from api.domain.names import KeyframeId, PointName, Role, View
from api.domain.proof import HINGE_SHAFT, stay_from
from api.services.proof import proof_as_kept
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.domain.test_findings import reading
from tests.api.domain.test_proof import stopped

ANGLE, BUTT_END = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.BUTT_END_INSIDE
PAUSE, FINISH = CheckpointId.PAUSE_LENGTH, CheckpointId.FINISH_HOLD
GOOD_ANGLE = reading(ANGLE, 90.0, 3.0)
STOP: dict[str, Any] = {"drill_id": "stop-and-look", "sets": 5, "reps": 5, "days_per_week": 5}

Seen = dict[CheckpointId, Reading | Missing]


Send = Callable[..., Submission]


@pytest.fixture
def send(session: Session, storage: Storage, student: Membership) -> Send:
    """A clip of the student's, face-on; ``behind`` adds the other view."""

    def clip(
        seen: Seen,
        *,
        behind: Seen | None = None,
        owner: Membership = student,
        arrived: datetime | None = None,
        purpose: str = "pause",
    ) -> Submission:
        views = {View.FACE_ON: [seen]}
        if behind is not None:
            views[View.DOWN_THE_LINE] = [behind]
        return measured.make_seen(session, storage, owner, views, arrived=arrived, purpose=purpose)

    return clip


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def answer(
    coach: Browser, session: Session, submission: Submission, *drills: dict[str, Any]
) -> dict[str, Any]:
    review = claimed(coach, session, submission)
    path = f"/reviews/{review['id']}"
    words = {"text": "Stop and look.", "drills": list(drills)}
    draft = coach.patch(f"{path}/draft", words, etag=review["version"]).ok()
    return coach.post(f"{path}/send", etag=draft["version"], key=review["id"]).ok()


def verdicts(proof: dict[str, Any], drill: int = 0) -> dict[str, str]:
    return {one["checkpoint"]: one["verdict"] for one in proof["drills"][drill]["asked"]}


def asked(proof: dict[str, Any], checkpoint: CheckpointId) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in proof["drills"][0]["asked"] if one["checkpoint"] == checkpoint.value
    )
    return found


class TestVerdicts:
    @pytest.mark.parametrize(
        ("degrees", "verdict"), [(90.0, "met"), (98.0, "too_close"), (130.0, "not_met")]
    )
    def test_the_new_clip_is_held_against_what_the_drill_asked(
        self, session: Session, coach: Browser, send: Send, degrees: float, verdict: str
    ) -> None:
        answer(coach, session, send({}), STOP)
        proof = claimed(coach, session, send({ANGLE: reading(ANGLE, degrees, 3.0)}))["drill_proof"]
        (drill,) = proof["drills"]
        assert (drill["drill_id"], drill["name"]) == (
            "stop-and-look",
            "Stop with the lead arm level",
        )
        one = asked(proof, ANGLE)
        assert (one["least"], one["most"], one["unit"]) == (80.0, 100.0, "deg")
        assert (one["verdict"], one["value"], one["why"]) == (verdict, degrees, "")

    def test_a_withheld_reading_proves_nothing_and_says_why(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        answer(coach, session, send({}), STOP)
        withheld = Missing("The shaft could not be found.")
        one = asked(claimed(coach, session, send({ANGLE: withheld}))["drill_proof"], ANGLE)
        assert (one["verdict"], one["why"]) == ("not_seen", "The shaft could not be found.")
        assert (one["value"], one["low"], one["high"]) == (None, None, None)

    def test_what_the_other_view_shows_is_not_seen_without_it(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        answer(coach, session, send({}), STOP | {"drill_id": "grip-end-at-the-line"})
        one = asked(claimed(coach, session, send({}))["drill_proof"], BUTT_END)
        assert one["verdict"] == "not_seen"
        assert "down-the-line" in one["why"]

    def test_with_both_views_both_are_asked(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        hinge = STOP | {"drill_id": "grip-end-at-the-line", "pause_s": 2.0}
        answer(coach, session, send({}), STOP | {"pause_s": 2.0}, hinge)
        new = send(
            {ANGLE: GOOD_ANGLE, PAUSE: stopped(2.4)},
            behind={BUTT_END: reading(BUTT_END, 0.5, 0.1), PAUSE: reading(PAUSE, 1.0, 0.05)},
        )
        proof = claimed(coach, session, new)["drill_proof"]
        assert verdicts(proof, 0) == {"lead_arm_shaft_angle": "met", "pause_length": "not_met"}
        assert verdicts(proof, 1) == {"butt_end_inside": "met", "pause_length": "not_met"}
        one = asked(proof, PAUSE)
        assert "disagree" in one["why"]
        assert (one["view"], one["swings"], one["swings_met"]) == ("down-the-line", 2, 1)
        assert asked(proof, ANGLE)["view"] == "face-on"

    def test_the_coachs_reading_holds(self, session: Session, coach: Browser, send: Send) -> None:
        answer(coach, session, send({}), STOP)
        points = measured.points_at(measured.LEVEL + 20)
        wide = measured.reading_of(ANGLE, measured.LEVEL, points, measured.INPUTS)
        new = send({ANGLE: wide})
        review = claimed(coach, session, new)
        assert asked(review["drill_proof"], ANGLE)["verdict"] == "not_met"
        x, y = measured.points_at(measured.LEVEL)[PointName.CLUBHEAD]
        place = f"{new.clips[0].id}/0/lead_arm_parallel/clubhead"
        corrected = coach.put(
            f"/reviews/{review['id']}/points/{place}", {"x": x, "y": y}, etag=review["version"]
        ).ok()
        assert asked(corrected["drill_proof"], ANGLE)["verdict"] == "met"


class TestPause:
    def test_the_assignments_own_pause_is_asked(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        answer(coach, session, send({}), STOP | {"pause_s": 1.0})
        held = {ANGLE: GOOD_ANGLE, PAUSE: stopped(1.0)}
        proof = claimed(coach, session, send(held))["drill_proof"]
        assert verdicts(proof) == {"lead_arm_shaft_angle": "met", "pause_length": "met"}
        assert asked(proof, PAUSE)["least"] == pytest.approx(0.8)

    def test_no_pause_in_the_assignment_asks_for_none(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        answer(coach, session, send({}), STOP | {"pause_s": None})
        proof = claimed(coach, session, send({ANGLE: GOOD_ANGLE}))["drill_proof"]
        assert verdicts(proof) == {"lead_arm_shaft_angle": "met"}

    @pytest.mark.parametrize(
        ("purpose", "held_s", "verdict"),
        [
            ("pause", 0.1, "not_met"),
            ("full", 0.1, "not_seen"),
            ("full", 2.0, "met"),
        ],
    )
    def test_nobody_has_to_stop_in_a_full_swing(
        self,
        session: Session,
        coach: Browser,
        send: Send,
        purpose: str,
        held_s: float,
        verdict: str,
    ) -> None:
        answer(coach, session, send({}), STOP | {"pause_s": 2.0})
        new = send({PAUSE: stopped(held_s)}, purpose=purpose)
        one = asked(claimed(coach, session, new)["drill_proof"], PAUSE)
        assert (one["verdict"], one["why"]) == (
            verdict,
            NO_STOP_ASKED if verdict == "not_seen" else "",
        )

    def test_a_stop_is_asked_for_at_its_place_and_a_hinge_by_its_slope(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        hinge = STOP | {"drill_id": "diagonal-hinge"}
        answer(coach, session, send({}), STOP | {"pause_s": 2.0}, hinge)
        late = {stay_from(KeyframeId.LEAD_ARM_PARALLEL): Estimate(0.6, 0.02)}
        seen = stopped(2.4, late | {HINGE_SHAFT: Estimate(70.0, 2.0)})
        proof = claimed(coach, session, send({PAUSE: seen}))["drill_proof"]
        one = asked(proof, PAUSE)
        assert (one["verdict"], one["where"]) == ("not_met", "lead_arm_parallel")
        assert "0.6 seconds after" in one["why"]
        shaft = next(each for each in proof["drills"][1]["asked"] if each["part"] == "shaft")
        assert (shaft["verdict"], shaft["unit"], shaft["value"]) == ("not_met", "deg", 70.0)
        full = claimed(coach, session, send({PAUSE: seen}, purpose="full"))["drill_proof"]
        assert {each["verdict"] for each in full["drills"][1]["asked"]} == {"not_seen"}

    @pytest.mark.parametrize("pause_s", [1.0, 4.0])
    def test_a_drill_judged_by_eye_asks_nothing_of_a_clip(
        self, session: Session, coach: Browser, send: Send, pause_s: float
    ) -> None:
        """Its pause, also a longer one of the coach's, is a breath at address, and was held against a stop in
        the swing."""
        answer(coach, session, send({}), STOP | {"drill_id": "press-then-go", "pause_s": pause_s})
        (drill,) = claimed(coach, session, send({}))["drill_proof"]["drills"]
        assert drill["asked"] == []
        assert drill["next_clip"].startswith("The pelvis moves a little")

    @pytest.mark.parametrize(("pause_s", "least"), [(3.0, 2.0), (6.0, 4.0)])
    def test_a_finish_is_asked_to_be_held(
        self, session: Session, coach: Browser, send: Send, pause_s: float, least: float
    ) -> None:
        """At the usual dose nothing was asked, and a longer one was asked of a stop in the swing."""
        answer(coach, session, send({}), STOP | {"drill_id": "finish-and-hold", "pause_s": pause_s})
        held = {FINISH: reading(FINISH, 6.0, 0.1), PAUSE: reading(PAUSE, 0.1, 0.02)}
        proof = claimed(coach, session, send(held, purpose="full"))["drill_proof"]
        assert verdicts(proof) == {"finish_hold": "met"}
        assert asked(proof, FINISH)["least"] == pytest.approx(least)


def test_a_stop_in_the_second_swing_of_the_clip_is_seen(
    session: Session, storage: Storage, coach: Browser, student: Membership, send: Send
) -> None:
    """Only the first was read, and the first may be a rehearsal."""
    answer(coach, session, send({}), STOP | {"pause_s": 2.0})
    swings = [{PAUSE: reading(PAUSE, 0.1, 0.02)}, {ANGLE: GOOD_ANGLE, PAUSE: stopped(2.4)}, {}]
    new = measured.make_seen(session, storage, student, {View.FACE_ON: swings}, purpose="pause")
    proof = claimed(coach, session, new)["drill_proof"]
    assert verdicts(proof) == {"lead_arm_shaft_angle": "met", "pause_length": "met"}
    one = asked(proof, PAUSE)
    assert (one["view"], one["swing"], one["value"]) == ("face-on", 1, 2.4)
    assert (one["swings"], one["swings_met"], one["swings_unseen"]) == (3, 1, 1)


class TestWhichDrills:
    def test_without_an_answer_before_there_is_nothing(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        assert claimed(coach, session, send({ANGLE: GOOD_ANGLE}))["drill_proof"] is None

    def test_only_the_latest_answer_counts(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        first, second = send({}), send({})
        answer(coach, session, first, STOP)
        answer(coach, session, second, STOP | {"drill_id": "three-quarter-pause"})
        proof = claimed(coach, session, send({}))["drill_proof"]
        assert [drill["drill_id"] for drill in proof["drills"]] == ["three-quarter-pause"]

    def test_a_latest_answer_without_drills_leaves_nothing_to_prove(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        first, second = send({}), send({})
        answer(coach, session, first, STOP)
        answer(coach, session, second)
        assert claimed(coach, session, send({}))["drill_proof"] is None

    def test_a_clip_sent_before_the_drills_were_given_says_nothing_of_them(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        early = send({ANGLE: GOOD_ANGLE}, arrived=datetime.now(UTC) - timedelta(hours=1))
        answer(coach, session, send({}), STOP)
        assert claimed(coach, session, early)["drill_proof"] is None

    def test_an_answer_called_back_counts_no_more(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        review = answer(coach, session, send({}), STOP)
        coach.post(f"/reviews/{review['id']}/recall").ok()
        assert claimed(coach, session, send({}))["drill_proof"] is None

    def test_another_students_drills_are_theirs(
        self, session: Session, coach: Browser, send: Send, academy: Academy
    ) -> None:
        other = factories.make_member(session, academy=academy)
        answer(coach, session, send({}, owner=other), STOP)
        assert claimed(coach, session, send({}))["drill_proof"] is None

    def test_drills_of_another_academy_stay_there(
        self,
        app: FastAPI,
        session: Session,
        coach: Browser,
        send: Send,
        student: Membership,
    ) -> None:
        """One person, a student of two academies: neither learns what the other prescribed."""
        there = factories.make_member(session, person=student.person)
        theirs = factories.make_member(session, Role.COACH, academy=there.academy)
        their_coach = open_browser(app, session, theirs)
        answer(their_coach, session, send({}, owner=there), STOP)
        assert claimed(coach, session, send({ANGLE: GOOD_ANGLE}))["drill_proof"] is None
        new_there = send({ANGLE: GOOD_ANGLE}, owner=there)
        assert claimed(their_coach, session, new_there)["drill_proof"] is not None


def test_the_students_answer_says_the_same(
    session: Session, coach: Browser, pupil: Browser, send: Send
) -> None:
    answer(coach, session, send({}), STOP)
    new = send({ANGLE: GOOD_ANGLE})
    assert pupil.get(f"/submissions/{new.id}").ok()["answer"] is None
    sent = answer(coach, session, new, STOP)
    got = pupil.get(f"/submissions/{new.id}").ok()["answer"]["drill_proof"]
    assert got == sent["drill_proof"]
    assert verdicts(got)["lead_arm_shaft_angle"] == "met"
    assert got["coach_name"]


def test_answers_from_before_places_were_asked_for_or_swings_counted_are_still_told() -> None:
    old = {"checkpoint": "pause_length", "verdict": "met"}
    first_swing = {**old, "part": "shaft", "where": "top"}
    counted = {"view": "face-on", "swing": 1, "swings": 3, "swings_met": 2, "swings_unseen": 0}
    uncounted = dict.fromkeys(counted)
    new = {**first_swing, **counted}
    kept = {"coach_name": "A", "drills": [{"name": "B", "asked": [old, first_swing, new]}]}
    told = proof_as_kept(kept)
    assert told is not None
    assert told["drills"][0]["asked"] == [
        {**old, "part": "value", "where": None, **uncounted},
        {**first_swing, **uncounted},
        new,
    ]
    assert proof_as_kept(None) is None

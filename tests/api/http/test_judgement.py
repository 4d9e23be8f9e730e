"""Judging findings over HTTP: what the desk lists, what a coach says, and what the student then reads."""

from collections.abc import Callable
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Answer, Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Missing, Reading
from api.domain.names import PointName, View
from api.storage.base import Storage
from tests import measured
from tests.api.browsers import Browser
from tests.api.domain.test_findings import reading

ANGLE, SWAY = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.PELVIS_SWAY
WIDE = reading(ANGLE, 130.0, 2.0)
MAYBE_WIDE = reading(ANGLE, 114.0, 4.0)
SWAYED = reading(SWAY, -0.6, 0.02)
STEEP = reading(CheckpointId.BUTT_END_INSIDE, 2.4, 0.1)

Seen = dict[CheckpointId, Reading | Missing]
Film = Callable[..., Submission]


@pytest.fixture
def film(session: Session, storage: Storage, student: Membership) -> Film:
    def clip(*swings: Seen, behind: Seen | None = None) -> Submission:
        views = {View.FACE_ON: list(swings)}
        if behind is not None:
            views[View.DOWN_THE_LINE] = [behind]
        return measured.make_seen(session, storage, student, views)

    return clip


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def judge(coach: Browser, review: dict[str, Any], *judged: dict[str, Any]) -> dict[str, Any]:
    path = f"/reviews/{review['id']}/draft"
    return coach.patch(path, {"judgements": list(judged)}, etag=review["version"]).ok()


def sent(coach: Browser, review: dict[str, Any], **parts: object) -> dict[str, Any]:
    path = f"/reviews/{review['id']}"
    draft = coach.patch(
        f"{path}/draft", {"text": "Turn more.", **parts}, etag=review["version"]
    ).ok()
    return coach.post(f"{path}/send", etag=draft["version"]).ok()


def found(review: dict[str, Any]) -> dict[str, bool]:
    return {one["code"]: one["sure"] for one in review["findings"]}


def answer_of(pupil: Browser, submission: Submission) -> dict[str, Any]:
    answer: dict[str, Any] = pupil.get(f"/submissions/{submission.id}").ok()["answer"]
    return answer


class TestTheDesk:
    def test_findings_of_one_clip_stand_with_what_they_rest_on(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(coach, session, film({ANGLE: WIDE, SWAY: SWAYED}))
        assert found(review) == {"under_set": True, "sway": True}
        under = review["findings"][0]
        (evidence,) = under["because"]
        assert (evidence["checkpoint"], evidence["value"]) == (ANGLE.value, 130.0)
        assert evidence["views"] == ["face-on"]
        assert [place["swing"] for place in under["swings"]] == [0]
        assert under["drills"]

    def test_one_entry_for_a_pattern_with_the_clearest_swings_numbers(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(coach, session, film({ANGLE: MAYBE_WIDE}, {ANGLE: WIDE}))
        assert found(review) == {"under_set": True}
        (under,) = review["findings"]
        assert [place["swing"] for place in under["swings"]] == [1, 0]
        assert under["because"][0]["value"] == 130.0

    def test_a_clear_swing_is_found_behind_several_unclear_ones(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        unclear: Seen = {ANGLE: MAYBE_WIDE}
        review = claimed(coach, session, film(unclear, unclear, {ANGLE: WIDE}))
        assert found(review) == {"under_set": True}
        (under,) = review["findings"]
        assert [place["swing"] for place in under["swings"]] == [2, 0, 1]

    def test_two_views_are_read_together_once(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(
            coach, session, film({ANGLE: WIDE}, behind={CheckpointId.BUTT_END_INSIDE: STEEP})
        )
        assert found(review) == {"under_set": True, "butt_end_far_inside": True}
        assert all(len(one["swings"]) == 2 for one in review["findings"])

    def test_a_correction_takes_its_finding_away(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        points = measured.points_at(measured.LEVEL + 20)
        wide = measured.reading_of(ANGLE, measured.LEVEL, points, measured.INPUTS)
        review = claimed(coach, session, film({ANGLE: wide}))
        assert set(found(review)) == {"under_set"}
        clip = review["submission"]["clips"][0]
        x, y = measured.points_at(measured.LEVEL)[PointName.CLUBHEAD]
        place = f"/reviews/{review['id']}/points/{clip['id']}/0/lead_arm_parallel/clubhead"
        review = coach.put(place, {"x": x, "y": y}, etag=review["version"]).ok()
        assert found(review) == {}


class TestJudging:
    def test_what_was_said_stays_in_the_draft(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(coach, session, film({ANGLE: WIDE}))
        judged = {"code": "under_set", "verdict": "dismissed", "reason": "camera_aside"}
        review = judge(coach, review, judged)
        kept = coach.get(f"/reviews/{review['id']}").ok()["draft"]["judgements"]
        assert kept == [{**judged, "name": "", "words": ""}]

    @pytest.mark.parametrize(
        "judged",
        [
            {"code": "under_set", "verdict": "dismissed"},
            {"code": "no_such_pattern", "verdict": "accepted"},
            {"verdict": "accepted"},
            {"name": "x" * 81, "verdict": "accepted"},
        ],
    )
    def test_nonsense_is_refused_and_changes_nothing(
        self, session: Session, coach: Browser, film: Film, judged: dict[str, Any]
    ) -> None:
        review = claimed(coach, session, film({ANGLE: WIDE}))
        answer = coach.patch(
            f"/reviews/{review['id']}/draft", {"judgements": [judged]}, etag=review["version"]
        )
        assert answer.status_code == 422
        assert coach.get(f"/reviews/{review['id']}").ok()["version"] == review["version"]

    def test_an_old_version_judges_nothing(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(coach, session, film({ANGLE: WIDE}))
        judge(coach, review, {"code": "under_set", "verdict": "accepted"})
        late = coach.patch(
            f"/reviews/{review['id']}/draft", {"judgements": []}, etag=review["version"]
        )
        assert late.status_code == 412


class TestTheAnswer:
    def test_the_student_reads_what_the_coach_stands_behind(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film({ANGLE: MAYBE_WIDE, SWAY: SWAYED})
        review = judge(
            coach,
            claimed(coach, session, submission),
            {"code": "sway", "verdict": "dismissed", "reason": "not_a_fault"},
            {"code": "under_set", "verdict": "accepted", "words": "You can see it in the picture."},
            {"name": "Grip turned away", "verdict": "accepted", "words": "Two knuckles, not four."},
        )
        sent(coach, review)
        answer = answer_of(pupil, submission)
        assert [
            (one["name"], one["judged"], one["sure"], one["seen_by_machine"], one["words"])
            for one in answer["findings"]
        ] == [
            ("Under-set", "accepted", False, True, "You can see it in the picture."),
            ("Grip turned away", "accepted", False, False, "Two knuckles, not four."),
        ]
        machine = pupil.get(f"/submissions/{submission.id}").ok()["clips"][0]["measurement"]
        assert [one["code"] for one in machine["swings"][0]["findings"]] == ["under_set"]

    def test_what_nobody_called_is_told_as_open_after_what_is_clear(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film({ANGLE: MAYBE_WIDE, SWAY: SWAYED})
        sent(coach, claimed(coach, session, submission))
        told = answer_of(pupil, submission)["findings"]
        assert [(one["code"], one["judged"], one["sure"]) for one in told] == [
            ("sway", "open", True),
            ("under_set", "open", False),
        ]

    def test_what_was_dismissed_is_not_in_what_two_views_say_together_either(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film({ANGLE: WIDE}, behind={CheckpointId.BUTT_END_INSIDE: STEEP})
        review = judge(
            coach,
            claimed(coach, session, submission),
            {"code": "under_set", "verdict": "dismissed", "reason": "wrong_point"},
        )
        sent(coach, review)
        answer = answer_of(pupil, submission)
        assert [one["code"] for one in answer["findings"]] == ["butt_end_far_inside"]
        assert [one["code"] for one in answer["together"]["findings"]] == ["butt_end_far_inside"]

    def test_an_answer_from_before_judgements_is_told_without(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film({ANGLE: WIDE})
        sent(coach, claimed(coach, session, submission))
        row = session.scalars(select(Answer)).one()
        row.content = {k: v for k, v in row.content.items() if k not in {"judged", "later"}}
        session.commit()
        answer = answer_of(pupil, submission)
        assert (answer["findings"], answer["later"]) == (None, [])

    def test_things_for_later_go_with_the_answer(
        self, session: Session, coach: Browser, pupil: Browser, film: Film
    ) -> None:
        submission = film({ANGLE: WIDE})
        sent(coach, claimed(coach, session, submission), later=["Then the finish.", "Then tempo."])
        assert answer_of(pupil, submission)["later"] == ["Then the finish.", "Then tempo."]

    def test_a_third_thing_for_later_is_refused(
        self, session: Session, coach: Browser, film: Film
    ) -> None:
        review = claimed(coach, session, film({ANGLE: WIDE}))
        path = f"/reviews/{review['id']}/draft"
        refused = coach.patch(path, {"later": ["a", "b", "c"]}, etag=review["version"])
        assert refused.status_code == 422


def test_the_catalogue_names_patterns_and_reasons(coach: Browser) -> None:
    body = coach.get("/findings").ok()
    assert {"code": "sway", "name": "Sway"}.items() <= next(
        one for one in body["findings"] if one["code"] == "sway"
    ).items()
    assert {one["code"] for one in body["dismiss_reasons"]} >= {"camera_aside", "not_now"}

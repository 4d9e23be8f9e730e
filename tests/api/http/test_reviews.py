"""The desk over HTTP: claims, corrections, the draft in two tabs, sending, calling back."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.models import (
    Academy,
    Answer,
    AuditEvent,
    DrillAssignment,
    Mail,
    Mark,
    Membership,
    Reading,
    Review,
    Submission,
)
from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Missing
from api.domain.names import Role
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

PLACE = "0/lead_arm_parallel"
DRILL = {"drill_id": "feet-together", "sets": 3, "reps": 6, "days_per_week": 4}


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    return measured.make_measured(session, storage, student)


@pytest.fixture
def review_id(session: Session, submission: Submission) -> str:
    found = session.scalars(select(Review.id)).one()
    session.commit()
    return str(found)


@pytest.fixture
def make_coach(
    app: FastAPI, session: Session, academy: Academy, client: TestClient
) -> Callable[[], Browser]:
    def make() -> Browser:
        member = factories.make_member(session, Role.COACH, academy=academy)
        return open_browser(app, session, member)

    return make


@pytest.fixture
def coach(make_coach: Callable[[], Browser]) -> Browser:
    return make_coach()


@pytest.fixture
def clip_id(submission: Submission) -> str:
    return str(submission.clips[0].id)


@pytest.fixture
def claimed(coach: Browser, review_id: str) -> dict[str, Any]:
    return coach.post(f"/reviews/{review_id}/claim").ok()


def reading(review: dict[str, Any]) -> dict[str, Any]:
    (only,) = review["readings"]
    assert only["checkpoint"] == "lead_arm_shaft_angle"
    found: dict[str, Any] = only
    return found


def reading_of(review: dict[str, Any], checkpoint: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in review["readings"] if one["checkpoint"] == checkpoint
    )
    return found


class TestQueue:
    def test_what_is_due_first_comes_first(
        self, session: Session, storage: Storage, student: Membership, coach: Browser
    ) -> None:
        for hours in (30, -1, 10):
            measured.make_measured(session, storage, student, due_in=timedelta(hours=hours))
        page = coach.get("/reviews").ok()
        due = [item["due_at"] for item in page["items"]]
        assert due == sorted(due)
        assert [item["late"] for item in page["items"]] == [True, False, False]
        assert page["counts"] == {"waiting": 3, "claimed": 0, "answered": 0, "mine": 0}
        assert page["items"][0]["views"] == ["face-on"]

    def test_pages_meet_without_gap_or_repeat(
        self, session: Session, storage: Storage, student: Membership, coach: Browser
    ) -> None:
        for hours in (5, 5, 1, 3, 2):
            measured.make_measured(session, storage, student, due_in=timedelta(hours=hours))
        seen: list[str] = []
        cursor = ""
        while True:
            page = coach.get(f"/reviews?limit=2{cursor}").ok()
            seen += [item["id"] for item in page["items"]]
            if page["next_cursor"] is None:
                break
            cursor = f"&cursor={page['next_cursor'].replace('+', '%2B')}"
        assert len(seen) == len(set(seen)) == 5

    @pytest.mark.parametrize(
        "cursor",
        [
            "yesterday",
            "0001-01-01T00:00:00%2B14:00~01a212c4-77d0-76ff-984d-818902ae86fc",
            "9999-12-31T23:59:59-14:00~01a212c4-77d0-76ff-984d-818902ae86fc",
        ],
    )
    def test_a_cursor_that_is_not_ours_is_refused(self, coach: Browser, cursor: str) -> None:
        assert coach.get(f"/reviews?cursor={cursor}").status_code == 422

    def test_a_student_has_no_queue(self, pupil: Browser) -> None:
        assert pupil.get("/reviews").status_code == 403


class TestClaim:
    def test_takes_the_submission_with_it(
        self, coach: Browser, pupil: Browser, submission: Submission, review_id: str
    ) -> None:
        review = coach.post("/reviews/claim-next").ok()
        assert review["id"] == review_id
        assert review["state"] == "claimed"
        assert pupil.get(f"/submissions/{submission.id}").ok()["state"] == "with_coach"
        assert coach.get("/reviews?state=mine").ok()["counts"]["mine"] == 1

    def test_nothing_waiting(self, coach: Browser) -> None:
        answer = coach.post("/reviews/claim-next")
        assert (answer.status_code, answer.json()["code"]) == (404, "nothing_waiting")

    def test_of_another_coach_is_409(
        self, make_coach: Callable[[], Browser], claimed: dict[str, Any]
    ) -> None:
        other = make_coach()
        answer = other.post(f"/reviews/{claimed['id']}/claim")
        assert (answer.status_code, answer.json()["code"]) == (409, "already_claimed")
        assert other.post("/reviews/claim-next").status_code == 404

    def test_released_keeps_the_draft_for_the_next(
        self,
        coach: Browser,
        make_coach: Callable[[], Browser],
        pupil: Browser,
        submission: Submission,
        claimed: dict[str, Any],
    ) -> None:
        url = f"/reviews/{claimed['id']}"
        coach.patch(f"{url}/draft", {"text": "Half a thought"}, etag=claimed["version"]).ok()
        coach.post(f"{url}/release").ok()
        assert pupil.get(f"/submissions/{submission.id}").ok()["state"] == "waiting"
        assert make_coach().post(f"{url}/claim").ok()["draft"]["text"] == "Half a thought"

    def test_lapsed_can_be_taken_over_and_then_the_first_is_told(
        self,
        session: Session,
        coach: Browser,
        make_coach: Callable[[], Browser],
        claimed: dict[str, Any],
    ) -> None:
        url = f"/reviews/{claimed['id']}"
        draft = coach.patch(f"{url}/draft", {"text": "Mine"}, etag=claimed["version"]).ok()
        lapse(session)
        taken = make_coach().post("/reviews/claim-next").ok()
        assert taken["draft"]["text"] == "Mine"
        late = coach.patch(f"{url}/draft", {"text": "Mine still"}, etag=draft["version"])
        assert (late.status_code, late.json()["code"]) == (409, "already_claimed")

    def test_lapsed_but_not_taken_goes_on_without_a_word(
        self, session: Session, coach: Browser, claimed: dict[str, Any]
    ) -> None:
        lapse(session)
        url = f"/reviews/{claimed['id']}"
        assert coach.post(f"{url}/renew").ok()["state"] == "claimed"
        assert coach.patch(f"{url}/draft", {"text": "On"}, etag=claimed["version"]).ok()

    def test_only_the_holder_changes_anything(
        self, make_coach: Callable[[], Browser], claimed: dict[str, Any], clip_id: str
    ) -> None:
        other, url = make_coach(), f"/reviews/{claimed['id']}"
        version = claimed["version"]
        answers = [
            other.patch(f"{url}/draft", {"text": "x"}, etag=version),
            other.put(f"{url}/marks/{clip_id}/{PLACE}", {"frame": 61}, etag=version),
            other.delete(f"{url}/marks/{clip_id}/{PLACE}", etag=version),
            other.put(f"{url}/points/{clip_id}/{PLACE}/butt", {"x": 1, "y": 1}, etag=version),
            other.post(f"{url}/send", etag=version),
            other.post(f"{url}/ask-refilm", {"causes": ["other"], "message": "x"}),
            other.post(f"{url}/release"),
            other.post(f"{url}/renew"),
        ]
        assert {(answer.status_code, answer.json()["code"]) for answer in answers} == {
            (409, "already_claimed")
        }


def lapse(session: Session) -> None:
    """Let every lease run out."""
    past = datetime.now(UTC) - timedelta(seconds=1)
    session.execute(update(Review).values(lease_ends_at=past))
    session.commit()


class TestManyNumbers:
    """Corrections where a clip has more than its main number."""

    EARS_UNSEEN = "The ears were not seen."

    @pytest.fixture
    def submission(self, session: Session, storage: Storage, student: Membership) -> Submission:
        more: measured.Readings = {
            CheckpointId.LEAD_ELBOW_BEND: measured.elbow_reading(),
            CheckpointId.TEMPO_RATIO: measured.tempo_reading(),
            CheckpointId.HEAD_SWAY: Missing(self.EARS_UNSEEN),
        }
        return measured.make_measured(session, storage, student, more=more)

    def test_a_point_changes_the_numbers_that_are_read_from_it(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/points/{clip_id}/{PLACE}"
        elbow = coach.put(f"{url}/lead_elbow", {"x": 400.0, "y": 330.0}, etag=claimed["version"])
        bent = elbow.ok()
        assert reading_of(bent, "lead_elbow_bend")["source"] == "coach"
        assert reading_of(bent, "lead_elbow_bend")["value"] > 25.0
        assert reading_of(bent, "lead_arm_shaft_angle")["source"] == "machine"
        wrist = coach.put(f"{url}/lead_wrist", {"x": 300.0, "y": 305.0}, etag=bent["version"])
        both = wrist.ok()
        assert reading_of(both, "lead_elbow_bend")["source"] == "coach"
        assert reading_of(both, "lead_arm_shaft_angle")["source"] == "coach"

    def test_a_moved_top_leaves_what_was_told_from_times_to_the_machine(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/0/top"
        moved = coach.put(url, {"frame": 77}, etag=claimed["version"]).ok()
        tempo = reading_of(moved, "tempo_ratio")
        assert (tempo["source"], tempo["value"]) == ("machine", pytest.approx(3.0))

    def test_a_number_that_was_not_read_keeps_the_machines_own_reason(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/0/top"
        moved = coach.put(url, {"frame": 77}, etag=claimed["version"]).ok()
        assert reading_of(moved, "head_sway")["missing"] == self.EARS_UNSEEN

    def test_the_machines_lines_hold_while_its_main_number_does(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}"
        point = {"x": 400.0, "y": 330.0}
        placed = coach.put(
            f"{url}/points/{clip_id}/{PLACE}/lead_elbow", point, etag=claimed["version"]
        ).ok()
        words = coach.patch(f"{url}/draft", {"text": "Well done."}, etag=placed["version"]).ok()
        sent = coach.post(f"{url}/send", etag=words["version"]).ok()
        pictures = sent["submission"]["answer"]["pictures"]
        drawn = {picture["keyframe"]: picture["lines_drawn"] for picture in pictures}
        assert drawn["lead_arm_parallel"]


class TestCorrections:
    def test_the_machine_holds_until_somebody_corrects(self, claimed: dict[str, Any]) -> None:
        assert reading(claimed)["source"] == "machine"
        assert reading(claimed)["value"] == pytest.approx(90.0)

    def test_moving_the_keyframe_reads_the_tracks_there(
        self, session: Session, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/{PLACE}"
        moved = coach.put(url, {"frame": 65}, etag=claimed["version"]).ok()
        held = reading(moved)
        assert held["source"] == "coach"
        assert held["frame"] == 65
        assert held["value"] == pytest.approx(100.0)
        assert moved["draft"]["marks"][0]["time_s"] == pytest.approx(65 / 60)
        rows = session.scalars(select(Reading).order_by(Reading.id)).all()
        assert [row.source for row in rows] == ["machine", "coach"]
        assert [row.value for row in rows] == pytest.approx([90.0, 100.0])
        assert rows[1].supersedes_id == rows[0].id

    def test_a_frame_chosen_by_eye_carries_its_frame_gap(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/{PLACE}"
        held = reading(coach.put(url, {"frame": 65}, etag=claimed["version"]).ok())
        # 2 degrees a frame: uniform over one frame gap has sigma 2 / sqrt(12).
        assert held["inputs"]["sigma_instant"] == pytest.approx(2 / 12**0.5, rel=1e-6)

    def test_back_to_the_machine(
        self, session: Session, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/{PLACE}"
        moved = coach.put(url, {"frame": 65}, etag=claimed["version"]).ok()
        back = coach.delete(url, etag=moved["version"]).ok()
        assert reading(back)["source"] == "machine"
        assert back["draft"]["marks"] == []
        kept = session.scalars(select(Mark)).one()
        assert kept.retired_at is not None, "nothing is overwritten or deleted"

    def test_dragging_a_point(self, coach: Browser, claimed: dict[str, Any], clip_id: str) -> None:
        url = f"/reviews/{claimed['id']}/points/{clip_id}/{PLACE}/clubhead"
        # T2 of the trade's vectors: the shaft leans away from the target, 100 degrees.
        held = reading(coach.put(url, {"x": 251.379, "y": 24.254}, etag=claimed["version"]).ok())
        assert held["value"] == pytest.approx(100.0, abs=1e-3)
        assert held["inputs"]["sigma_px_clubhead"] == 4.0
        assert held["inputs"]["sigma_px_butt"] == measured.SIGMA_PX
        assert held["points"]["clubhead"] == [251.379, 24.254]

    def test_a_point_goes_back_to_the_machine(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/points/{clip_id}/{PLACE}/clubhead"
        placed = coach.put(url, {"x": 251.379, "y": 24.254}, etag=claimed["version"]).ok()
        assert placed["draft"]["points"][0]["point"] == "clubhead"
        back = coach.delete(url, etag=placed["version"]).ok()
        assert reading(back)["source"] == "machine"
        assert back["draft"]["points"] == []

    def test_points_belong_to_their_frame(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        url = f"/reviews/{claimed['id']}"
        placed = coach.put(
            f"{url}/points/{clip_id}/{PLACE}/clubhead",
            {"x": 251.379, "y": 24.254},
            etag=claimed["version"],
        ).ok()
        mark = f"{url}/marks/{clip_id}/{PLACE}"
        moved = coach.put(mark, {"frame": 62}, etag=placed["version"]).ok()
        assert reading(moved)["value"] == pytest.approx(94.0), "not the point of frame 60"
        back = coach.delete(mark, etag=moved["version"]).ok()
        assert reading(back)["value"] == pytest.approx(100.0, abs=1e-3)

    def test_every_point_by_hand_where_the_machine_saw_nothing(
        self,
        session: Session,
        storage: Storage,
        student: Membership,
        coach: Browser,
    ) -> None:
        blind = measured.make_measured(
            session, storage, student, missing="The club cannot be seen.", tracks=False
        )
        review = coach.post("/reviews/claim-next").ok()
        assert reading(review)["missing"] == "The club cannot be seen."
        url, clip = f"/reviews/{review['id']}", blind.clips[0].id
        unmarked = coach.put(
            f"{url}/points/{clip}/{PLACE}/butt", {"x": 300, "y": 300}, etag=review["version"]
        )
        assert (unmarked.status_code, unmarked.json()["code"]) == (409, "no_frame")
        review = coach.put(
            f"{url}/marks/{clip}/{PLACE}", {"frame": 70}, etag=review["version"]
        ).ok()
        assert "Not found in the picture" in reading(review)["missing"]
        for name, (x, y) in measured.points_at(60).items():
            review = coach.put(
                f"{url}/points/{clip}/{PLACE}/{name}", {"x": x, "y": y}, etag=review["version"]
            ).ok()
        held = reading(review)
        assert held["value"] == pytest.approx(90.0)
        assert held["low"] < 90 < held["high"]
        assert {held["inputs"][f"sigma_px_{name}"] for name in held["points"]} == {4.0}
        assert held["inputs"]["sigma_marking"] == 2.6

    @pytest.mark.parametrize("frame", [-1, 120, 10**7])
    def test_a_frame_the_clip_has_not(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str, frame: int
    ) -> None:
        url = f"/reviews/{claimed['id']}/marks/{clip_id}/{PLACE}"
        assert coach.put(url, {"frame": frame}, etag=claimed["version"]).status_code == 422

    @pytest.mark.parametrize("point", [{"x": -1, "y": 5}, {"x": 5, "y": 1281}])
    def test_a_point_outside_the_picture(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str, point: dict[str, float]
    ) -> None:
        url = f"/reviews/{claimed['id']}/points/{clip_id}/{PLACE}/butt"
        answer = coach.put(url, point, etag=claimed["version"])
        assert answer.status_code == 422
        assert "outside the picture" in answer.json()["detail"]

    def test_not_a_number_is_422_not_500(
        self, coach: Browser, claimed: dict[str, Any], clip_id: str
    ) -> None:
        answer = coach.client.put(
            f"/api/v1/reviews/{claimed['id']}/points/{clip_id}/{PLACE}/butt",
            content='{"x": NaN, "y": 1}',
            headers={"Content-Type": "application/json", "If-Match": '"2"'},
        )
        assert answer.status_code == 422

    def test_a_clip_of_another_submission_is_404(
        self,
        session: Session,
        storage: Storage,
        student: Membership,
        coach: Browser,
        claimed: dict[str, Any],
    ) -> None:
        other = measured.make_measured(session, storage, student).clips[0].id
        url = f"/reviews/{claimed['id']}/marks/{other}/{PLACE}"
        assert coach.put(url, {"frame": 61}, etag=claimed["version"]).status_code == 404

    def test_a_left_hander_is_mirrored_not_misread(
        self, session: Session, storage: Storage, student: Membership, coach: Browser
    ) -> None:
        left = measured.make_measured(session, storage, student, handed="left")
        review = coach.post("/reviews/claim-next").ok()
        url = f"/reviews/{review['id']}/marks/{left.clips[0].id}/{PLACE}"
        held = reading(coach.put(url, {"frame": 65}, etag=review["version"]).ok())
        assert held["value"] == pytest.approx(100.0), "an angle is the same on both sides"


class TestTwoTabs:
    def test_the_second_tab_cannot_overwrite(self, coach: Browser, claimed: dict[str, Any]) -> None:
        url = f"/reviews/{claimed['id']}/draft"
        coach.patch(url, {"text": "From the first tab"}, etag=claimed["version"]).ok()
        answer = coach.patch(url, {"text": "From the second"}, etag=claimed["version"])
        assert (answer.status_code, answer.json()["code"]) == (412, "stale")
        kept = coach.get(f"/reviews/{claimed['id']}").ok()
        assert kept["draft"]["text"] == "From the first tab"

    def test_without_if_match_is_428(self, coach: Browser, claimed: dict[str, Any]) -> None:
        answer = coach.patch(f"/reviews/{claimed['id']}/draft", {"text": "x"})
        assert (answer.status_code, answer.json()["code"]) == (428, "precondition_missing")

    @pytest.mark.parametrize("tag", ['W/"2"', '"two"', "2", '""'])
    def test_a_tag_that_is_not_ours_matches_nothing(
        self, coach: Browser, claimed: dict[str, Any], tag: str
    ) -> None:
        answer = coach.client.patch(
            f"/api/v1/reviews/{claimed['id']}/draft",
            json={"text": "x"},
            headers={"If-Match": tag},
        )
        assert answer.status_code == 412

    def test_the_etag_follows_every_change(self, coach: Browser, claimed: dict[str, Any]) -> None:
        url = f"/reviews/{claimed['id']}/draft"
        first = coach.patch(url, {"text": "One"}, etag=claimed["version"])
        second = coach.patch(url, {"drills": [DRILL]}, etag=first.ok()["version"])
        assert second.headers["ETag"] == f'"{first.ok()["version"] + 1}"'
        assert second.ok()["draft"]["text"] == "One", "what is left out stays"


class TestDraft:
    @pytest.mark.parametrize(
        ("drills", "said"),
        [
            ([DRILL | {"drill_id": "no-such"}], "no drill called"),
            ([DRILL, DRILL], "twice"),
            ([DRILL | {"sets": 0}], "sets"),
        ],
    )
    def test_drills_that_cannot_be_done_are_refused(
        self, coach: Browser, claimed: dict[str, Any], drills: list[dict[str, Any]], said: str
    ) -> None:
        url = f"/reviews/{claimed['id']}/draft"
        answer = coach.patch(url, {"drills": drills}, etag=claimed["version"])
        assert answer.status_code == 422
        assert said in answer.json()["detail"]


@pytest.fixture
def written(coach: Browser, claimed: dict[str, Any]) -> dict[str, Any]:
    draft = {"text": "One thing today: let it set a little more.", "drills": [DRILL]}
    return coach.patch(f"/reviews/{claimed['id']}/draft", draft, etag=claimed["version"]).ok()


class TestSend:
    def test_the_student_reads_exactly_what_was_sent(
        self, coach: Browser, pupil: Browser, submission: Submission, written: dict[str, Any]
    ) -> None:
        sent = coach.post(f"/reviews/{written['id']}/send", etag=written["version"]).ok()
        assert sent["state"] == "answered"
        read = pupil.get(f"/submissions/{submission.id}").ok()
        assert read["state"] == "answered"
        answer = read["answer"]
        assert answer["text"] == "One thing today: let it set a little more."
        assert answer["drills"][0]["name"]
        assert "Stop at once if anything hurts" in answer["drills"][0]["caution"]
        assert answer["readings"][0]["value"] == pytest.approx(90.0)
        assert answer["recall_until"] is not None
        pictured = {picture["keyframe"]: picture["lines_drawn"] for picture in answer["pictures"]}
        assert pictured == {"lead_arm_parallel": True}
        url = answer["pictures"][0]["url"]
        assert pupil.client.get(url).content == b"annotated"

    def test_a_corrected_keyframe_never_shows_the_machines_lines(
        self, coach: Browser, pupil: Browser, submission: Submission, written: dict[str, Any]
    ) -> None:
        place = f"/marks/{submission.clips[0].id}/{PLACE}"
        url = f"/reviews/{written['id']}"
        moved = coach.put(f"{url}{place}", {"frame": 65}, etag=written["version"]).ok()
        coach.post(f"{url}/send", etag=moved["version"]).ok()
        answer = pupil.get(f"/submissions/{submission.id}").ok()["answer"]
        (picture,) = answer["pictures"]
        assert (picture["frame"], picture["lines_drawn"]) == (65, False)
        assert pupil.client.get(picture["url"]).content == b"still"
        assert answer["readings"][0]["value"] == pytest.approx(100.0)

    def test_without_words_is_refused_and_nothing_changes(
        self, coach: Browser, claimed: dict[str, Any]
    ) -> None:
        answer = coach.post(f"/reviews/{claimed['id']}/send", etag=claimed["version"])
        assert (answer.status_code, answer.json()["code"]) == (409, "nothing_to_send")
        after = coach.get(f"/reviews/{claimed['id']}").ok()
        assert (after["state"], after["version"]) == ("claimed", claimed["version"])

    def test_stale_is_refused(self, coach: Browser, written: dict[str, Any]) -> None:
        answer = coach.post(f"/reviews/{written['id']}/send", etag=written["version"] - 1)
        assert answer.status_code == 412

    def test_twice_with_one_key_is_one_answer(
        self, session: Session, coach: Browser, written: dict[str, Any]
    ) -> None:
        url = f"/reviews/{written['id']}/send"
        first = coach.post(url, etag=written["version"], key="k1")
        again = coach.post(url, etag=written["version"], key="k1")
        assert first.ok() == again.ok()
        assert again.headers["ETag"] == first.headers["ETag"]
        assert len(session.scalars(select(Answer)).all()) == 1
        assert len(session.scalars(select(Mail)).all()) == 1

    def test_the_mail_holds_no_word_of_the_answer(
        self, session: Session, coach: Browser, student: Membership, written: dict[str, Any]
    ) -> None:
        coach.post(f"/reviews/{written['id']}/send", etag=written["version"]).ok()
        mail = session.scalars(select(Mail)).one()
        assert mail.to_address == student.person.email
        assert "set a little more" not in mail.body
        assert "/student/" in mail.body

    def test_every_step_leaves_an_audit_event(
        self, session: Session, coach: Browser, written: dict[str, Any]
    ) -> None:
        coach.post(f"/reviews/{written['id']}/send", etag=written["version"]).ok()
        coach.post(f"/reviews/{written['id']}/recall").ok()
        acts = session.scalars(
            select(AuditEvent.act)
            .where(AuditEvent.subject_type == "review")
            .order_by(AuditEvent.id)
        ).all()
        assert list(acts) == [
            "review.claimed",
            "review.draft_changed",
            "review.sent",
            "review.recalled",
        ]

    def test_a_draft_never_reaches_the_student(
        self, pupil: Browser, submission: Submission, written: dict[str, Any]
    ) -> None:
        text = pupil.get(f"/submissions/{submission.id}").text
        assert "set a little more" not in text


class TestRecall:
    def test_within_the_window(
        self,
        session: Session,
        coach: Browser,
        pupil: Browser,
        submission: Submission,
        written: dict[str, Any],
    ) -> None:
        url = f"/reviews/{written['id']}"
        coach.post(f"{url}/send", etag=written["version"]).ok()
        back = coach.post(f"{url}/recall").ok()
        assert back["state"] == "claimed"
        read = pupil.get(f"/submissions/{submission.id}").ok()
        assert (read["state"], read["answer"]) == ("with_coach", None)
        assert "called the answer back" in read["state_reason"]
        assert session.scalars(select(DrillAssignment)).one().withdrawn_at is not None
        session.commit()
        again = coach.post(f"{url}/send", etag=back["version"]).ok()
        assert again["state"] == "answered"
        numbers = session.scalars(select(Answer.number).order_by(Answer.number)).all()
        session.commit()
        assert list(numbers) == [1, 2]
        assert pupil.get(f"/submissions/{submission.id}").ok()["state_reason"] == ""

    def test_afterwards_it_is_too_late(
        self, session: Session, coach: Browser, written: dict[str, Any]
    ) -> None:
        url = f"/reviews/{written['id']}"
        coach.post(f"{url}/send", etag=written["version"]).ok()
        sent_at = datetime.now(UTC) - timedelta(minutes=10, seconds=1)
        session.execute(update(Review).values(answered_at=sent_at))
        session.commit()
        answer = coach.post(f"{url}/recall")
        assert (answer.status_code, answer.json()["code"]) == (409, "too_late_to_recall")

    def test_only_by_who_sent_it(
        self, coach: Browser, make_coach: Callable[[], Browser], written: dict[str, Any]
    ) -> None:
        coach.post(f"/reviews/{written['id']}/send", etag=written["version"]).ok()
        assert make_coach().post(f"/reviews/{written['id']}/recall").status_code == 409


class TestRefilm:
    def test_closes_the_review_and_tells_the_student(
        self,
        session: Session,
        coach: Browser,
        pupil: Browser,
        submission: Submission,
        claimed: dict[str, Any],
    ) -> None:
        words = "Stand the phone one step further back."
        done = coach.post(
            f"/reviews/{claimed['id']}/ask-refilm",
            {"causes": ["too_close_or_wide"], "message": words},
        ).ok()
        assert done["state"] == "closed"
        read = pupil.get(f"/submissions/{submission.id}").ok()
        assert (read["state"], read["state_reason"], read["due_at"]) == (
            "refilm_asked",
            words,
            None,
        )
        mail = session.scalars(select(Mail)).one()
        assert words not in mail.body

    def test_needs_words_and_a_known_reason(self, coach: Browser, claimed: dict[str, Any]) -> None:
        url = f"/reviews/{claimed['id']}/ask-refilm"
        assert coach.post(url, {"causes": ["other"], "message": "  "}).status_code == 422
        assert coach.post(url, {"causes": ["mood"], "message": "x"}).status_code == 422


class TestOtherAcademies:
    def test_every_door_says_404(
        self, app: FastAPI, session: Session, review_id: str, clip_id: str
    ) -> None:
        stranger = open_browser(app, session, factories.make_member(session, Role.COACH))
        url = f"/reviews/{review_id}"
        answers = [
            stranger.get(url),
            stranger.post(f"{url}/claim"),
            stranger.post(f"{url}/renew"),
            stranger.post(f"{url}/release"),
            stranger.post(f"{url}/recall"),
            stranger.post(f"{url}/send", etag=1),
            stranger.post(f"{url}/ask-refilm", {"causes": ["other"], "message": "x"}),
            stranger.patch(f"{url}/draft", {"text": "x"}, etag=1),
            stranger.put(f"{url}/marks/{clip_id}/{PLACE}", {"frame": 1}, etag=1),
            stranger.delete(f"{url}/marks/{clip_id}/{PLACE}", etag=1),
            stranger.put(f"{url}/points/{clip_id}/{PLACE}/butt", {"x": 1, "y": 1}, etag=1),
            stranger.delete(f"{url}/points/{clip_id}/{PLACE}/butt", etag=1),
        ]
        assert {answer.status_code for answer in answers} == {404}
        assert stranger.get("/reviews").ok()["items"] == []
        assert stranger.post("/reviews/claim-next").status_code == 404

    def test_a_student_cannot_reach_the_desk(self, pupil: Browser, review_id: str) -> None:
        assert pupil.get(f"/reviews/{review_id}").status_code == 403
        assert pupil.post(f"/reviews/{review_id}/claim").status_code == 403

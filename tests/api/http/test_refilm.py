"""Asking for a new film: causes from the camera check, their drawings, a marked frame; nothing is charged."""

from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import AuditEvent, Membership, RefilmRequest, Review, Submission
from api.storage.base import Storage
from tests import measured
from tests.api.browsers import Browser

WORDS = "Aim the phone higher: the club leaves the picture."
FOUND = {"code": "club_cut_off", "severity": "warning", "message": "The club leaves the picture."}


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    """Its face-on clip has the club cut off."""
    made = measured.make_measured(session, storage, student)
    analysis = made.clips[0].analyses[-1]
    analysis.measurement = {
        **analysis.measurement,
        "view": {**analysis.measurement["view"], "problems": [FOUND]},
    }
    session.commit()
    return made


@pytest.fixture
def claimed(session: Session, coach: Browser, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def ask(coach: Browser, review: dict[str, Any], **more: object) -> Any:  # noqa: ANN401 - what was answered
    sent = {"causes": ["cut_off", "no_still_address"], "message": WORDS, **more}
    return coach.post(f"/reviews/{review['id']}/ask-refilm", sent)


def marked(submission: Submission, **more: object) -> dict[str, object]:
    spot = {"frame": measured.LEVEL, "x": 300.0, "y": 20.0, "words": "Here it leaves."}
    return {"clip_id": str(submission.clips[0].id), **spot, **more}


def test_the_student_sees_causes_drawings_and_that_it_is_free(
    coach: Browser, pupil: Browser, submission: Submission, claimed: dict[str, Any]
) -> None:
    ask(coach, claimed).ok()
    told = pupil.get(f"/submissions/{submission.id}").ok()["refilm"]
    assert (told["message"], told["causes"]) == (WORDS, ["cut_off", "no_still_address"])
    assert told["drawings"] == [
        {"cause": "cut_off", "view": "face-on", "code": "club_cut_off"},
        {"cause": "no_still_address", "view": "face-on", "code": "no_swing"},
    ], "what was found is drawn as it was found, the other as the guide has it"
    assert (told["charge"], told["marked"]) == ("free", None)


def test_row_and_trail_say_that_it_is_free_and_who_asked(
    session: Session, coach: Browser, claimed: dict[str, Any]
) -> None:
    ask(coach, claimed).ok()
    row = session.scalars(select(RefilmRequest)).one()
    event = session.scalars(select(AuditEvent).where(AuditEvent.act == "review.refilm_asked")).one()
    assert (row.charge, str(row.asked_by)) == ("free", claimed["claimed_by"]["id"])
    assert event.actor_id == row.asked_by
    assert event.after == {"causes": ["cut_off", "no_still_address"], "charge": "free"}


def test_a_marked_frame_goes_along_with_its_still(
    coach: Browser, pupil: Browser, submission: Submission, claimed: dict[str, Any]
) -> None:
    ask(coach, claimed, marked=marked(submission)).ok()
    told = pupil.get(f"/submissions/{submission.id}").ok()["refilm"]["marked"]
    assert (told["x"], told["y"], told["words"]) == (300.0, 20.0, "Here it leaves.")
    assert (told["width"], told["height"]) == (measured.WIDTH, measured.HEIGHT)
    assert told["time_s"] == pytest.approx(measured.LEVEL / measured.RATE)
    assert pupil.client.get(told["url"]).content == b"still"


def test_a_frame_without_a_still_is_told_by_its_time(
    coach: Browser, pupil: Browser, submission: Submission, claimed: dict[str, Any]
) -> None:
    ask(coach, claimed, marked=marked(submission, frame=3)).ok()
    told = pupil.get(f"/submissions/{submission.id}").ok()["refilm"]["marked"]
    assert (told["url"], told["time_s"]) == (None, pytest.approx(3 / measured.RATE))


@pytest.mark.parametrize(
    "wrong", [{"frame": 100_000}, {"x": -1.0}, {"y": 5000.0}, {"words": ""}, {"words": "  "}]
)
def test_a_spot_that_is_not_there_or_says_nothing_is_refused(
    coach: Browser, submission: Submission, claimed: dict[str, Any], wrong: dict[str, object]
) -> None:
    assert ask(coach, claimed, marked=marked(submission, **wrong)).status_code == 422
    assert coach.get(f"/reviews/{claimed['id']}").ok()["state"] == "claimed"


def test_a_clip_of_another_submission_is_not_there(
    session: Session,
    storage: Storage,
    student: Membership,
    coach: Browser,
    submission: Submission,
    claimed: dict[str, Any],
) -> None:
    other = measured.make_measured(session, storage, student)
    spot = marked(submission, clip_id=str(other.clips[0].id))
    assert ask(coach, claimed, marked=spot).status_code == 404


@pytest.mark.parametrize("causes", [[], ["cut_off", "cut_off"], ["other"] * 6, ["mood"]])
def test_causes_are_known_each_told_once_and_few(
    coach: Browser, claimed: dict[str, Any], causes: list[str]
) -> None:
    assert ask(coach, claimed, causes=causes).status_code == 422


def test_once_it_is_filmed_again_the_request_is_over(
    session: Session,
    coach: Browser,
    pupil: Browser,
    submission: Submission,
    claimed: dict[str, Any],
) -> None:
    ask(coach, claimed).ok()
    session.refresh(submission)
    submission.state = "analysing"
    session.commit()
    assert pupil.get(f"/submissions/{submission.id}").ok()["refilm"] is None

"""The sheet of an answer over HTTP: who gets it, what it says, and when it is gone."""

import json
import re
from datetime import timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Academy, Answer, Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.drill_library import DRILLS
from api.domain.names import Role, View
from api.sheet import render as setting
from api.storage.base import Storage
from api.storage.keys import annotated_name, product_key, still_name
from tests import factories, measured
from tests.api.browsers import Browser, open_browser
from tests.api.sheet.papers import pages_of
from tests.api.sheet.sources import PICTURE

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
FIRST, SECOND, CHANGED = "Let it set more.", "Let it set less.", "I read the wrong moment."


@pytest.fixture
def submission(session: Session, storage: Storage, student: Membership) -> Submission:
    """Two views, with pictures that are pictures."""
    views = {
        View.FACE_ON: [{ANGLE: measured.machine_reading()}],
        View.DOWN_THE_LINE: [{CheckpointId.TEMPO_RATIO: measured.tempo_reading()}],
    }
    made = measured.make_seen(session, storage, student, views)
    for clip in made.clips:
        names = [annotated_name("lead_arm_parallel")]
        names += [still_name(frame) for frame in measured.STANDING_BY.values()]
        for name in names:
            storage.put_bytes(product_key(clip.id, measured.PIPELINE, name), PICTURE)
    return made


@pytest.fixture
def sent(session: Session, coach: Browser, submission: Submission) -> dict[str, Any]:
    """Answered just now, with drawings and a drill."""
    review_id = session.scalars(select(Review.id)).one()
    clip = next(clip for clip in submission.clips if clip.view == View.FACE_ON)
    session.commit()
    drawn = {"clip_id": str(clip.id), "swing": 0, "keyframe": "lead_arm_parallel"}
    drawn |= {"frame": measured.LEVEL, "stroke": "full"}
    url = f"/reviews/{review_id}"
    claimed = coach.post(f"{url}/claim").ok()
    words = {
        "text": FIRST,
        "drills": [
            {"drill_id": "stop-and-look", "sets": 3, "reps": 5, "pause_s": 1, "days_per_week": 4}
        ],
        "drawings": [
            {**drawn, "id": "a", "shape": "arrow", "places": [[100, 900], [300, 700]]},
            {**drawn, "id": "b", "shape": "label", "places": [[100, 900]], "label": "Hands"},
        ],
    }
    drafted = coach.patch(f"{url}/draft", words, etag=claimed["version"]).ok()
    return coach.post(f"{url}/send", etag=drafted["version"]).ok()


def sheet(submission: Submission, number: int = 1) -> str:
    return f"/submissions/{submission.id}/answers/{number}/sheet.pdf"


def said(document: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(pages_of(document)))


def correct(coach: Browser, session: Session, review: dict[str, Any]) -> None:
    ago = utc_now() - timedelta(hours=1)
    session.execute(update(Review).values(answered_at=ago))
    session.execute(update(Answer).values(sent_at=ago, first_sent_at=ago))
    session.commit()
    url = f"/reviews/{review['id']}"
    opened = coach.post(f"{url}/correct").ok()
    words = {"text": SECOND, "what_changed": CHANGED}
    drafted = coach.patch(f"{url}/draft", words, etag=opened["version"]).ok()
    coach.post(f"{url}/send", etag=drafted["version"]).ok()


def test_student_and_coach_get_the_same_sheet(
    coach: Browser, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    answer, same = pupil.get(sheet(submission)), coach.get(sheet(submission))
    assert answer.status_code == 200
    assert answer.content == same.content
    assert answer.content.startswith(b"%PDF-")
    text = said(answer.content)
    for part in ("Heron Links", FIRST, "Lead arm to shaft angle", "Stop with the lead arm level"):
        assert part in text
    assert re.search(r"90\.0°, give or take \d", text)
    assert "Lead arm parallel, face-on" in text
    assert "down-the-line" in text


def test_its_headers_keep_it_private_and_name_nobody(
    pupil: Browser, student: Membership, submission: Submission, sent: dict[str, Any]
) -> None:
    headers = pupil.get(sheet(submission)).headers
    assert headers["Content-Type"] == "application/pdf"
    assert headers["Cache-Control"] == "private, no-cache"
    name = re.fullmatch(r'attachment; filename="([a-z0-9.-]+)"', headers["Content-Disposition"])
    assert name is not None
    assert re.fullmatch(r"swing-answer-\d{4}-\d\d-\d\d-1\.pdf", name[1])


def test_asked_again_it_is_not_made_again(
    pupil: Browser,
    submission: Submission,
    sent: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    mark = pupil.get(sheet(submission)).headers["ETag"]
    monkeypatch.setattr(setting, "_render", None)
    again = pupil.get(sheet(submission), headers={"If-None-Match": mark})
    assert (again.status_code, again.content, again.headers["ETag"]) == (304, b"", mark)


def test_a_colleague_may_read_it_and_others_may_not(
    app: FastAPI,
    session: Session,
    academy: Academy,
    submission: Submission,
    sent: dict[str, Any],
) -> None:
    statuses = {}
    for who, member in {
        "colleague": factories.make_member(session, Role.COACH, academy=academy),
        "classmate": factories.make_member(session, academy=academy),
        "coach elsewhere": factories.make_member(session, Role.COACH),
        "student elsewhere": factories.make_member(session),
        "office": factories.make_member(session, Role.ADMIN, academy=academy),
    }.items():
        answer = open_browser(app, session, member).get(sheet(submission))
        statuses[who] = answer.status_code
        assert answer.status_code == 200 or FIRST.encode() not in answer.content
    assert statuses == {
        "colleague": 200,
        "classmate": 404,
        "coach elsewhere": 404,
        "student elsewhere": 404,
        "office": 403,
    }


def test_a_guardian_reads_the_childs_and_no_other(
    app: FastAPI,
    session: Session,
    student: Membership,
    submission: Submission,
    sent: dict[str, Any],
) -> None:
    classmate = factories.make_member(session, academy=student.academy)
    for child, status in ((student, 200), (classmate, 404)):
        kept = factories.make_guardian(session, child, consents=False)
        guardian = session.get_one(Membership, kept.guardian_id)
        assert open_browser(app, session, guardian).get(sheet(submission)).status_code == status


def test_called_back_it_is_gone(
    coach: Browser, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    mark = pupil.get(sheet(submission)).headers["ETag"]
    coach.post(f"/reviews/{sent['id']}/recall").ok()
    for reader in (coach, pupil):
        refused = reader.get(sheet(submission), headers={"If-None-Match": mark})
        assert (refused.status_code, refused.json()["code"]) == (404, "not_found")
        assert "called back" in refused.json()["detail"]


def test_what_was_never_sent_is_not_there(
    pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    assert pupil.get(sheet(submission, 2)).status_code == 404
    assert pupil.get(sheet(submission, 0)).status_code == 422


def test_a_corrected_answer_says_so_and_so_does_the_one_before(
    session: Session, coach: Browser, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    before = pupil.get(sheet(submission))
    correct(coach, session, sent)
    old, new = pupil.get(sheet(submission)), pupil.get(sheet(submission, 2))
    assert "A corrected answer took this one's place" not in said(before.content)
    assert "A corrected answer took this one's place" in said(old.content)
    assert FIRST in said(old.content)
    assert old.headers["ETag"] != before.headers["ETag"]
    assert "Corrected on" in said(new.content)
    assert CHANGED in said(new.content)
    assert SECOND in said(new.content)


def test_it_says_what_was_sent_whatever_the_library_says_since(
    session: Session, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    """Words and limits of numbers are kept with the answer, as the drills' texts are."""
    answer = session.scalars(select(Answer)).one()
    content = json.loads(json.dumps(answer.content))
    content["checkpoints"][ANGLE]["name"] = "The angle as it was called"
    content["checkpoints"][ANGLE]["bands"]["good_low"] = 71.5
    content["drills"][0]["steps"] = ["As it was done then."]
    answer.content = content
    session.commit()
    text = said(pupil.get(sheet(submission)).content)
    assert "The angle as it was called" in text
    assert "71.5°" in text
    assert "As it was done then." in text
    assert DRILLS["stop-and-look"].steps[0] not in text


def test_an_answer_from_before_words_were_kept_has_a_sheet_too(
    session: Session, pupil: Browser, submission: Submission, sent: dict[str, Any]
) -> None:
    answer = session.scalars(select(Answer)).one()
    kept = {"coach_name", "readings", "pictures", "drills"}
    answer.content = {name: value for name, value in answer.content.items() if name in kept}
    session.commit()
    text = said(pupil.get(sheet(submission)).content)
    assert "Lead arm to shaft angle" in text


def test_words_that_paper_cannot_hold_are_refused_where_they_are_written(
    session: Session, coach: Browser, submission: Submission
) -> None:
    review_id = session.scalars(select(Review.id)).one()
    session.commit()
    claimed = coach.post(f"/reviews/{review_id}/claim").ok()
    refused = coach.patch(
        f"/reviews/{review_id}/draft", {"text": "a\x00b"}, etag=claimed["version"]
    )
    assert (refused.status_code, refused.json()["code"]) == (422, "invalid")


def test_a_fault_of_ours_says_so_and_leaks_nothing(
    pupil: Browser,
    submission: Submission,
    sent: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(setting, "TAKES_S", 0.01)
    refused = pupil.get(sheet(submission))
    assert (refused.status_code, refused.json()["code"]) == (500, "internal")
    assert "seconds" not in refused.json()["detail"]

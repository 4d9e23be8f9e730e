"""How numbers went over a student's clips, for the coach who judges the newest."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Membership, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Role, View
from api.storage.base import Storage
from tests import factories, measured
from tests.api.browsers import Browser
from tests.api.domain.test_findings import reading

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE


def clip(
    session: Session, storage: Storage, student: Membership, degrees: float, **values: object
) -> Submission:
    seen = {View.FACE_ON: [{ANGLE: reading(ANGLE, degrees, 2.0)}]}
    return measured.make_seen(session, storage, student, seen, **values)  # type: ignore[arg-type]  # any column of a submission


def review_of(session: Session, submission: Submission) -> str:
    found = str(session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one())
    session.commit()
    return found


def trend(coach: Browser, review_id: str) -> list[dict[str, Any]]:
    answer = coach.get(f"/reviews/{review_id}/trends")
    assert answer.status_code == 200, answer.text
    series = {one["checkpoint"]: one for one in json.loads(answer.text)}
    points: list[dict[str, Any]] = series[ANGLE.value]["points"] if series else []
    return points


def test_clips_of_the_same_kind_oldest_first_and_this_one_last(
    session: Session, storage: Storage, student: Membership, coach: Browser
) -> None:
    now = datetime.now(UTC)
    for number, degrees in enumerate((120.0, 110.0, 100.0)):
        clip(session, storage, student, degrees, arrived=now - timedelta(days=3 - number))
    clip(session, storage, student, 60.0, purpose="rehearsal")
    another = factories.make_member(session, academy=student.academy)
    clip(session, storage, another, 61.0)
    newest = clip(session, storage, student, 90.0)
    points = trend(coach, review_of(session, newest))
    assert [point["value"] for point in points] == [120.0, 110.0, 100.0, 90.0]
    assert [point["current"] for point in points] == [False, False, False, True]
    assert all(point["low"] < point["value"] < point["high"] for point in points)
    assert [point["at"] for point in points] == sorted(point["at"] for point in points)


def test_of_an_answered_clip_it_is_what_the_answer_told(
    session: Session, storage: Storage, student: Membership, coach: Browser
) -> None:
    points = measured.points_at(measured.LEVEL + 5)
    wide = measured.reading_of(ANGLE, measured.LEVEL, points, measured.INPUTS)
    before = measured.make_seen(session, storage, student, {View.FACE_ON: [{ANGLE: wide}]})
    path = f"/reviews/{review_of(session, before)}"
    review = coach.post(f"{path}/claim").ok()
    place = f"{path}/points/{before.clips[0].id}/0/lead_arm_parallel/clubhead"
    x, y = measured.points_at(measured.LEVEL)["clubhead"]  # type: ignore[index]  # a str enum's value
    review = coach.put(place, {"x": x, "y": y}, etag=review["version"]).ok()
    review = coach.patch(f"{path}/draft", {"text": "Good."}, etag=review["version"]).ok()
    coach.post(f"{path}/send", etag=review["version"]).ok()
    newest = clip(session, storage, student, 95.0)
    first, second = trend(coach, review_of(session, newest))
    assert (round(first["value"]), first["source"]) == (90, "coach")
    assert (second["value"], second["source"]) == (95.0, "machine")


def test_withdrawn_clips_and_other_academies_tell_nothing(
    session: Session, storage: Storage, student: Membership, coach: Browser
) -> None:
    clip(session, storage, student, 120.0).state = "withdrawn"
    theirs = factories.make_member(session, Role.STUDENT)
    foreign = clip(session, storage, theirs, 50.0)
    newest = clip(session, storage, student, 90.0)
    session.commit()
    assert [point["value"] for point in trend(coach, review_of(session, newest))] == [90.0]
    assert coach.get(f"/reviews/{review_of(session, foreign)}/trends").status_code == 404

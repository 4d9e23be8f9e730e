"""The clip of the last answer that lies beside a new one: whose, which, and what is told of it."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership, Review, Submission
from api.domain.names import KeyframeId, Role, View
from api.storage.base import Storage
from api.storage.keys import product_key
from tests import factories, measured
from tests.api.browsers import Browser, open_browser

Send = Callable[..., Submission]
FACE_ON, BEHIND = View.FACE_ON, View.DOWN_THE_LINE


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def send(session: Session, storage: Storage, student: Membership) -> Send:
    def clips(
        *views: View, owner: Membership = student, arrived: datetime | None = None, **values: object
    ) -> Submission:
        seen: dict[View, list[measured.Readings]] = {view: [{}] for view in views or (FACE_ON,)}
        return measured.make_seen(session, storage, owner, seen, arrived=arrived, **values)

    return clips


def claimed(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review_id = session.scalars(select(Review.id).filter_by(submission_id=submission.id)).one()
    session.commit()
    return coach.post(f"/reviews/{review_id}/claim").ok()


def answer(coach: Browser, session: Session, submission: Submission) -> dict[str, Any]:
    review = claimed(coach, session, submission)
    path = f"/reviews/{review['id']}"
    draft = coach.patch(f"{path}/draft", {"text": "Good."}, etag=review["version"]).ok()
    return coach.post(f"{path}/send", etag=draft["version"], key=review["id"]).ok()


def last_clips(coach: Browser, session: Session, submission: Submission) -> list[dict[str, Any]]:
    review = claimed(coach, session, submission)
    items: list[dict[str, Any]] = coach.get(f"/reviews/{review['id']}/last-clips").ok()["items"]
    return items


class TestWhichClip:
    def test_the_last_answered_one_of_the_same_view_with_its_instants_and_links(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        answer(coach, session, send())
        latest = send(handed="left", club_name="driver")
        sent = answer(coach, session, latest)
        new = send()
        (found,) = last_clips(coach, session, new)
        assert found["of_clip_id"] == str(new.clips[0].id)
        assert found["clip"]["id"] == str(latest.clips[0].id)
        assert (found["review_id"], found["club"], found["handed"]) == (
            sent["id"],
            "driver",
            "left",
        )
        top = found["clip"]["measurement"]["swings"][0]["keyframes"]["top"]
        assert top["frame"] == measured.STANDING_BY[KeyframeId.TOP]
        assert coach.client.get(found["clip"]["media"]["proxy"]).status_code == 200
        assert found["marks"] == []

    def test_each_view_has_its_own(self, session: Session, coach: Browser, send: Send) -> None:
        both, face_on = send(FACE_ON, BEHIND), send(FACE_ON)
        answer(coach, session, both)
        answer(coach, session, face_on)
        found = {
            one["clip"]["view"]: one["clip"]["id"]
            for one in last_clips(coach, session, send(FACE_ON, BEHIND))
        }
        behind = next(clip for clip in both.clips if clip.view == BEHIND)
        assert found == {"face-on": str(face_on.clips[0].id), "down-the-line": str(behind.id)}

    def test_another_purpose_or_another_student_is_nothing_to_compare(
        self, session: Session, coach: Browser, send: Send, academy: Academy
    ) -> None:
        answer(coach, session, send(purpose="pause"))
        answer(coach, session, send(owner=factories.make_member(session, academy=academy)))
        assert last_clips(coach, session, send(purpose="full")) == []

    def test_what_is_not_answered_was_called_back_or_came_later_does_not_count(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        send()
        called_back = answer(coach, session, send())
        coach.post(f"/reviews/{called_back['id']}/recall").ok()
        early = send(arrived=datetime.now(UTC) - timedelta(hours=3))
        answer(coach, session, send())
        assert last_clips(coach, session, early) == []

    def test_instants_are_those_that_were_sent(
        self, session: Session, coach: Browser, send: Send
    ) -> None:
        submission = send()
        review = claimed(coach, session, submission)
        place = f"/reviews/{review['id']}/marks/{submission.clips[0].id}/0/top"
        coach.put(place, {"frame": 77}, etag=review["version"]).ok()
        answer(coach, session, submission)
        (found,) = last_clips(coach, session, send())
        assert [(mark["keyframe"], mark["frame"]) for mark in found["marks"]] == [("top", 77)]


class TestWhoAndWhatIsGone:
    def test_a_film_that_is_not_kept_any_more_has_no_link(
        self, session: Session, coach: Browser, send: Send, storage: Storage
    ) -> None:
        old = send()
        answer(coach, session, old)
        for name in ("proxy.mp4", "tracks.json"):
            storage.delete_prefix(product_key(old.clips[0].id, measured.PIPELINE, name))
        (found,) = last_clips(coach, session, send())
        media = found["clip"]["media"]
        assert (media["proxy"], media["tracks"]) == (None, None)
        assert media["frame_times"] is not None

    def test_a_clip_of_another_academy_stays_there(
        self, app: FastAPI, session: Session, coach: Browser, send: Send, student: Membership
    ) -> None:
        """One person, a student of two academies: neither coach sees what the other filmed."""
        there = factories.make_member(session, person=student.person)
        theirs = factories.make_member(session, Role.COACH, academy=there.academy)
        their_coach = open_browser(app, session, theirs)
        answer(their_coach, session, send(owner=there))
        new = send()
        assert last_clips(coach, session, new) == []
        review_id = session.scalars(select(Review.id).filter_by(submission_id=new.id)).one()
        session.commit()
        assert their_coach.get(f"/reviews/{review_id}/last-clips").status_code == 404

    def test_a_student_is_told_nothing(self, session: Session, pupil: Browser, send: Send) -> None:
        review_id = session.scalars(select(Review.id).filter_by(submission_id=send().id)).one()
        session.commit()
        assert pupil.get(f"/reviews/{review_id}/last-clips").status_code in {403, 404}

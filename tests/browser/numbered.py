"""A review whose films carry their frame numbers in the picture, for tests of what the desk shows.

Nothing is measured here: the instants are set, the films go through the worker's own transcoding.
"""

import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import cv2
from sqlalchemy.orm import Session

from api.db.analyses import store_measured
from api.db.models import Membership, Review, Submission
from api.db.session import make_engine, make_session_factory
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import sigma_input
from api.domain.measurement import Keyframe, Missing, Reading, Seen
from api.domain.names import KeyframeId, PointName, Role, View
from api.services import answers, reviews
from api.services.reviews import DraftParts
from api.settings import Settings
from api.storage.base import Storage
from api.storage.factory import open_storage
from api.storage.keys import product_key, still_name
from tests import factories, measured
from tests.browser.frames.clips import CADENCES, Cadence, make_proxy, picture
from tests.browser.house import House

FRAMES = 120
NEAR_FRAMES = 2
"""Stills are kept of so many frames either side of an instant."""
UNSURE, UNSURE_PX = PointName.CLUBHEAD, 20.0
"""The point that the machine was unsure of where the lead arm is level, and one sigma of it."""
_LEGS = {
    "lead_ankle": (20, 0),
    "trail_ankle": (-20, 0),
    "lead_hip": (10, -1),
    "trail_hip": (-10, -1),
}


@dataclass(frozen=True, slots=True)
class Film:
    """A film, the frames of address, lead arm parallel and top in it, and how large the golfer is."""

    cadence: Cadence
    view: View
    frames: tuple[int, int, int]
    leg_px: float = 300.0

    @property
    def keyframes(self) -> Mapping[KeyframeId, int]:
        """Frames by instant."""
        return dict(zip(measured.STANDING_BY, self.frames, strict=True))


def _at(name: str) -> Cadence:
    return next(replace(one, frames=FRAMES) for one in CADENCES if one.name == name)


FACE_ON = Film(_at("60 a second"), View.FACE_ON, (20, 60, 75))
BEHIND = Film(_at("variable"), View.DOWN_THE_LINE, (10, 40, 70))
BEFORE = Film(_at("30 a second"), View.FACE_ON, (30, 50, 90), leg_px=200.0)


@dataclass(frozen=True, slots=True)
class Seeded:
    """A review in its coach's hands, and the cookies of its coach and its student."""

    review_id: str
    cookie: str
    submission_id: str
    student_cookie: str


def seed(house: House, folder: Path, *, elbow: bool = False) -> Seeded:
    """An earlier answer with ``BEFORE``, and a review with ``FACE_ON`` and ``BEHIND`` in the coach's hands.

    ``elbow``: a second number, the lead elbow's bend, is read where the lead arm is level.
    """
    settings = Settings(data_dir=house.folder, base_url=house.base_url)
    storage = open_storage(settings)
    engine = make_engine(settings.effective_database_url)
    try:
        with make_session_factory(engine)() as session:
            student = factories.make_member(session)
            coach = factories.make_member(session, Role.COACH, academy=student.academy)
            earlier = _submission(session, storage, student, [BEFORE], folder, days_ago=7)
            _answer(session, storage, coach, earlier, settings)
            new = _submission(session, storage, student, [FACE_ON, BEHIND], folder, elbow=elbow)
            review = _review(session, new)
            reviews.claim(_desk(session, coach), review.id)
            cookie = factories.make_session(session, coach).cookie
            theirs = factories.make_session(session, student).cookie
            session.commit()
            return Seeded(str(review.id), cookie, str(new.id), theirs)
    finally:
        engine.dispose()


@dataclass(frozen=True, slots=True)
class Waiting:
    """Reviews that wait, and a coach's cookie."""

    cookie: str


def seed_waiting(house: House, folder: Path, *, reviews: int) -> Waiting:
    """So many face-on clips of different students, each waiting, and a coach who may take them."""
    settings = Settings(data_dir=house.folder, base_url=house.base_url)
    engine = make_engine(settings.effective_database_url)
    try:
        with make_session_factory(engine)() as session:
            coach = factories.make_member(session, Role.COACH)
            for _ in range(reviews):
                student = factories.make_member(session, academy=coach.academy)
                _submission(session, open_storage(settings), student, [FACE_ON], folder)
            cookie = factories.make_session(session, coach).cookie
            session.commit()
            return Waiting(cookie)
    finally:
        engine.dispose()


@dataclass(frozen=True, slots=True)
class Colleagues:
    """A face-on clip that waits, in an academy that has every answer read again, and everybody's cookies."""

    asker: str
    asker_name: str
    colleague: str
    colleague_name: str
    reader: str
    admin: str
    student: str
    submission_id: str


def seed_colleagues(house: House, folder: Path) -> Colleagues:
    """Three coaches, one waiting clip of one student, and an admin."""
    settings = Settings(data_dir=house.folder, base_url=house.base_url)
    engine = make_engine(settings.effective_database_url)
    try:
        with make_session_factory(engine)() as session:
            academy = factories.make_academy(session, double_read_share=1.0)
            members = [
                factories.make_member(
                    session, role, academy=academy, person=factories.make_person(session, name=name)
                )
                for role, name in (
                    (Role.COACH, "Rosa Kern"),
                    (Role.COACH, "Tom Ilves"),
                    (Role.COACH, "Ivo Marin"),
                    (Role.ADMIN, "Nadja Orel"),
                    (Role.STUDENT, "Mira Sand"),
                )
            ]
            student = members[-1]
            note = "Do I set the club too early?"
            new = _submission(
                session, open_storage(settings), student, [FACE_ON], folder, note=note
            )
            cookies = [factories.make_session(session, member).cookie for member in members]
            rosa, tom, ivo, admin, mira = cookies
            session.commit()
            return Colleagues(
                rosa, "Rosa Kern", tom, "Tom Ilves", ivo, admin, mira, submission_id=str(new.id)
            )
    finally:
        engine.dispose()


def _submission(
    session: Session,
    storage: Storage,
    student: Membership,
    films: list[Film],
    folder: Path,
    *,
    days_ago: int = 0,
    note: str = "",
    elbow: bool = False,
) -> Submission:
    now = datetime.now(UTC)
    given = {"state": "analysing", "received_at": now, "due_at": now + timedelta(hours=48)}
    submission = factories.make_submission(session, student, note=note, **given)
    arrived = now - timedelta(days=days_ago) if days_ago else now + timedelta(seconds=1)
    for film in films:
        clip = factories.make_clip(session, submission, view=film.view.value, received_at=arrived)
        for name, data in _products(film).items():
            storage.put_bytes(product_key(clip.id, measured.PIPELINE, name), data)
        found = measured.measurement()
        instants: dict[KeyframeId, Keyframe | Missing] = {
            keyframe: Keyframe(film.cadence.ticks()[frame] / 90_000, 0.004, frame)
            for keyframe, frame in film.keyframes.items()
        }
        angle = found.swings[0].checkpoints[measured.ANGLE]
        assert isinstance(angle, Reading)
        doubtful = replace(angle, inputs={**angle.inputs, sigma_input(UNSURE): UNSURE_PX})
        readings: dict[CheckpointId, Reading | Missing] = {measured.ANGLE: doubtful}
        if elbow and film is FACE_ON:
            readings[CheckpointId.LEAD_ELBOW_BEND] = measured.elbow_reading()
        swing = replace(found.swings[0], keyframes=instants, checkpoints=readings)
        seen = Seen(film.view, film.view, None, None)
        store_measured(session, clip.id, replace(found, view=seen, swings=(swing,)))
    session.flush()
    session.refresh(submission)
    return submission


@cache
def _products(film: Film) -> dict[str, bytes]:
    """What the worker would leave of a film; made once for all tests, since encoding takes most of their time."""
    with tempfile.TemporaryDirectory(prefix="fl-numbered-") as folder:
        made, times = make_proxy(Path(folder), film.cadence)
        proxy = made.read_bytes()
    points = {
        name: [360.0 + across, 1100.0 + down * film.leg_px, 2.0]
        for name, (across, down) in _LEGS.items()
    }
    frames = {
        str(frame): points
        | {name.value: [*at, 2.0] for name, at in measured.points_at(frame).items()}
        for frame in range(FRAMES)
    }
    stills = {
        still_name(frame): cv2.imencode(".jpg", picture(frame))[1].tobytes()
        for at in film.frames
        for frame in range(at - NEAR_FRAMES, at + NEAR_FRAMES + 1)
    }
    return stills | {
        "proxy.mp4": proxy,
        "frame_times.json": json.dumps({"times_s": list(times)}).encode(),
        "tracks.json": json.dumps({"schema": "fairlead.tracks/1", "frames": frames}).encode(),
    }


def _review(session: Session, submission: Submission) -> Review:
    return session.query(Review).filter_by(submission_id=submission.id).one()


def _desk(session: Session, coach: Membership) -> reviews.Desk:
    lease = timedelta(hours=1)
    return reviews.Desk(session, factories.actor_of(coach), datetime.now(UTC), lease)


def _answer(
    session: Session,
    storage: Storage,
    coach: Membership,
    submission: Submission,
    settings: Settings,
) -> None:
    desk, review = _desk(session, coach), _review(session, submission)
    reviews.claim(desk, review.id)
    reviews.change_draft(desk, review.id, None, DraftParts(text="Good."))
    answers.send_answer(desk, review.id, None, answers.Sending(storage, settings.base_url, b"lots"))

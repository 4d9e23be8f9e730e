"""A clip that comes late: it is judged, or refused in words. Never received and forgotten.

On both databases. A second view once arrived after the coach had begun, was acknowledged, and was in
no answer; and of two views to be filmed again only the first could be sent.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select, update
from sqlalchemy.orm import Session, sessionmaker

from api.db.analyses import settle_stuck, store_measured
from api.db.models import Clip, Submission, Upload
from api.db.submissions import SILENT_AFTER
from api.db.uploads import finish_upload, sweep_uploads
from api.domain.names import Role
from api.settings import Settings
from api.storage.keys import original_key
from api.storage.local import LocalStorage
from api.storage.uploads import UploadShelf
from tests import factories, measured
from tests.api.browsers import Answered, Browser, open_browser
from tests.api.tus_client import opened, send

FILM = b"film" * 1000
DRAFT = {"text": "One thing today.", "drills": []}


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


@pytest.fixture
def pupil(app: FastAPI, session: Session, client: TestClient) -> Browser:
    return open_browser(app, session, factories.make_member(session))


@pytest.fixture
def started(pupil: Browser) -> str:
    return str(pupil.post("/submissions", {"handed": "right"}, key="1").ok()["id"])


@pytest.fixture
def coach(app: FastAPI, session: Session, started: str) -> Browser:
    academy = session.scalars(select(Submission)).one().student.academy
    return open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))


@pytest.fixture
def shelf(settings: Settings) -> UploadShelf:
    return UploadShelf(settings.uploads_dir, LocalStorage(settings.clips_dir))


@pytest.fixture
def measure(app: FastAPI, session: Session) -> Callable[[], None]:
    """What a worker does with every clip that waits for it."""

    def run() -> None:
        session.commit()
        for clip in session.scalars(select(Clip).where(Clip.state == "received")).all():
            measured.store_products(app.state.storage, clip)
            store_measured(session, clip.id, measured.measurement())
        session.commit()

    return run


def open_url(pupil: Browser, submission_id: str, view: str) -> str:
    return str(opened(pupil.client, submission_id, len(FILM), view).headers["Location"])


def film(pupil: Browser, submission_id: str, view: str) -> None:
    assert send(pupil.client, open_url(pupil, submission_id, view), FILM).status_code == 204


def state(pupil: Browser, submission_id: str) -> str:
    return str(pupil.get(f"/submissions/{submission_id}").ok()["state"])


def send_answer(coach: Browser, review: dict[str, Any], key: str = "s") -> Answered:
    return coach.post(f"/reviews/{review['id']}/send", etag=review["version"], key=key)


def test_a_second_view_that_is_late_is_refused_in_words(
    pupil: Browser, coach: Browser, started: str, measure: Callable[[], None]
) -> None:
    film(pupil, started, "face-on")
    measure()
    late = open_url(pupil, started, "down-the-line")
    assert send(pupil.client, late, FILM[:100]).status_code == 204
    coach.post("/reviews/claim-next").ok()
    answer = send(pupil.client, late, FILM[100:], 100)
    assert answer.status_code == 410
    assert "coach has begun" in answer.json()["detail"]
    assert "Fairlead-Clip-Id" not in answer.headers


def test_a_whole_upload_that_loses_the_race_against_a_coach_leaves_nothing(
    pupil: Browser,
    started: str,
    session: Session,
    session_factory: sessionmaker[Session],
    shelf: UploadShelf,
    measure: Callable[[], None],
) -> None:
    """As if the coach came between the last byte and the transaction, without ending the upload."""
    film(pupil, started, "face-on")
    measure()
    url = open_url(pupil, started, "down-the-line")
    assert send(pupil.client, url, FILM[:100]).status_code == 204
    upload = session.scalars(select(Upload).where(Upload.view == "down-the-line")).one()
    session.execute(update(Submission).values(state="answered"))
    session.commit()
    with shelf.writing(upload.id) as part:
        part.append(FILM[100:])
    assert finish_upload(session_factory, shelf, upload.id, now=datetime.now(UTC)) is None
    assert session.scalars(select(Clip.view)).all() == ["face-on"]
    assert upload.id not in shelf.ids()


def test_no_answer_is_sent_past_a_clip_that_is_being_measured(
    pupil: Browser, coach: Browser, started: str, measure: Callable[[], None]
) -> None:
    film(pupil, started, "face-on")
    measure()
    film(pupil, started, "down-the-line")
    review = coach.post("/reviews/claim-next").ok()
    review = coach.patch(f"/reviews/{review['id']}/draft", DRAFT, etag=review["version"]).ok()
    early = send_answer(coach, review)
    assert (early.status_code, early.json()["code"]) == (409, "still_measuring")
    measure()
    unseen = send_answer(coach, review)
    assert (unseen.status_code, unseen.json()["code"]) == (412, "stale")
    seen = coach.get(f"/reviews/{review['id']}").ok()
    assert {clip["view"] for clip in seen["submission"]["clips"]} == {"face-on", "down-the-line"}
    send_answer(coach, seen).ok()
    assert state(pupil, started) == "answered"


@pytest.mark.parametrize("between", [False, True])
def test_both_views_can_be_filmed_again_one_after_the_other(
    pupil: Browser,
    coach: Browser,
    started: str,
    session: Session,
    measure: Callable[[], None],
    between: bool,  # noqa: FBT001 - whether the first is measured before the second comes
) -> None:
    film(pupil, started, "face-on")
    film(pupil, started, "down-the-line")
    measure()
    review = coach.post("/reviews/claim-next").ok()
    why = {"causes": ["other"], "message": "Both from further back, please."}
    coach.post(f"/reviews/{review['id']}/ask-refilm", why).ok()
    for view in ("face-on", "down-the-line"):
        film(pupil, started, view)
        if between:
            measure()
    measure()
    session.expire_all()
    clips = session.scalars(select(Clip).order_by(Clip.id)).all()
    session.commit()
    assert [clip.replaced_at is None for clip in clips] == [False, False, True, True]
    assert state(pupil, started) == "waiting"
    again = opened(pupil.client, started, len(FILM), "face-on")
    assert (again.status_code, again.json()["code"]) == (409, "view_already_sent")


def test_a_silent_upload_does_not_keep_a_measured_clip_from_its_coach(
    pupil: Browser,
    coach: Browser,
    started: str,
    session: Session,
    measure: Callable[[], None],
) -> None:
    silent = open_url(pupil, started, "down-the-line")
    film(pupil, started, "face-on")
    measure()
    assert settle_stuck(session) == 0
    session.execute(update(Upload).values(heard_at=datetime.now(UTC) - SILENT_AFTER))
    session.commit()
    assert settle_stuck(session) == 1
    session.commit()
    assert state(pupil, started) == "waiting"
    assert (
        send(pupil.client, silent, FILM).status_code == 204
    )  # until a coach takes it, it is welcome
    measure()
    assert len(coach.post("/reviews/claim-next").ok()["submission"]["clips"]) == 2


def test_a_key_used_for_one_version_does_not_answer_for_another(
    pupil: Browser, coach: Browser, started: str, measure: Callable[[], None]
) -> None:
    """Sent, called back, changed, sent with the old key: it was once said to be sent, and was not."""
    film(pupil, started, "face-on")
    measure()
    review = coach.post("/reviews/claim-next").ok()
    draft = f"/reviews/{review['id']}/draft"
    review = coach.patch(draft, DRAFT, etag=review["version"]).ok()
    send_answer(coach, review, "same").ok()
    assert send_answer(coach, review, "same").headers["Idempotency-Replayed"] == "true"
    called_back = coach.post(f"/reviews/{review['id']}/recall").ok()
    again = send_answer(coach, called_back, "same")
    assert (again.status_code, again.json()["code"]) == (422, "idempotency_key_reused")
    assert state(pupil, started) == "with_coach"


def test_a_withdrawn_film_goes_also_from_where_a_crash_left_it(
    pupil: Browser,
    started: str,
    session: Session,
    session_factory: sessionmaker[Session],
    settings: Settings,
    shelf: UploadShelf,
) -> None:
    url = open_url(pupil, started, "face-on")
    upload = session.scalars(select(Upload)).one()
    session.commit()
    with shelf.writing(upload.id) as part:
        part.append(FILM)
    shelf.hand_over(upload.id)  # ... and the server dies before its transaction
    stored = settings.clips_dir / original_key(upload.id)
    held_back = settings.uploads_dir / f"{upload.id}.chunk"
    held_back.write_bytes(FILM)  # another piece, killed before its checksum was known
    assert stored.exists()
    pupil.post(f"/submissions/{started}/withdraw").ok()
    sweep_uploads(session_factory, shelf, now=datetime.now(UTC) + timedelta(seconds=5))
    assert not stored.exists()
    assert not held_back.exists()
    assert send(pupil.client, url, FILM).status_code == 410


def test_uploads_leave_room_for_everything_else(
    pupil: Browser, started: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = open_url(pupil, started, "face-on")
    monkeypatch.setattr(UploadShelf, "free_bytes", lambda _: 128 * 1024**2 + len(FILM) - 1)
    full = send(pupil.client, url, FILM)
    assert (full.status_code, full.json()["code"]) == (507, "storage_full")
    monkeypatch.undo()
    assert send(pupil.client, url, FILM).status_code == 204

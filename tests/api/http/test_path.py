"""The whole path over HTTP on both databases: a clip in, a correction, an answer out."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.analyses import store_measured
from api.db.models import AuditEvent, Clip, Job
from api.domain.names import Role
from tests import factories, measured
from tests.api.browsers import open_browser
from tests.api.tus_client import opened, send

CONTENT = b"not really a film, but sent like one" * 1000
DRILL = {"drill_id": "stop-and-look", "sets": 3, "reps": 5, "pause_s": 2, "days_per_week": 4}


@pytest.fixture
def database_url(either_url: str) -> str:
    return either_url


def test_from_clip_to_answer(app: FastAPI, session: Session, client: TestClient) -> None:
    student = factories.make_member(session)
    pupil = open_browser(app, session, student)
    coach = open_browser(
        app, session, factories.make_member(session, Role.COACH, academy=student.academy)
    )

    submission = pupil.post("/submissions", {"handed": "right", "note": "Too late?"}, key="1").ok()
    url = opened(pupil.client, submission["id"], len(CONTENT)).headers["Location"]
    half = len(CONTENT) // 2
    for start, end in ((0, half), (half, len(CONTENT))):
        assert send(pupil.client, url, CONTENT[start:end], start).status_code == 204
    assert pupil.get(f"/submissions/{submission['id']}").ok()["state"] == "analysing"

    clip = session.scalars(select(Clip)).one()
    assert session.scalars(select(Job)).one().subject_id == clip.id
    measured.store_products(app.state.storage, clip)
    store_measured(session, clip.id, measured.measurement())
    session.commit()

    review = coach.post("/reviews/claim-next").ok()
    place = f"/reviews/{review['id']}/marks/{clip.id}/0/lead_arm_parallel"
    review = coach.put(place, {"frame": 65}, etag=review["version"]).ok()
    draft = {"text": "Set a little earlier.", "drills": [DRILL]}
    draft_url = f"/reviews/{review['id']}/draft"
    review = coach.patch(draft_url, draft, etag=review["version"]).ok()
    send_url = f"/reviews/{review['id']}/send"
    coach.post(send_url, etag=review["version"], key="s").ok()
    review = coach.post(f"/reviews/{review['id']}/recall").ok()
    coach.post(send_url, etag=review["version"], key="t").ok()

    answer = pupil.get(f"/submissions/{submission['id']}").ok()["answer"]
    assert answer["text"] == "Set a little earlier."
    assert answer["readings"][0]["value"] == pytest.approx(100.0)
    assert answer["drills"][0]["pause_s"] == 2
    assert coach.get("/reviews?state=answered").ok()["counts"]["answered"] == 1
    acts = session.scalars(select(AuditEvent.act).order_by(AuditEvent.id)).all()
    session.commit()
    assert list(acts) == [
        "submission.started",
        "upload.opened",
        "clip.received",
        "clip.measured",
        "review.claimed",
        "review.mark_set",
        "review.draft_changed",
        "review.sent",
        "review.recalled",
        "review.sent",
    ]

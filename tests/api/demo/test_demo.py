"""The demo's academy: every state is there, and a second start changes nothing."""

import json
import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import func, select
from sqlalchemy.orm import Session, sessionmaker

from api.db.analyses import store_measured, store_refused
from api.db.models import Answer, Clip, DrillAssignment, Membership, Submission
from api.db.session import transaction
from api.demo import __main__ as demo
from api.demo.people import PEOPLE
from api.demo.scenes import SCENES
from api.demo.sending import CLIPS, House
from api.domain.refusals import RefusalCode, refuse
from api.domain.states import ClipState, SubmissionState
from api.settings import Settings
from tests import measured


@pytest.fixture(autouse=True)
def _environment(monkeypatch: pytest.MonkeyPatch, settings: Settings) -> None:
    monkeypatch.setenv("FAIRLEAD_DATA_DIR", str(settings.data_dir))
    monkeypatch.setenv("FAIRLEAD_DATABASE_URL", settings.database_url)
    monkeypatch.setenv("FAIRLEAD_BASE_URL", settings.base_url)


@pytest.fixture(autouse=True)
def _worker(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stand-in for the worker: measures, or refuses what is no film, when the demo waits."""

    def measure_all(house: House, _submission_id: object, _deadline: float) -> None:
        with transaction(house.factory) as session:
            waiting = session.scalars(select(Clip).where(Clip.state == ClipState.RECEIVED)).all()
            for clip in waiting:
                if clip.filename.startswith("IMG_"):
                    refusal = refuse(RefusalCode.NOT_A_VIDEO)
                    store_refused(session, clip.id, refusal.code, refusal.message)
                else:
                    store_measured(session, clip.id, measured.measurement())

    monkeypatch.setattr(demo, "_wait_until_measured", measure_all)


def states(factory: sessionmaker[Session]) -> list[str]:
    with factory() as session:
        return sorted(session.scalars(select(Submission.state)))


def test_every_state_is_there(session_factory: sessionmaker[Session]) -> None:
    assert demo.main([]) == 0
    assert set(states(session_factory)) == set(SubmissionState)
    with session_factory() as session:
        handed = set(session.scalars(select(Submission.handed)))
        roles = sorted(session.scalars(select(Membership.role)))
        assert session.scalar(select(func.count()).select_from(Answer)) == 1
        assert session.scalar(select(func.count()).select_from(DrillAssignment)) == 2
    assert handed == {"left", "right"}
    assert roles == sorted(person.role.value for person in PEOPLE)


def test_a_second_start_changes_nothing_but_the_links(
    session_factory: sessionmaker[Session], capsys: pytest.CaptureFixture[str]
) -> None:
    assert demo.main(["--json"]) == 0
    before, first = states(session_factory), capsys.readouterr().out
    with session_factory() as session:
        clips = session.scalar(select(func.count()).select_from(Clip))
    assert demo.main(["--json"]) == 0
    second = capsys.readouterr().out
    # The last scene was being measured; the second start finds it measured or still on its way.
    assert len(states(session_factory)) == len(before)
    with session_factory() as session:
        assert session.scalar(select(func.count()).select_from(Clip)) == clips
    assert first != second


def test_the_links_sign_in_once(
    client: TestClient, capsys: pytest.CaptureFixture[str], settings: Settings
) -> None:
    demo.main(["--json"])
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["role"] for line in lines] == ["student", "coach", "admin"]
    for line in lines:
        address, _, token = line["link"].partition("#token=")
        assert address == f"{settings.base_url}/sign-in"
        client.cookies.clear()
        answer = client.post("/api/v1/sessions", json={"token": token})
        assert answer.json()["active"]["role"] == line["role"]
        assert client.post("/api/v1/sessions", json={"token": token}).status_code == 410


def test_the_clips_it_names_are_in_the_tree() -> None:
    named = {name for scene in SCENES if not scene.not_a_video for _, name in scene.clips}
    assert named <= {path.name for path in Path(CLIPS).glob("*.mp4")}


def test_for_people_it_prints_one_line_each(capsys: pytest.CaptureFixture[str]) -> None:
    demo.main([])
    lines = capsys.readouterr().out.splitlines()
    assert [re.split(r"\s+", line)[0] for line in lines] == ["Student", "Coach", "Admin"]

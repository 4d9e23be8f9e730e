"""What a sweep does beside jobs and uploads, which tests/faults/ and tests/api/ watch."""

import threading
from datetime import timedelta

import pytest
from sqlalchemy import Engine, select
from sqlalchemy.orm import Session, sessionmaker

from api.db.base import utc_now
from api.db.models import IdempotencyKey
from api.db.session import transaction
from api.settings import Settings
from api.storage.uploads import UploadShelf
from tests.factories import make_member
from worker.setting_up import Setup, set_up
from worker.sweeper import sweep


@pytest.fixture
def setup(settings: Settings, engine: Engine) -> Setup:
    return set_up(settings, threading.Event())


def _remember(factory: sessionmaker[Session], key: str, age: timedelta) -> None:
    with transaction(factory) as session:
        member = make_member(session)
        session.add(
            IdempotencyKey(
                membership_id=member.id,
                route="POST /submissions",
                key=key,
                request_sha256="0" * 64,
                status=201,
                response={},
                created_at=utc_now() - age,
            )
        )


def test_first_answers_are_forgotten_when_no_repeat_can_be_meant(setup: Setup) -> None:
    kept_for = setup.settings.repeats_known
    _remember(setup.factory, "old", kept_for + timedelta(minutes=1))
    _remember(setup.factory, "young", kept_for - timedelta(minutes=1))

    swept = sweep(setup, UploadShelf(setup.settings.uploads_dir, setup.storage))

    assert swept.answers_forgotten == 1
    with transaction(setup.factory) as session:
        assert session.scalars(select(IdempotencyKey.key)).all() == ["young"]

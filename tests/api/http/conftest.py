"""One academy's people, signed in. A test module that needs others defines its own under the same name."""

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy.orm import Session

from api.db.models import Academy, Membership
from api.domain.names import Role
from api.http import queue_events
from api.storage.base import Storage
from tests import factories
from tests.api.browsers import Browser, open_browser


@pytest.fixture
def academy(session: Session) -> Academy:
    return factories.make_academy(session)


@pytest.fixture
def storage(app: FastAPI, client: TestClient) -> Storage:
    """The running application's store; ``client`` has started it."""
    stored: Storage = app.state.storage
    return stored


@pytest.fixture
def student(session: Session, academy: Academy) -> Membership:
    return factories.make_member(session, academy=academy)


@pytest.fixture
def coach(app: FastAPI, session: Session, academy: Academy, client: TestClient) -> Browser:
    return open_browser(app, session, factories.make_member(session, Role.COACH, academy=academy))


@pytest.fixture
def pupil(app: FastAPI, session: Session, student: Membership, client: TestClient) -> Browser:
    """``student``'s browser."""
    return open_browser(app, session, student)


@pytest.fixture(autouse=True)
def _streams_of_the_queue_end(monkeypatch: pytest.MonkeyPatch) -> None:
    """At once: a caller who reads a whole answer would wait ten minutes for it."""
    monkeypatch.setattr(queue_events, "LASTS_S", 0.0)

"""Generated requests against the whole document: whatever comes, no 500 and nothing undocumented.

Bounded: a fixed seed and a few examples an operation. Runs over real HTTP on loopback, because the
test client forgives what a socket does not.
"""

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import hypothesis
import pytest
import schemathesis
import uvicorn
from hypothesis import HealthCheck, Phase
from hypothesis.errors import Unsatisfiable
from schemathesis import Case, GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.core.result import Ok
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from sqlalchemy.orm import Session

from api.domain.names import Role
from api.http.app import create_app
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from api.settings import Settings
from tests import factories
from tests.services import free_port

EXAMPLES = 6
SIGNS_OUT = "DELETE /api/v1/sessions/current"
"""Tried elsewhere; here it would turn every later answer into 401."""

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


@dataclass
class Caller:
    """Where the app listens, and a signed-in member with things of their own."""

    base: str
    headers: dict[str, str]
    ids: dict[str, str]


@pytest.fixture(params=list(Role))
def caller(
    request: pytest.FixtureRequest, settings: Settings, session: Session
) -> Iterator[Caller]:
    academy = factories.make_academy(session)
    member = factories.make_member(session, request.param, academy=academy)
    student = factories.make_member(session, academy=academy)
    owner = member if request.param is Role.STUDENT else student
    # In its last state, so that its stream of events ends by itself.
    submission = factories.make_submission(session, owner, state="withdrawn")
    signed_in = factories.make_session(session, member)
    headers = {
        "Cookie": f"{SESSION_COOKIE}={signed_in.cookie}",
        CSRF_HEADER: signed_in.csrf_token,
    }
    ids = {
        "membership_id": student.id,
        "club_id": factories.make_club(session, member.person).id,
        "submission_id": submission.id,
    }
    session.commit()
    with listening(settings) as base:
        yield Caller(base, headers, {name: str(value) for name, value in ids.items()})


@contextmanager
def listening(settings: Settings) -> Iterator[str]:
    """The app on a free loopback port."""
    port = free_port()
    config = uvicorn.Config(
        create_app(settings), host="127.0.0.1", port=port, log_level="error", access_log=False
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    while not server.started:
        time.sleep(0.01)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(timeout=10)


def attack(operation: Any, mode: GenerationMode, caller: Caller) -> int:  # noqa: ANN401 - an APIOperation
    """Send generated requests of one operation; how many were sent."""
    sent = 0

    @hypothesis.settings(
        max_examples=EXAMPLES,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @hypothesis.given(case=operation.as_strategy(generation_mode=mode))
    def send(case: Case[Any]) -> None:
        nonlocal sent
        known = {name: caller.ids[name] for name in case.path_parameters if name in caller.ids}
        case.path_parameters = {**case.path_parameters, **known}
        response = case.call(headers=caller.headers)
        sent += 1
        case.validate_response(response, checks=CHECKS)

    try:
        send()
    except Unsatisfiable:
        # No parameters and no body: there is nothing to get wrong.
        assert mode is GenerationMode.NEGATIVE
    return sent


@pytest.mark.slow
@pytest.mark.parametrize("mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE])
def test_nothing_generated_breaks_the_service_or_its_document(
    caller: Caller, mode: GenerationMode
) -> None:
    schema = schemathesis.openapi.from_url(f"{caller.base}/api/v1/openapi.json")
    sent = 0
    for result in schema.get_all_operations():
        assert isinstance(result, Ok)  # else the document itself is broken
        operation = result.ok()
        if operation.label != SIGNS_OUT:
            sent += attack(operation, mode, caller)
    assert sent > 100

"""What goes wrong answers as a problem, tells no secrets, and never as a success."""

import errno
import json
import sys
from collections.abc import Callable

import pytest
from fastapi import FastAPI, Request
from fastapi.testclient import TestClient
from sqlalchemy import event, select, text
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry

from api.db.models import Club, Membership
from api.http.app import MAX_BODY_BYTES
from api.http.deps import DbSession
from tests import factories

SignIn = Callable[[Membership], TestClient]


class Unlucky(Exception):
    """Our own bug, with something private in its text."""


@pytest.fixture
def student(session: Session) -> Membership:
    return factories.make_member(session)


def test_a_commit_that_fails_answers_500_and_keeps_nothing(
    app: FastAPI, session: Session, student: Membership, as_member: SignIn
) -> None:
    # With the default scope of a dependency the answer leaves first, and says 201.
    phone = as_member(student)

    def fail(_session: Session) -> None:
        raise Unlucky("ana@example.org")

    event.listen(app.state.session_factory, "before_commit", fail)
    answer = phone.post("/api/v1/clubs", json={"name": "7 iron", "length_m": 0.94})
    event.remove(app.state.session_factory, "before_commit", fail)
    assert answer.status_code == 500
    assert answer.json()["code"] == "internal"
    assert session.scalars(select(Club)).all() == []


def test_a_bug_is_answered_without_leak_and_logged_without_private_text(
    app: FastAPI, client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    @app.get("/api/v1/bug")
    def bug() -> None:
        raise Unlucky("ana@example.org")

    app.router.routes.insert(0, app.router.routes.pop())  # before the pages' catch-all
    answer = client.get("/api/v1/bug")
    assert answer.status_code == 500
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert "Unlucky" not in answer.text
    assert "ana@" not in answer.text
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    logged = next(line for line in lines if line["event"] == "unexpected_error")
    assert logged["kind"] == "Unlucky"
    assert "test_failures.py" in logged["trace"][-1]
    assert "ana@" not in json.dumps(lines)
    assert logged["request_id"] == answer.headers["X-Request-Id"]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


def test_a_broken_statement_is_our_bug_and_a_locked_database_is_not(
    app: FastAPI, client: TestClient
) -> None:
    @app.get("/api/v1/broken")
    def broken(session: DbSession) -> None:
        session.execute(text("SELECT * FROM no_such_table"))

    @app.get("/api/v1/locked")
    def locked(request: Request) -> None:
        raise OperationalError(str(request.url), {}, Exception("database is locked"))

    for _ in range(2):
        app.router.routes.insert(0, app.router.routes.pop())
    assert client.get("/api/v1/broken").status_code == 500
    answer = client.get("/api/v1/locked")
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")
    assert answer.headers["Retry-After"] == "2"
    assert "SELECT" not in answer.text


def test_a_locked_sqlite_answers_busy(
    client: TestClient, session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.db.session._BUSY_TIMEOUT_MS", 50)
    session.execute(text("SELECT 1"))  # holds the write lock: transactions begin IMMEDIATE
    answer = client.post("/api/v1/sessions", json={"token": "x"})
    assert (answer.status_code, answer.json()["code"]) == (503, "busy")


@pytest.mark.parametrize(
    "path", ["/nothing", "/api/v1/nothing", "/api/v2/me", "/student/nothing", "/a/b/c"]
)
def test_an_unknown_path_is_a_problem(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json()["code"] == "not_found"


def test_a_wrong_method_is_a_problem_that_names_the_right_ones(client: TestClient) -> None:
    answer = client.put("/api/v1/sessions", json={})
    assert (answer.status_code, answer.json()["code"]) == (405, "method_not_allowed")
    assert answer.headers["Allow"] == "POST"


def test_a_body_that_is_too_large_is_refused_unread(client: TestClient) -> None:
    big = b'{"email": "' + b"a" * MAX_BODY_BYTES + b'"}'
    answer = client.post(
        "/api/v1/sign-in-links", content=big, headers={"Content-Type": "application/json"}
    )
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_a_refused_body_is_not_logged_as_a_bug(
    client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    for path in ("/api/v1/sign-in-links", "/api/v1/clubs", "/nothing"):
        assert client.post(path, content=b"a" * (MAX_BODY_BYTES + 1)).status_code == 413
    events = [json.loads(line)["event"] for line in capsys.readouterr().out.splitlines()]
    assert events == ["request"] * 3


def test_a_body_without_declared_length_is_counted(client: TestClient) -> None:
    def chunks() -> "list[bytes]":
        return [b"a" * 65536] * (MAX_BODY_BYTES // 65536 + 1)

    answer = client.post(
        "/api/v1/sign-in-links",
        content=iter(chunks()),
        headers={"Content-Type": "application/json"},
    )
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")


@pytest.mark.parametrize(
    "body",
    [b'{"token": NaN}', b'{"token": "s3cr3t\\u0000"}', b'{"toke": "s3cr3t"}', b"s3cr3t", b"\xff"],
)
def test_a_refused_body_is_not_sent_back(client: TestClient, body: bytes) -> None:
    answer = client.post(
        "/api/v1/sessions", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == (400 if body == b"\xff" else 422)  # not even text: 400
    assert answer.json()["code"] == "invalid"
    assert "s3cr3t" not in answer.text
    assert "NaN" not in answer.text


def test_every_answer_carries_the_security_headers(client: TestClient) -> None:
    for path in ("/", "/healthz", "/api/v1/me", "/nothing", "/api/v1/openapi.json"):
        headers = client.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert "unsafe" not in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "no-referrer"
        assert headers["X-Request-Id"]


def test_answers_about_people_are_not_cached(student: Membership, as_member: SignIn) -> None:
    assert as_member(student).get("/api/v1/me").headers["Cache-Control"] == "no-store"


def test_the_log_knows_the_route_and_no_secret(
    client: TestClient, capsys: pytest.CaptureFixture[str]
) -> None:
    client.get("/api/v1/problems/s3cr3t?signature=s3cr3t", headers={"Cookie": "x=s3cr3t"})
    (line,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert line["route"] == "/api/v1/problems/{code}"
    assert line["status"] == 404
    assert "s3cr3t" not in json.dumps(line)


def test_request_ids_come_from_us(client: TestClient) -> None:
    # A caller's own would let them write into our log and audit trail.
    answer = client.get("/healthz", headers={"X-Request-Id": "mine"})
    assert answer.headers["X-Request-Id"] != "mine"


def test_a_full_disk_under_the_database_is_said_in_words(
    app: FastAPI, student: Membership, as_member: SignIn
) -> None:
    """SQLite's own limit on pages gives the very error that a full disk gives."""
    phone = as_member(student)

    def no_more_pages(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
        cursor = connection.cursor()
        cursor.execute("PRAGMA max_page_count = 1")  # taken as: not one page more than now
        cursor.close()

    app.state.engine.dispose()
    event.listen(app.state.engine, "connect", no_more_pages)
    answers = [
        phone.post("/api/v1/clubs", json={"name": "7 iron " + "x" * 40, "length_m": 0.94})
        for _ in range(200)
    ]
    event.remove(app.state.engine, "connect", no_more_pages)
    app.state.engine.dispose()
    full = next(answer for answer in answers if answer.status_code != 201)
    assert (full.status_code, full.json()["code"]) == (507, "storage_full")


def test_a_log_line_that_cannot_be_written_fails_no_request(
    app: FastAPI, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the logs on the full disk, the answer once failed because its log line did."""

    def full(*_given: object) -> int:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(app.state.storage, "put_bytes", full)
    monkeypatch.setattr(sys.stdout, "write", full)
    answer = client.get("/readyz")
    monkeypatch.undo()
    assert answer.status_code == 503
    assert answer.json() == {"database": "ok", "storage": "failing"}

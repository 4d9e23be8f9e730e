"""Uploads beyond the protocol: whose, how many, what a crash, a full disk or a slow phone does."""

import errno
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection
from pathlib import Path
from uuid import UUID

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from sqlalchemy import select, update
from sqlalchemy.orm import Session, sessionmaker

from api.db import uploads as uploads_db
from api.db.models import AuditEvent, Clip, Job, Membership, Submission, Upload
from api.db.uploads import finish_upload, sweep_uploads
from api.domain.actors import Scope
from api.domain.names import Role
from api.http.deps import CSRF_HEADER, SESSION_COOKIE
from api.settings import Settings
from api.storage.keys import original_key
from api.storage.local import LocalStorage
from api.storage.uploads import PartFile, UploadShelf
from tests import factories
from tests.api.browsers import open_browser
from tests.api.tus_client import PIECE, TUS, metadata, offset_of, opened, send

CONTENT = bytes(range(256)) * 40


def id_of(url: str) -> UUID:
    return UUID(url.rpartition("/")[2])


@pytest.fixture
def submission(session: Session) -> Submission:
    submission = factories.make_submission(session, factories.make_member(session))
    session.commit()
    return submission


@pytest.fixture
def student(as_member: Callable[[Membership], TestClient], submission: Submission) -> TestClient:
    return as_member(submission.student)


@pytest.fixture
def url(student: TestClient, submission: Submission) -> str:
    return str(opened(student, submission.id, len(CONTENT)).headers["Location"])


@pytest.fixture
def shelf(settings: Settings) -> UploadShelf:
    return UploadShelf(settings.uploads_dir, LocalStorage(settings.clips_dir))


class TestCompletion:
    def test_one_transaction_makes_clip_job_and_moves_the_submission(
        self, student: TestClient, session: Session, settings: Settings, url: str
    ) -> None:
        answer = send(student, url, CONTENT)
        clip = session.scalars(select(Clip)).one()
        assert answer.headers["Fairlead-Clip-Id"] == str(clip.id)
        assert clip.bytes == len(CONTENT)
        stored = settings.clips_dir / original_key(clip.id)
        assert stored.read_bytes() == CONTENT
        job = session.scalars(select(Job)).one()
        assert (job.name, job.subject_id, job.state) == ("analyse_clip", clip.id, "queued")
        session.expire_all()
        submission = session.scalars(select(Submission)).one()
        assert submission.state == "analysing"
        assert submission.due_at is not None
        promised = timedelta(hours=submission.student.academy.promise_hours)
        assert submission.due_at - clip.received_at == promised
        acts = session.scalars(select(AuditEvent.act).order_by(AuditEvent.id)).all()
        assert list(acts) == ["upload.opened", "clip.received"]

    def test_the_same_finish_request_twice_is_one_clip(
        self, student: TestClient, session: Session, url: str
    ) -> None:
        first = send(student, url, CONTENT)
        again = [send(student, url, b"", len(CONTENT)) for _ in range(3)]
        assert {one.headers["Fairlead-Clip-Id"] for one in [first, *again]} == {str(id_of(url))}
        assert len(session.scalars(select(Clip)).all()) == 1
        assert len(session.scalars(select(Job)).all()) == 1

    def test_many_finish_at_once_is_one_clip(
        self,
        student: TestClient,
        session_factory: sessionmaker[Session],
        shelf: UploadShelf,
        url: str,
    ) -> None:
        (part,) = list(Path(shelf._root).glob("*.part"))
        part.write_bytes(CONTENT)
        finished: list[UUID | None] = []

        def finish() -> None:
            finished.append(
                finish_upload(session_factory, shelf, id_of(url), now=datetime.now(UTC))
            )

        run_at_once(finish, 8)
        assert finished == [id_of(url)] * 8
        with session_factory() as session:
            assert len(session.scalars(select(Clip)).all()) == 1
            assert len(session.scalars(select(Job)).all()) == 1

    @pytest.mark.parametrize("who", ["head", "patch", "sweeper"])
    @pytest.mark.parametrize(
        ("owner", "step"),
        [(UploadShelf, "hand_over"), (uploads_db, "_record_arrival")],
        ids=["before_moving", "after_moving"],
    )
    def test_a_crash_between_last_byte_and_transaction_is_made_good(
        self,
        student: TestClient,
        session: Session,
        shelf: UploadShelf,
        url: str,
        owner: object,
        step: str,
        who: str,
    ) -> None:
        with pytest.MonkeyPatch.context() as broken:
            broken.setattr(owner, step, power_cut)
            assert send(student, url, CONTENT).status_code == 500
        assert session.scalars(select(Clip)).all() == []
        session.commit()
        if who == "head":
            answer = student.head(url, headers=TUS)
            assert answer.headers["Fairlead-Clip-Id"] == str(id_of(url))
        elif who == "patch":
            assert send(student, url, b"", len(CONTENT)).status_code == 204
        else:
            factory = sessionmaker(session.get_bind(), expire_on_commit=False)
            assert sweep_uploads(factory, shelf, now=datetime.now(UTC)).finished == 1
        clip = session.scalars(select(Clip)).one()
        with shelf._storage.open(original_key(clip.id)) as stored:
            assert stored.read() == CONTENT
        assert session.scalars(select(Job)).one().subject_id == clip.id


def power_cut(*_args: object, **_values: object) -> None:
    raise RuntimeError("the power went")


def run_at_once(work: Callable[[], None], threads: int) -> None:
    gate = threading.Barrier(threads)

    def run() -> None:
        gate.wait()
        work()

    running = [threading.Thread(target=run) for _ in range(threads)]
    for thread in running:
        thread.start()
    for thread in running:
        thread.join(timeout=60)
    assert not any(thread.is_alive() for thread in running)


class TestOwner:
    def test_nobody_else_reaches_an_upload(
        self,
        app: FastAPI,
        session: Session,
        student: TestClient,
        submission: Submission,
        url: str,
    ) -> None:
        academy = submission.student.academy
        others = [
            factories.make_member(session),
            factories.make_member(session, academy=academy),
        ]
        path = f"/api/v1/uploads/{id_of(url)}"
        for member in others:
            other = open_browser(app, session, member).client
            answers = [
                other.head(path, headers=TUS),
                send(other, path, CONTENT),
                other.delete(path, headers=TUS),
                opened(other, submission.id, 10),
            ]
            assert [answer.status_code for answer in answers] == [404] * 4
        assert offset_of(student, url) == 0

    def test_a_coach_sends_no_clips(
        self, app: FastAPI, session: Session, student: TestClient, submission: Submission
    ) -> None:
        coach = factories.make_member(session, Role.COACH, academy=submission.student.academy)
        answer = opened(open_browser(app, session, coach).client, submission.id, 10)
        assert answer.status_code == 403

    def test_not_signed_in(self, client: TestClient, submission: Submission) -> None:
        assert opened(client, submission.id, 10).status_code == 401

    def test_a_token_needs_the_scope(
        self, client: TestClient, session: Session, submission: Submission
    ) -> None:
        reads = factories.make_token(session, submission.student, Scope.CLIPS_READ)
        writes = factories.make_token(session, submission.student, Scope.CLIPS_WRITE)
        session.commit()
        client.headers["Authorization"] = f"Bearer {reads}"
        refused = opened(client, submission.id, 10)
        assert (refused.status_code, refused.json()["code"]) == (403, "scope_missing")
        client.headers["Authorization"] = f"Bearer {writes}"
        assert opened(client, submission.id, 10).status_code == 201


class TestRefusals:
    def test_an_empty_file_is_refused_in_words(
        self, student: TestClient, submission: Submission
    ) -> None:
        answer = opened(student, submission.id, 0)
        assert answer.status_code == 422
        assert answer.json()["code"] == "empty_file"
        assert "empty" in answer.json()["detail"]

    @pytest.mark.parametrize("view", ["sideways", "", "FACE-ON"])
    def test_an_unknown_view(self, student: TestClient, submission: Submission, view: str) -> None:
        answer = opened(student, submission.id, 10, view)
        assert answer.status_code == 422
        assert "face-on" in answer.json()["detail"]

    def test_no_submission_named(self, student: TestClient) -> None:
        headers = {**TUS, "Upload-Length": "10", "Upload-Metadata": metadata(view="face-on")}
        answer = student.post("/api/v1/uploads", headers=headers)
        assert answer.status_code == 422
        assert "submission_id" in answer.json()["detail"]

    def test_a_second_clip_of_the_same_view(
        self, student: TestClient, submission: Submission, url: str
    ) -> None:
        send(student, url, CONTENT)
        answer = opened(student, submission.id, 10)
        assert (answer.status_code, answer.json()["code"]) == (409, "view_already_sent")
        assert "face-on" in answer.json()["detail"]
        assert opened(student, submission.id, 10, "down-the-line").status_code == 201

    def test_filming_again_replaces_the_view(
        self, student: TestClient, session: Session, submission: Submission, url: str
    ) -> None:
        send(student, url, CONTENT)
        session.execute(update(Submission).values(state="refilm_asked", due_at=None))
        session.commit()
        again = str(opened(student, submission.id, 4).headers["Location"])
        assert send(student, again, b"next").status_code == 204
        rows = session.scalars(select(Clip).order_by(Clip.id)).all()
        assert [row.replaced_at is None for row in rows] == [False, True]
        row = session.scalars(select(Submission).execution_options(populate_existing=True)).one()
        assert row.state == "analysing"
        assert row.due_at is not None

    @pytest.mark.parametrize("state", ["with_coach", "answered", "withdrawn"])
    def test_a_submission_that_wants_no_clip(
        self, student: TestClient, session: Session, submission: Submission, state: str
    ) -> None:
        session.execute(update(Submission).values(state=state))
        session.commit()
        answer = opened(student, submission.id, 10)
        assert (answer.status_code, answer.json()["code"]) == (409, "no_clip_wanted")

    def test_choosing_a_file_again_ends_the_half_sent_one(
        self, student: TestClient, submission: Submission, url: str
    ) -> None:
        send(student, url, CONTENT[:100])
        again = opened(student, submission.id, 50)
        assert again.status_code == 201
        assert student.head(url, headers=TUS).status_code == 410

    def test_opened_too_often(self, student: TestClient, submission: Submission) -> None:
        answers = [opened(student, submission.id, 10) for _ in range(61)]
        assert [answer.status_code for answer in answers] == [201] * 60 + [429]
        assert int(answers[-1].headers["Retry-After"]) > 0

    def test_more_than_announced_is_413_before_and_keeps_what_was_there(
        self, student: TestClient, url: str
    ) -> None:
        send(student, url, CONTENT[:100])
        answer = send(student, url, CONTENT, 100)
        assert (answer.status_code, answer.json()["code"]) == (413, "too_large")
        assert offset_of(student, url) == 100

    def test_more_than_announced_is_413_while_it_comes(self, student: TestClient, url: str) -> None:
        def endless() -> Iterator[bytes]:
            for _ in range(3):
                yield CONTENT

        headers = {**PIECE, "Upload-Offset": "0"}  # a generator goes out chunked: no length
        answer = student.patch(url, content=endless(), headers=headers)
        assert answer.status_code == 413
        assert offset_of(student, url) == 0


class TestFullDisk:
    def test_no_room_at_creation(
        self,
        student: TestClient,
        submission: Submission,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        monkeypatch.setattr(UploadShelf, "free_bytes", lambda _self: 1000)
        answer = opened(student, submission.id, 10)
        assert (answer.status_code, answer.json()["code"]) == (507, "storage_full")

    def test_while_writing_keeps_what_fitted(
        self, student: TestClient, monkeypatch: pytest.MonkeyPatch, url: str
    ) -> None:
        whole = PartFile.append

        def fits_a_hundred(self: PartFile, data: bytes) -> None:
            whole(self, data[:100])
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as full:
            full.setattr(PartFile, "append", fits_a_hundred)
            answer = send(student, url, CONTENT)
        assert (answer.status_code, answer.json()["code"]) == (507, "storage_full")
        assert offset_of(student, url) == 100
        send(student, url, CONTENT[100:], 100)
        self.check_stored(student, url)

    def test_at_the_sync_goes_back_to_what_is_safe(
        self, student: TestClient, monkeypatch: pytest.MonkeyPatch, url: str
    ) -> None:
        send(student, url, CONTENT[:50])
        part = id_of(url)

        def no_room(descriptor: int) -> None:
            if str(part) in str(Path(f"/proc/self/fd/{descriptor}").readlink()):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as full:
            full.setattr(os, "fsync", no_room)
            answer = send(student, url, CONTENT[50:], 50)
        assert answer.status_code == 507
        assert offset_of(student, url) == 50
        send(student, url, CONTENT[50:], 50)
        self.check_stored(student, url)

    def check_stored(self, student: TestClient, url: str) -> None:
        app = student.app
        assert isinstance(app, FastAPI)
        with app.state.storage.open(original_key(id_of(url))) as file:
            assert file.read() == CONTENT


class TestOneWriter:
    def test_a_second_writer_is_refused_at_once(
        self, student: TestClient, shelf: UploadShelf, url: str
    ) -> None:
        with shelf.writing(id_of(url)):
            started = time.monotonic()
            answer = send(student, url, CONTENT)
            assert time.monotonic() - started < 2
        assert (answer.status_code, answer.json()["code"]) == (423, "upload_locked")
        assert send(student, url, CONTENT).status_code == 204


class TestSweep:
    def test_abandoned_uploads_expire_and_their_bytes_go(
        self,
        student: TestClient,
        session: Session,
        session_factory: sessionmaker[Session],
        shelf: UploadShelf,
        url: str,
    ) -> None:
        send(student, url, CONTENT[:100])
        later = datetime.now(UTC) + timedelta(hours=25)
        swept = sweep_uploads(session_factory, shelf, now=later)
        assert (swept.finished, swept.expired) == (0, 1)
        assert shelf.ids() == set()
        assert student.head(url, headers=TUS).status_code == 410
        assert session.scalars(select(Upload)).one().state == "expired"

    def test_a_whole_one_is_finished_even_when_its_time_is_up(
        self,
        student: TestClient,
        session_factory: sessionmaker[Session],
        shelf: UploadShelf,
        monkeypatch: pytest.MonkeyPatch,
        url: str,
    ) -> None:
        with monkeypatch.context() as broken:
            broken.setattr(uploads_db, "_record_arrival", power_cut)
            send(student, url, CONTENT)
        later = datetime.now(UTC) + timedelta(hours=25)
        swept = sweep_uploads(session_factory, shelf, now=later)
        assert (swept.finished, swept.expired) == (1, 0)

    def test_files_that_belong_to_nothing_go(
        self, session_factory: sessionmaker[Session], shelf: UploadShelf
    ) -> None:
        stray = factories.unknown_id()
        shelf.create(stray)
        now = datetime.now(UTC)
        assert sweep_uploads(session_factory, shelf, now=now).strays == 0
        later = now + timedelta(hours=2)
        assert sweep_uploads(session_factory, shelf, now=later).strays == 1
        assert shelf.ids() == set()

    def test_an_abandoned_second_view_does_not_hold_the_first_up(
        self,
        student: TestClient,
        session: Session,
        session_factory: sessionmaker[Session],
        shelf: UploadShelf,
        submission: Submission,
        url: str,
    ) -> None:
        send(student, url, CONTENT)
        opened(student, submission.id, 10, "down-the-line")
        session.execute(update(Clip).values(state="failed"))
        session.commit()
        sweep_uploads(session_factory, shelf, now=datetime.now(UTC) + timedelta(hours=25))
        row = session.scalars(select(Submission).execution_options(populate_existing=True)).one()
        assert row.state == "waiting"


@pytest.fixture
def server(settings: Settings) -> Iterator["Server"]:
    server = Server(settings)
    server.start()
    yield server
    server.kill()


class Server:
    """The real server in a process of its own, to be killed and started again."""

    def __init__(self, settings: Settings) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self._environment = {
            **os.environ,
            "FAIRLEAD_DATA_DIR": str(settings.data_dir),
            "FAIRLEAD_DATABASE_URL": settings.database_url,
            "FAIRLEAD_BASE_URL": f"http://127.0.0.1:{self.port}",
            "FAIRLEAD_UPLOAD_READ_TIMEOUT": "PT1S",
        }
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-m", "uvicorn", "api.http.app:create_app", "--factory"]
        self._process = subprocess.Popen(
            [*command, "--port", str(self.port), "--log-level", "warning"],
            env=self._environment,
            stdout=subprocess.DEVNULL,
        )
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            try:
                socket.create_connection(("127.0.0.1", self.port), timeout=1).close()
            except OSError:
                time.sleep(0.1)
            else:
                return
        pytest.fail("the server did not start")

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()


class Phone:
    """A client that can break off, over a real connection."""

    def __init__(self, server: Server, session: Session, member: Membership) -> None:
        signed_in = factories.make_session(session, member)
        session.commit()
        self._port = server.port
        self._headers = {
            **TUS,
            "Cookie": f"{SESSION_COOKIE}={signed_in.cookie}",
            CSRF_HEADER: signed_in.csrf_token,
        }

    def ask(
        self, method: str, path: str, body: bytes = b"", **headers: str
    ) -> tuple[int, dict[str, str]]:
        connection = HTTPConnection("127.0.0.1", self._port, timeout=20)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body or None, {**self._headers, **named})
        response = connection.getresponse()
        response.read()
        connection.close()
        return response.status, dict(response.getheaders())

    def begin(self, path: str, offset: int, announced: int, data: bytes) -> socket.socket:
        """Start a PATCH, send part of it, and leave the connection open."""
        line = socket.create_connection(("127.0.0.1", self._port), timeout=20)
        headers = {
            **self._headers,
            "Host": "127.0.0.1",
            "Content-Type": PIECE["Content-Type"],
            "Content-Length": str(announced),
            "Upload-Offset": str(offset),
        }
        head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
        line.sendall(f"PATCH {path} HTTP/1.1\r\n{head}\r\n".encode() + data)
        return line

    def offset(self, path: str) -> int:
        status, headers = self.ask("HEAD", path)
        assert status == 200
        return int(headers["upload-offset"])


class TestBrokenLines:
    def open(self, phone: Phone, submission: Submission) -> str:
        about = metadata(submission_id=submission.id, view="face-on")
        status, headers = phone.ask(
            "POST", "/api/v1/uploads", Upload_Length=str(len(CONTENT)), Upload_Metadata=about
        )
        assert status == 201
        return f"/api/v1/uploads/{id_of(headers['location'])}"

    def wait_for_offset(self, phone: Phone, path: str, wanted: int) -> None:
        deadline = time.monotonic() + 10
        while phone.offset(path) != wanted:
            assert time.monotonic() < deadline, phone.offset(path)
            time.sleep(0.05)

    def test_broken_at_30_percent_and_resumed_after_a_restart(
        self, server: Server, session: Session, settings: Settings, submission: Submission
    ) -> None:
        phone = Phone(server, session, submission.student)
        path = self.open(phone, submission)
        third = len(CONTENT) * 3 // 10
        line = phone.begin(path, 0, len(CONTENT), CONTENT[:third])
        self.wait_for_offset(phone, path, third)
        server.kill()
        line.close()
        server.start()
        assert phone.offset(path) == third
        status, headers = phone.ask(
            "PATCH",
            path,
            CONTENT[third:],
            Content_Type=PIECE["Content-Type"],
            Upload_Offset=str(third),
        )
        assert status == 204
        stored = settings.clips_dir / original_key(UUID(headers["fairlead-clip-id"]))
        assert stored.read_bytes() == CONTENT

    def test_what_came_before_the_line_dropped_is_kept(
        self, server: Server, session: Session, submission: Submission
    ) -> None:
        phone = Phone(server, session, submission.student)
        path = self.open(phone, submission)
        line = phone.begin(path, 0, len(CONTENT), CONTENT[:1234])
        self.wait_for_offset(phone, path, 1234)
        line.close()
        deadline = time.monotonic() + 10
        status = 423
        while status == 423 and time.monotonic() < deadline:
            status, _ = phone.ask(
                "PATCH",
                path,
                CONTENT[1234:],
                Content_Type=PIECE["Content-Type"],
                Upload_Offset="1234",
            )
        assert status == 204

    def test_a_silent_line_times_out_and_frees_the_upload(
        self, server: Server, session: Session, submission: Submission
    ) -> None:
        phone = Phone(server, session, submission.student)
        path = self.open(phone, submission)
        line = phone.begin(path, 0, len(CONTENT), CONTENT[:777])
        self.wait_for_offset(phone, path, 777)
        busy, _ = phone.ask(
            "PATCH", path, b"x", Content_Type=PIECE["Content-Type"], Upload_Offset="777"
        )
        assert busy == 423, "somebody is writing"
        answer = line.recv(65536)
        assert answer.startswith(b"HTTP/1.1 408")
        assert b"connection: close" in answer.lower()
        line.close()
        freed, _ = phone.ask(
            "PATCH", path, b"x", Content_Type=PIECE["Content-Type"], Upload_Offset="777"
        )
        assert freed == 204
        assert phone.offset(path) == 778

    def test_a_hung_line_stops_nobody_else(
        self, server: Server, session: Session, submission: Submission
    ) -> None:
        phone = Phone(server, session, submission.student)
        path = self.open(phone, submission)
        lines = [phone.begin(path, 0, len(CONTENT), b"") for _ in range(5)]
        started = time.monotonic()
        assert phone.offset(path) == 0
        assert time.monotonic() - started < 0.8
        for line in lines:
            line.close()

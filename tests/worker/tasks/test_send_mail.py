"""Mail goes out once, waits for a server that is down, and stays readable without one."""

import dataclasses
import socket
from collections.abc import Iterator
from email.message import EmailMessage
from email.parser import BytesParser
from email.policy import default
from typing import Any
from uuid import UUID

import pytest
from aiosmtpd.controller import Controller
from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db.mails import queue_mail
from api.db.models import Job, Mail
from api.db.session import transaction
from api.domain.states import JobState
from api.domain.tasks import TaskName
from worker.runner import Runner
from worker.tasks.send_mail import SendMail, compose

BODY = "Hallo Žana,\n\nhttp://127.0.0.1:8000/sign-in#token=abc\n"


class Inbox:
    """What a mail server received."""

    def __init__(self) -> None:
        self.messages: list[EmailMessage] = []

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: ANN401, N802 - the library's signature
        parsed = BytesParser(policy=default).parsebytes(envelope.content)
        assert isinstance(parsed, EmailMessage)
        self.messages.append(parsed)
        return "250 OK"


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as server:
        return int(server.getsockname()[1])


@pytest.fixture
def port() -> int:
    return free_port()


@pytest.fixture
def inbox(port: int) -> Iterator[Inbox]:
    inbox = Inbox()
    controller = Controller(inbox, hostname="127.0.0.1", port=port)
    controller.start()
    yield inbox
    controller.stop()


def mailing(runner: Runner, smtp_url: str, **values: object) -> Runner:
    settings = runner.settings.model_copy(update={"smtp_url": smtp_url, **values})
    tasks = {**runner.tasks, TaskName.SEND_MAIL: SendMail(settings, runner.factory)}
    return dataclasses.replace(runner, settings=settings, tasks=tasks)


def queue(factory: sessionmaker[Session]) -> UUID:
    with transaction(factory) as session:
        return queue_mail(session, "zana@example.org", "Your way in, Žana", BODY).id


def mail_and_job(factory: sessionmaker[Session]) -> tuple[Mail, Job]:
    with transaction(factory) as session:
        return session.scalars(select(Mail)).one(), session.scalars(select(Job)).one()


def test_a_mail_is_sent_once(
    runner: Runner, factory: sessionmaker[Session], inbox: Inbox, port: int
) -> None:
    mail_id = queue(factory)
    runner = mailing(runner, f"smtp://127.0.0.1:{port}")
    assert runner.run_next()
    assert not runner.run_subject(TaskName.SEND_MAIL, mail_id)
    (message,) = inbox.messages
    assert message["To"] == "zana@example.org"
    assert message["Subject"] == "Your way in, Žana"
    assert message["Message-ID"] == f"<{mail_id}@fairlead.example>"
    plain, page = message.iter_parts()
    assert plain.get_content().replace("\r\n", "\n") == BODY
    assert page.get_content_type() == "text/html"
    mail, job = mail_and_job(factory)
    assert mail.sent_at is not None
    assert "token" not in mail.body
    assert job.state == JobState.DONE


def test_a_server_that_is_down_is_tried_again(
    runner: Runner, factory: sessionmaker[Session], port: int
) -> None:
    queue(factory)
    runner = mailing(runner, f"smtp://127.0.0.1:{port}")
    assert runner.run_next()
    mail, job = mail_and_job(factory)
    assert (job.state, mail.sent_at) == (JobState.QUEUED, None)
    assert "ConnectionRefusedError" in (job.last_error or "")
    inbox = Inbox()
    controller = Controller(inbox, hostname="127.0.0.1", port=port)
    controller.start()
    try:
        assert runner.run_next()
    finally:
        controller.stop()
    assert len(inbox.messages) == 1
    assert mail_and_job(factory)[1].state == JobState.DONE


def test_a_server_that_stays_down_leaves_a_failed_job(
    runner: Runner, factory: sessionmaker[Session], port: int
) -> None:
    queue(factory)
    runner = mailing(runner, f"smtp://127.0.0.1:{port}")
    while runner.run_next():
        pass
    mail, job = mail_and_job(factory)
    assert (job.state, job.attempts) == (JobState.FAILED, 2)
    assert mail.body == BODY


def test_without_a_server_the_mail_stays_readable(
    runner: Runner, factory: sessionmaker[Session]
) -> None:
    queue(factory)
    assert mailing(runner, "").run_next()
    mail, job = mail_and_job(factory)
    assert (mail.body, mail.sent_at, job.state) == (BODY, None, JobState.DONE)


def test_the_demo_keeps_what_it_sends(
    runner: Runner, factory: sessionmaker[Session], inbox: Inbox, port: int
) -> None:
    queue(factory)
    assert mailing(runner, f"smtp://127.0.0.1:{port}", demo_outbox=True).run_next()
    assert mail_and_job(factory)[0].body == BODY


def test_a_line_break_cannot_add_a_header() -> None:
    mail = Mail(to_address="a@example.org", subject="Hi\r\nBcc: b@example.org", body="x")
    with pytest.raises(ValueError, match="linefeed or carriage return"):
        compose(mail, "Fairlead <no-reply@fairlead.example>")

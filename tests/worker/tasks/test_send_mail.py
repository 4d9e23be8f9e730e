"""Mail goes out once, waits for a server that is down, and stays readable without one."""

import dataclasses
import socket
from collections.abc import Iterator
from datetime import timedelta
from email.message import EmailMessage
from email.parser import BytesParser
from email.policy import default
from typing import Any
from uuid import UUID

import pytest
from aiosmtpd.controller import Controller
from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.base import utc_now
from api.db.mails import Matter, held_mails, queue_mail
from api.db.models import Guardianship, Job, Mail, Membership, NoticeChoices
from api.db.session import transaction
from api.domain.notices import LeftOut, MailKind, read_way_out
from api.domain.states import JobState, SubmissionState
from api.domain.tasks import TaskName
from api.services.own_data import ask_erasure, confirm_erasure
from api.settings import Settings
from tests import factories
from worker.runner import Runner
from worker.tasks.send_mail import SendMail, compose

FOOT = (
    "This mail cannot be switched off, because without it nobody could sign in, and it is only sent when somebody "
    "asks for it."
)
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
        subject = "Your way in, Žana"
        return queue_mail(session, "zana@example.org", subject, BODY, MailKind.SIGN_IN).id


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
    assert plain.get_content().replace("\r\n", "\n") == f"{BODY}\n-- \n{FOOT}\n"
    assert message["List-Unsubscribe"] is None
    assert FOOT in page.get_content()
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
        compose(mail, Settings())


class Noticed:
    """A student of whom something is told."""

    def __init__(self, factory: sessionmaker[Session], state: str = "answered") -> None:
        self._factory = factory
        with transaction(factory) as session:
            self.student = factories.make_member(session)
            self.submission_id = factories.make_submission(session, self.student, state=state).id

    def tell(self, kind: MailKind = MailKind.ANSWERED) -> UUID:
        with transaction(self._factory) as session:
            matter = Matter(kind, to_id=self.student.id, submission_id=self.submission_id)
            return queue_mail(session, "zana@example.org", "Answered", "Look.\n", matter).id

    def choose(self, **values: object) -> None:
        with transaction(self._factory) as session:
            row = session.scalars(select(NoticeChoices)).one_or_none()
            if row is None:
                row = NoticeChoices(membership_id=self.student.id, mail_off=[])
                session.add(row)
            for name, value in values.items():
                setattr(row, name, value)

    def sleep(self) -> None:
        """It is quiet now, in UTC, for half an hour at least."""
        with transaction(self._factory) as session:
            profile = session.get_one(Membership, self.student.id)
            profile.academy.time_zone = "UTC"
        now = utc_now()
        begins, ends = now - timedelta(minutes=30), now + timedelta(minutes=30)
        self.choose(quiet_from=f"{begins:%H:%M}", quiet_to=f"{ends:%H:%M}")


def headers_of(mail: Mail, **values: object) -> EmailMessage:
    """The message as another program reads it."""
    message = compose(mail, Settings().model_copy(update=values))
    parsed = BytesParser(policy=default).parsebytes(message.as_bytes())
    assert isinstance(parsed, EmailMessage)
    return parsed


def test_a_notice_names_its_ways_out_whole_and_one_press_only_by_https(
    factory: sessionmaker[Session],
) -> None:
    Noticed(factory).tell()
    mail = mail_and_job(factory)[0]
    base_url = "https://coaching.a-rather-long-name-of-an-academy.example.org"
    mailbox = "unsubscribe@example.org"
    raw = compose(
        mail,
        Settings().model_copy(update={"base_url": base_url, "unsubscribe_mailbox": mailbox}),
    ).as_bytes()
    assert b"=?utf-8?" not in raw.partition(b"\r\n\r\n")[0]
    found = headers_of(mail, base_url=base_url, unsubscribe_mailbox=mailbox)
    first, second = (one.strip() for one in str(found["List-Unsubscribe"]).split(","))
    assert first.startswith(f"<{base_url}/unsubscribe/")
    token = first.rpartition("/")[2].rstrip(">")
    assert second == f"<mailto:{mailbox}?subject=unsubscribe%20{token}>"
    assert found["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert read_way_out(Settings().secret.get_secret_value().encode(), token) is not None
    plain, page = (part.get_content() for part in found.iter_parts())
    assert first.strip("<>") in plain
    assert first.strip("<>") in page
    by_http = headers_of(mail, base_url="http://127.0.0.1:8000")
    assert by_http["List-Unsubscribe-Post"] is None
    assert str(by_http["List-Unsubscribe"]).startswith("<http://127.0.0.1:8000/unsubscribe/")


def test_in_quiet_hours_a_mail_is_held_and_then_sent(
    runner: Runner, factory: sessionmaker[Session], inbox: Inbox, port: int
) -> None:
    noticed = Noticed(factory)
    noticed.sleep()
    mail_id = noticed.tell()
    runner = mailing(runner, f"smtp://127.0.0.1:{port}")
    assert runner.run_next()
    assert not runner.run_next()
    mail, job = mail_and_job(factory)
    assert (inbox.messages, job.state, job.attempts) == ([], JobState.QUEUED, 0)
    assert mail.held_until == job.available_at
    assert utc_now() + timedelta(minutes=28) < job.available_at
    with transaction(factory) as session:
        assert held_mails(session, noticed.student.id) == [mail_id]
    # The night is over: nobody has to remember it, the job is due.
    noticed.choose(quiet_from=None, quiet_to=None)
    with transaction(factory) as session:
        session.scalars(select(Job)).one().available_at = utc_now()
    assert runner.run_next()
    assert len(inbox.messages) == 1
    assert mail_and_job(factory)[0].sent_at is not None


def test_who_waits_for_a_link_gets_it_at_night(
    runner: Runner, factory: sessionmaker[Session], inbox: Inbox, port: int
) -> None:
    Noticed(factory).sleep()
    queue(factory)
    assert mailing(runner, f"smtp://127.0.0.1:{port}").run_next()
    assert len(inbox.messages) == 1


def test_a_worker_that_is_killed_over_a_held_mail_loses_nothing(
    runner: Runner, factory: sessionmaker[Session]
) -> None:
    noticed = Noticed(factory)
    noticed.sleep()
    noticed.tell()
    with transaction(factory) as session:
        claim = jobs.claim_next(session, "gone:1", lease=timedelta(seconds=5), max_attempts=2)
        assert claim is not None
    with transaction(factory) as session:  # its lease has ended without a word
        session.scalars(select(Job)).one().lease_ends_at = utc_now() - timedelta(seconds=1)
    assert runner.run_next()
    with transaction(factory) as session, pytest.raises(jobs.LeaseLost):
        jobs.postpone(session, claim, utc_now())
    assert mail_and_job(factory)[1].state == JobState.QUEUED


@pytest.mark.parametrize(
    ("kind", "state", "left_out"),
    [
        (MailKind.ANSWERED, SubmissionState.ANSWERED, ""),
        (MailKind.ANSWERED, SubmissionState.WITH_COACH, LeftOut.OVERTAKEN),
        (MailKind.FILM_AGAIN, SubmissionState.REFILM_ASKED, ""),
        (MailKind.FILM_AGAIN, SubmissionState.ANALYSING, LeftOut.OVERTAKEN),
        (MailKind.FILM_AGAIN, SubmissionState.WITHDRAWN, LeftOut.OVERTAKEN),
        (MailKind.REPLIED, SubmissionState.ANSWERED, ""),
        (MailKind.REPLIED, SubmissionState.WITHDRAWN, LeftOut.OVERTAKEN),
    ],
)
def test_what_is_so_no_more_is_not_told(
    runner: Runner,
    factory: sessionmaker[Session],
    kind: MailKind,
    state: SubmissionState,
    left_out: str,
) -> None:
    Noticed(factory, state.value).tell(kind)
    assert mailing(runner, "").run_next()
    mail, job = mail_and_job(factory)
    assert (mail.left_out, job.state) == (left_out, JobState.DONE)


def test_what_was_switched_off_since_is_not_sent(
    runner: Runner, factory: sessionmaker[Session], inbox: Inbox, port: int
) -> None:
    noticed = Noticed(factory)
    noticed.tell()
    noticed.choose(mail_off=["answered"])
    assert mailing(runner, f"smtp://127.0.0.1:{port}").run_next()
    assert inbox.messages == []
    assert mail_and_job(factory)[0].left_out == LeftOut.SWITCHED_OFF


@pytest.mark.parametrize("why", ["closed", "erased"])
def test_who_has_left_is_told_nothing(
    runner: Runner, factory: sessionmaker[Session], why: str
) -> None:
    noticed = Noticed(factory)
    mail_id = noticed.tell()
    with transaction(factory) as session:
        member = session.get_one(Membership, noticed.student.id)
        if why == "closed":
            member.deactivated_at = utc_now()
        else:
            settings, now = runner.settings, utc_now()
            ask_erasure(session, settings, factories.actor_of(member), member.id, now)
            asked = session.scalars(select(Mail).where(Mail.kind == MailKind.ERASURE)).one()
            token = asked.body.partition("#erase=")[2].split()[0]
            confirm_erasure(session, settings, token, now)
    assert mailing(runner, "").run_subject(TaskName.SEND_MAIL, mail_id)
    with transaction(factory) as session:
        assert session.get_one(Mail, mail_id).left_out == LeftOut.PLACE_CLOSED


def test_who_answers_for_a_child_no_more_is_told_nothing(
    runner: Runner, factory: sessionmaker[Session]
) -> None:
    with transaction(factory) as session:
        child = factories.make_child(session, factories.make_academy(session))
        guardianship = factories.make_guardian(session, child)
        matter = Matter(MailKind.CHILD_WRITTEN_TO, child.id, guardianship.guardian_id)
        for _ in range(2):
            queue_mail(session, guardianship.email, "A coach wrote", "Look.\n", matter)
    runner = mailing(runner, "")
    assert runner.run_next()
    with transaction(factory) as session:
        session.scalars(select(Guardianship)).one().ended_at = utc_now()
    assert runner.run_next()
    with transaction(factory) as session:
        found = session.scalars(select(Mail.left_out).order_by(Mail.id)).all()
    assert list(found) == ["", LeftOut.PLACE_CLOSED]

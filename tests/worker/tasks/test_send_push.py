"""Notices on devices: hidden from who carries them, held at night, sent again after a fault, and gone with the device."""

import dataclasses
import json
from collections.abc import Iterator
from datetime import timedelta
from uuid import UUID

import jwt
import pytest
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric import ec
from pydantic import SecretStr
from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.base import utc_now
from api.db.models import Job, NoticeChoices, PushMessage, PushSubscription
from api.db.push import keep_subscription, queue_messages
from api.db.session import transaction
from api.domain.notices import LeftOut, MailKind
from api.domain.states import JobState
from api.domain.tasks import TaskName
from api.settings import Settings
from tests import factories
from tests.worker.maker import (
    FakeBrowser,
    Maker,
    from_base64url,
    in_base64url,
    open_maker,
    raw_public,
)
from worker import push_keys
from worker.outside_post import NotOutside, outside_address, post
from worker.push_signing import KeysDoNotMatch, seal
from worker.runner import Runner
from worker.tasks.send_push import SendPush

_NUMBER = 0x5EED
_KEY = ec.derive_private_key(_NUMBER, ec.SECP256R1())
SET_UP = {
    "push_public_key": in_base64url(raw_public(_KEY.public_key())),
    "push_private_key": SecretStr(in_base64url(_NUMBER.to_bytes(32))),
    "push_contact": "office@example.org",
    "push_to_this_machine": True,
}


@pytest.fixture
def maker() -> Iterator[Maker]:
    with open_maker() as maker:
        yield maker


@pytest.fixture
def pushing(runner: Runner) -> Runner:
    """A worker that is set up for it."""
    settings = runner.settings.model_copy(update=SET_UP)
    tasks = {**runner.tasks, TaskName.SEND_PUSH: SendPush(settings, runner.factory)}
    return dataclasses.replace(runner, settings=settings, tasks=tasks)


class Told:
    """A student with a browser, to whom something is told."""

    def __init__(self, factory: sessionmaker[Session], url: str, keys: dict[str, str]) -> None:
        self.factory = factory
        with transaction(factory) as session:
            student = factories.make_member(session)
            student.academy.time_zone = "UTC"
            self.student_id = student.id
            item = factories.make_submission(session, student, state="answered")
            self.submission_id = item.id
            keep_subscription(session, student.id, endpoint=url, **keys)

    def tell(self, kind: MailKind = MailKind.ANSWERED) -> None:
        with transaction(self.factory) as session:
            queue_messages(
                session,
                self.student_id,
                kind,
                submission_id=self.submission_id,
                child_id=None,
                now=utc_now(),
            )

    def choose(self, **values: object) -> None:
        with transaction(self.factory) as session:
            given = {"mail_off": [], "push_off": []} | values
            session.add(NoticeChoices(membership_id=self.student_id, **given))

    def message(self) -> PushMessage:
        with transaction(self.factory) as session:
            return session.scalars(select(PushMessage)).one()

    def job(self) -> Job:
        with transaction(self.factory) as session:
            return session.scalars(select(Job)).one()

    def devices(self) -> list[UUID]:
        with transaction(self.factory) as session:
            return list(session.scalars(select(PushSubscription.id)))


@pytest.fixture
def browser() -> FakeBrowser:
    return FakeBrowser()


@pytest.fixture
def told(factory: sessionmaker[Session], maker: Maker, browser: FakeBrowser) -> Told:
    return Told(factory, maker.url, browser.keys)


def test_only_the_browser_reads_it_and_its_maker_knows_who_sends(
    pushing: Runner, told: Told, maker: Maker, browser: FakeBrowser
) -> None:
    told.tell()
    assert pushing.run_next()
    assert not pushing.run_next()
    ((path, headers, body),) = maker.posted
    assert path == "/send/1"
    assert headers["content-encoding"] == "aes128gcm"
    assert headers["ttl"] == "86400"
    assert headers["topic"] == told.submission_id.hex
    said = json.loads(browser.read(body))
    assert said == {"kind": "answered", "about": str(told.submission_id)}
    with pytest.raises(InvalidTag):
        FakeBrowser(private=browser.private, secret=b"another secret..").read(body)
    assert b"answered" not in body
    scheme, _, fields = headers["authorization"].partition(" ")
    token, key = (one.partition("=")[2] for one in fields.split(", "))
    assert (scheme, key) == ("vapid", SET_UP["push_public_key"])
    public = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), from_base64url(key))
    claims = jwt.decode(token, public, algorithms=["ES256"], audience="http://127.0.0.1")
    assert claims["sub"] == "mailto:office@example.org"
    assert 0 < claims["exp"] - utc_now().timestamp() <= 24 * 3600
    assert told.message().sent_at is not None


def test_at_night_it_waits_like_a_mail(pushing: Runner, told: Told, maker: Maker) -> None:
    now = utc_now()
    begins, ends = now - timedelta(minutes=30), now + timedelta(minutes=30)
    told.choose(quiet_from=f"{begins:%H:%M}", quiet_to=f"{ends:%H:%M}")
    told.tell()
    assert pushing.run_next()
    assert not pushing.run_next()
    assert maker.posted == []
    assert told.message().held_until == told.job().available_at
    told.tell()  # a correction in the same night
    assert len([told.message()]) == 1
    with transaction(told.factory) as session:
        chosen = session.scalars(select(NoticeChoices)).one()
        chosen.quiet_from = chosen.quiet_to = None
        session.flush()
        session.scalars(select(Job)).one().available_at = utc_now()
    assert pushing.run_next()
    assert len(maker.posted) == 1


@pytest.mark.parametrize("status", [404, 410])
def test_a_browser_that_is_gone_is_forgotten(
    pushing: Runner, told: Told, maker: Maker, status: int
) -> None:
    maker.status = status
    told.tell()
    told.tell()
    assert pushing.run_next()
    assert told.devices() == []
    assert pushing.run_next()  # the second finds nothing to do
    assert len(maker.posted) == 1
    with transaction(told.factory) as session:
        assert set(session.scalars(select(Job.state))) == {JobState.DONE}


def test_a_key_that_is_no_point_of_the_curve_is_forgotten(
    pushing: Runner, factory: sessionmaker[Session], maker: Maker
) -> None:
    keys = {"p256dh": in_base64url(b"\x04" + b"\x01" * 64), "auth": in_base64url(b"a" * 16)}
    told = Told(factory, maker.url, keys)
    told.tell()
    assert pushing.run_next()
    assert (told.devices(), maker.posted) == ([], [])


@pytest.mark.parametrize("status", [400, 403, 500, 503])
def test_a_fault_is_tried_again_and_then_in_sight(
    pushing: Runner, told: Told, maker: Maker, status: int
) -> None:
    maker.status = status
    told.tell()
    assert pushing.run_next()
    assert told.job().state == JobState.QUEUED
    maker.status = 201 if status == 500 else status
    assert pushing.run_next()
    job = told.job()
    assert job.state == (JobState.DONE if status == 500 else JobState.FAILED)
    assert len(told.devices()) == 1


@pytest.mark.parametrize(
    ("asked", "least_s", "most_s"),
    [("120", 110, 120), ("", 0, 5), ("9999999999", 21_000, 21_600), ("soon", 0, 5)],
)
def test_who_asks_for_patience_gets_it_and_no_attempt_is_spent(
    pushing: Runner, told: Told, maker: Maker, asked: str, least_s: int, most_s: int
) -> None:
    maker.status, maker.retry_after = 429, asked
    told.tell()
    assert pushing.run_next()
    job = told.job()
    wait = (job.available_at - utc_now()).total_seconds()
    assert (job.state, job.attempts) == (JobState.QUEUED, 0)
    assert least_s <= wait <= most_s


def test_a_worker_that_is_killed_in_between_loses_nothing(
    pushing: Runner, told: Told, maker: Maker
) -> None:
    told.tell()
    with transaction(told.factory) as session:
        assert jobs.claim_next(session, "gone:1", lease=timedelta(seconds=5), max_attempts=2)
    with transaction(told.factory) as session:
        session.scalars(select(Job)).one().lease_ends_at = utc_now() - timedelta(seconds=1)
    assert pushing.run_next()
    assert len(maker.posted) == 1


@pytest.mark.parametrize("why", ["off", "withdrawn", "late"])
def test_what_is_not_wanted_or_not_so_is_left_out(
    pushing: Runner, told: Told, maker: Maker, why: str
) -> None:
    told.tell(MailKind.ANSWERED)
    if why == "off":
        told.choose(push_off=["answered"])
    with transaction(told.factory) as session:
        message = session.scalars(select(PushMessage)).one()
        if why == "late":
            message.created_at = utc_now() - timedelta(days=3)
        elif why == "withdrawn":
            message.kind = MailKind.FILM_AGAIN.value
    assert pushing.run_next()
    assert maker.posted == []
    wanted = {
        "off": LeftOut.SWITCHED_OFF,
        "withdrawn": LeftOut.OVERTAKEN,
        "late": LeftOut.TOO_LATE,
    }
    assert told.message().left_out == wanted[why]


def test_a_service_that_is_not_set_up_sends_none(runner: Runner, told: Told, maker: Maker) -> None:
    told.tell()
    tasks = {TaskName.SEND_PUSH: SendPush(runner.settings, runner.factory)}
    assert dataclasses.replace(runner, tasks=tasks).run_next()
    assert maker.posted == []


class TestAddresses:
    @pytest.mark.parametrize(
        "host", ["127.0.0.1", "::1", "10.0.0.1", "169.254.1.1", "::ffff:10.0.0.1", "224.0.0.1"]
    )
    def test_no_machine_beside_ours_is_reached(self, host: str) -> None:
        with pytest.raises(NotOutside):
            outside_address(host, 443)

    def test_one_on_the_internet_is(self) -> None:
        assert outside_address("8.8.8.8", 443) == "8.8.8.8"

    def test_a_name_that_leads_here_is_not_followed(self, maker: Maker) -> None:
        url = maker.url.replace("http://127.0.0.1", "https://localhost")
        with pytest.raises(NotOutside):
            post(url, b"", {}, this_machine=True)
        with pytest.raises(NotOutside):
            post(maker.url, b"", {}, this_machine=False)
        assert maker.posted == []


class TestKeys:
    def test_what_is_printed_can_be_used(
        self, capsys: pytest.CaptureFixture[str], browser: FakeBrowser
    ) -> None:
        assert push_keys.main() == 0
        lines = dict(line.split("=", 1) for line in capsys.readouterr().out.splitlines())
        settings = Settings(
            push_public_key=lines["FAIRLEAD_PUSH_PUBLIC_KEY"],
            push_private_key=SecretStr(lines["FAIRLEAD_PUSH_PRIVATE_KEY"]),
            push_contact="a@example.org",
        )
        device = PushSubscription(endpoint="https://push.example.org/1", **browser.keys)
        assert browser.read(seal(settings, device, b"x", lasts_s=1).body) == b"x"
        wrong = settings.model_copy(update={"push_public_key": SET_UP["push_public_key"]})
        with pytest.raises(KeysDoNotMatch, match="PUSH_PUBLIC_KEY"):
            seal(wrong, device, b"x", lasts_s=1)

    def test_half_of_it_does_not_start(self) -> None:
        with pytest.raises(ValueError, match="set all three, or none"):
            Settings(push_public_key="x")
        with pytest.raises(ValueError, match="for tests"):
            Settings(development=False, secret=SecretStr("y"), push_to_this_machine=True)

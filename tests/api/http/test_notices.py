"""Notices: chosen on one's own page, stopped by a mailed link, and never lost."""

import io
from datetime import UTC, datetime, timedelta
from typing import ClassVar
from urllib.parse import quote

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient
from pydantic import SecretStr
from sqlalchemy import select
from sqlalchemy.orm import Session

from api import unsubscribe
from api.db.jobs import find
from api.db.mails import Matter, foot_of_mail, queue_mail, way_out_of
from api.db.models import (
    Academy,
    AuditEvent,
    Mail,
    Membership,
    NoticeChoices,
    PushMessage,
    PushSubscription,
)
from api.db.notices import Notice
from api.domain.names import Role
from api.domain.notices import NOTICES, NOTICES_OF_ROLE, LeftOut, MailKind, WayOut, way_out_token
from api.domain.tasks import TaskName
from api.services import notices as notices_service
from api.services.mails import Letter
from api.settings import Settings
from tests import factories
from tests.api.browsers import BASE_URL, Browser, open_browser
from tests.api.http.test_questions import code_of

SECRET = b"secret of the tests"
ONE_CLICK = {"List-Unsubscribe": "One-Click"}


@pytest.fixture
def token(student: Membership) -> str:
    return way_out_token(SECRET, WayOut(student.id, MailKind.ANSWERED))


def off(session: Session, member: Membership) -> list[str]:
    session.expire_all()
    row = session.scalars(
        select(NoticeChoices).where(NoticeChoices.membership_id == member.id)
    ).one_or_none()
    found = [] if row is None else row.mail_off
    session.commit()
    return found


def tell(session: Session, student: Membership, **submission: object) -> Mail | None:
    """What becomes of a notice that an answer is there."""
    item = factories.make_submission(session, student, **{"state": "answered"} | submission)
    notice = Notice(MailKind.ANSWERED, student.id, item.id)
    notices_service.tell(session, notice, Letter("Answered", "Look."), datetime.now(UTC))
    session.commit()
    return session.scalars(select(Mail).order_by(Mail.id.desc()).limit(1)).one_or_none()


class TestChoosing:
    def test_who_chose_nothing_gets_everything_at_any_hour(
        self, pupil: Browser, academy: Academy
    ) -> None:
        told = pupil.get("/notices").ok()
        assert {one["kind"]: (one["mail"], one["why_always"] is None) for one in told["kinds"]} == {
            "answered": (True, True),
            "film_again": (True, True),
            "replied": (True, True),
        }
        assert told["quiet_hours"] is None
        assert told["time_zone"] == academy.time_zone

    def test_what_is_chosen_stays_and_what_is_left_out_too(self, pupil: Browser) -> None:
        pupil.patch("/notices", {"mail_off": ["replied", "answered"]}).ok()
        quiet = {"from": "22:00", "to": "07:30"}
        told = pupil.patch("/notices", {"quiet_hours": quiet, "time_zone": "Asia/Tokyo"}).ok()
        assert [one["kind"] for one in told["kinds"] if not one["mail"]] == ["answered", "replied"]
        assert (told["quiet_hours"], told["time_zone"]) == (quiet, "Asia/Tokyo")
        assert pupil.patch("/notices", {"quiet_hours": None}).ok()["quiet_hours"] is None

    def test_a_students_zone_is_the_one_of_their_profile(self, pupil: Browser) -> None:
        pupil.patch("/notices", {"time_zone": "Asia/Tokyo"}).ok()
        assert pupil.get("/joining").ok()["time_zone"] == "Asia/Tokyo"
        pupil.patch("/joining", {"time_zone": "Europe/Paris"}).ok()
        assert pupil.get("/notices").ok()["time_zone"] == "Europe/Paris"

    @pytest.mark.parametrize(
        ("sent", "code"),
        [
            ({"mail_off": ["consent_decided"]}, "always_sent"),
            ({"mail_off": ["sign_in"]}, "always_sent"),
            ({"quiet_hours": {"from": "08:00", "to": "08:00"}}, "quiet_all_day"),
            ({"time_zone": "Mars/Olympus"}, "unknown_time_zone"),
            ({"quiet_hours": {"from": "24:00", "to": "08:00"}}, "invalid"),
            ({"quiet_hours": {"from": "8:00", "to": "09:00"}}, "invalid"),
            ({"mail_off": ["weather"]}, "invalid"),
        ],
    )
    def test_what_cannot_be_chosen_says_why(
        self, pupil: Browser, session: Session, student: Membership, sent: object, code: str
    ) -> None:
        assert code_of(pupil.patch("/notices", sent)) == (422, code)
        assert off(session, student) == []

    def test_a_child_is_always_told_what_the_guardian_decided(
        self, app: FastAPI, session: Session, academy: Academy, client: TestClient
    ) -> None:
        browser = open_browser(app, session, factories.make_child(session, academy))
        last = browser.get("/notices").ok()["kinds"][-1]
        assert last["kind"] == "consent_decided"
        assert "always told" in last["why_always"]

    def test_a_guardian_is_always_told_and_may_sleep(
        self, app: FastAPI, session: Session, academy: Academy, client: TestClient
    ) -> None:
        guardianship = factories.make_guardian(session, factories.make_child(session, academy))
        guardian = session.get_one(Membership, guardianship.guardian_id)
        browser = open_browser(app, session, guardian)
        (kind,) = browser.get("/notices").ok()["kinds"]
        assert (kind["kind"], kind["mail"]) == ("child_written_to", True)
        assert "agreed" in kind["why_always"]
        sent = {"quiet_hours": {"from": "21:00", "to": "06:00"}, "time_zone": "Asia/Tokyo"}
        assert browser.patch("/notices", sent).ok()["time_zone"] == "Asia/Tokyo"
        assert code_of(browser.patch("/notices", {"mail_off": ["child_written_to"]})) == (
            422,
            "always_sent",
        )


class TestTelling:
    def test_what_is_switched_off_is_not_even_queued(
        self, session: Session, pupil: Browser, student: Membership
    ) -> None:
        pupil.patch("/notices", {"mail_off": ["answered"]}).ok()
        assert tell(session, student) is None

    def test_a_night_of_corrections_is_one_mail(
        self, session: Session, student: Membership
    ) -> None:
        mail = tell(session, student)
        assert mail is not None
        job = find(session, TaskName.SEND_MAIL, mail.id)
        assert job is not None
        notice = Notice(MailKind.ANSWERED, student.id, mail.submission_id)
        now = datetime.now(UTC)
        notices_service.tell(session, notice, Letter("Corrected", "Look."), now)
        assert len(session.scalars(select(Mail)).all()) == 2  # the first may be on its way
        job.available_at = now + timedelta(hours=8)
        session.flush()
        notices_service.tell(session, notice, Letter("Corrected again", "Look."), now)
        assert len(session.scalars(select(Mail)).all()) == 2

    def test_what_is_held_is_left_out_when_it_was_called_back(
        self, session: Session, student: Membership
    ) -> None:
        mail = tell(session, student)
        assert mail is not None
        assert mail.submission_id is not None
        job = find(session, TaskName.SEND_MAIL, mail.id)
        assert job is not None
        now = datetime.now(UTC)
        notices_service.take_back(session, mail.submission_id, now)
        session.refresh(mail)
        assert mail.left_out == ""  # due now, so a worker may have it in hand
        job.available_at = now + timedelta(hours=8)
        session.flush()
        notices_service.take_back(session, mail.submission_id, now)
        session.refresh(mail)
        assert mail.left_out == LeftOut.OVERTAKEN

    def test_new_hours_are_heeded_by_what_is_held_already(
        self, session: Session, pupil: Browser, student: Membership
    ) -> None:
        mail = tell(session, student)
        assert mail is not None
        job = find(session, TaskName.SEND_MAIL, mail.id)
        assert job is not None
        mail.held_until = job.available_at = datetime.now(UTC) + timedelta(hours=8)
        session.commit()
        pupil.patch("/notices", {"quiet_hours": None}).ok()
        session.refresh(job)
        assert job.available_at <= datetime.now(UTC)


class TestTheMailedLink:
    def test_opening_it_changes_nothing(
        self, client: TestClient, session: Session, student: Membership, token: str
    ) -> None:
        session.commit()
        assert client.get(f"/unsubscribe/{token}").status_code == 503  # no pages are built here
        found = client.get(f"/api/v1/unsubscriptions/{token}").json()
        assert found == {
            "kind": "answered",
            "academy": student.academy.name,
            "off": False,
            "all_off": False,
        }
        assert off(session, student) == []

    @pytest.mark.parametrize("form", ["url", "multipart"])
    def test_one_press_stops_its_kind_and_a_second_changes_nothing(
        self, client: TestClient, session: Session, student: Membership, token: str, form: str
    ) -> None:
        session.commit()
        for _ in range(2):
            if form == "url":
                answer = client.post(f"/unsubscribe/{token}", data=ONE_CLICK)
            else:
                parts = {name: (None, value) for name, value in ONE_CLICK.items()}
                answer = client.post(f"/unsubscribe/{token}", files=parts)
            assert (answer.status_code, answer.headers.get("set-cookie")) == (200, None)
            assert off(session, student) == ["answered"]
        chosen = session.scalars(select(AuditEvent).where(AuditEvent.act == "notices.chosen"))
        assert len(chosen.all()) == 1
        assert tell(session, student) is None

    @pytest.mark.parametrize(
        "sent",
        [
            {},
            {"data": {"List-Unsubscribe": "Two-Clicks"}},
            {"data": {"other": "One-Click"}},
            {"json": ONE_CLICK},
            {"content": b"\xff\xfe", "headers": {"Content-Type": "multipart/form-data"}},
            {"data": {**ONE_CLICK, "more": "x" * 5000}},
        ],
    )
    def test_a_program_that_posts_to_every_link_stops_nothing(
        self,
        client: TestClient,
        session: Session,
        student: Membership,
        token: str,
        sent: dict[str, object],
    ) -> None:
        session.commit()
        answer = client.post(f"/unsubscribe/{token}", **sent)  # type: ignore[arg-type]  # as the client's own
        assert answer.status_code == 422
        assert off(session, student) == []

    def test_one_that_is_not_ours_is_not_found(self, client: TestClient, token: str) -> None:
        for wrong in (token[:-3] + "AAA", "x", quote("ä ")):
            assert client.post(f"/unsubscribe/{wrong}", data=ONE_CLICK).status_code == 404
            assert client.get(f"/api/v1/unsubscriptions/{wrong}").status_code == 404
            sent = {"off": True}
            assert client.put(f"/api/v1/unsubscriptions/{wrong}", json=sent).status_code == 404

    def test_a_slip_is_taken_back_and_all_can_be_stopped(
        self, client: TestClient, session: Session, student: Membership, token: str
    ) -> None:
        session.commit()
        path = f"/api/v1/unsubscriptions/{token}"
        assert client.put(path, json={"off": True}).json()["off"]
        assert not client.put(path, json={"off": False}).json()["off"]
        assert off(session, student) == []
        assert client.put(path, json={"off": True, "scope": "every"}).json()["all_off"]
        assert off(session, student) == [kind.value for kind in NOTICES]
        crossed = client.put(path, json={"off": False}, headers={"Origin": "https://evil.test"})
        assert (crossed.status_code, crossed.json()["code"]) == (403, "csrf")

    def test_it_reaches_one_place_alone(
        self, client: TestClient, session: Session, student: Membership, token: str
    ) -> None:
        elsewhere = factories.make_member(session, person=student.person)
        session.commit()
        client.post(f"/unsubscribe/{token}", data=ONE_CLICK)
        assert (off(session, student), off(session, elsewhere)) == (["answered"], [])


def test_every_mail_says_how_to_stop_it_or_why_not(session: Session, student: Membership) -> None:
    notice = queue_mail(
        session, "a@example.org", "s", "b", Matter(MailKind.REPLIED, to_id=student.id)
    )
    way_out = way_out_of(notice, BASE_URL, SECRET)
    assert way_out is not None
    assert way_out in foot_of_mail(notice, BASE_URL, SECRET)
    duty = queue_mail(session, "a@example.org", "s", "b", MailKind.SIGN_IN)
    assert way_out_of(duty, BASE_URL, SECRET) is None
    assert "cannot be switched off" in foot_of_mail(duty, BASE_URL, SECRET)


def test_coaches_get_none(coach: Browser) -> None:
    assert code_of(coach.get("/notices")) == (403, "not_allowed")
    assert Role.COACH not in NOTICES_OF_ROLE


class TestTheMailbox:
    @pytest.fixture(autouse=True)
    def _on_this_database(self, settings: Settings, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("FAIRLEAD_DATABASE_URL", settings.database_url)
        monkeypatch.setenv("FAIRLEAD_SECRET", settings.secret.get_secret_value())

    @pytest.mark.parametrize("subject", ["unsubscribe {}", "Re: unsubscribe\r\n {}"])
    def test_a_mail_to_it_stops_the_kind_its_subject_names(
        self,
        session: Session,
        student: Membership,
        token: str,
        subject: str,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        session.commit()
        mail = f"From: a@example.org\r\nSubject: {subject.format(token)}\r\n\r\nThanks.\r\n"
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(mail.encode())))
        assert unsubscribe.main([]) == 0
        assert off(session, student) == ["answered"]

    @pytest.mark.parametrize("subject", ["Hello", "unsubscribe", "unsubscribe AAAA", ""])
    def test_any_other_mail_is_refused_in_words(
        self,
        session: Session,
        subject: str,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        session.commit()
        mail = f"Subject: {subject}\r\n\r\nunsubscribe me\r\n"
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(mail.encode())))
        assert unsubscribe.main([]) == 1
        assert capsys.readouterr().err.strip()


class TestDevices:
    KEYS: ClassVar[dict[str, str]] = {"p256dh": "B" + "A" * 86, "auth": "A" * 22}
    HERE: ClassVar[dict[str, object]] = {"endpoint": "https://push.example.org/1", "keys": KEYS}

    @pytest.fixture
    def settings(self, settings: Settings) -> Settings:
        """A service that is set up for them."""
        parts = {"push_public_key": "B" * 87, "push_contact": "office@example.org"}
        return settings.model_copy(update={**parts, "push_private_key": SecretStr("x")})

    def test_a_browser_is_added_once_and_taken_away(self, pupil: Browser) -> None:
        assert pupil.get("/notices").ok()["push_public_key"] == "B" * 87
        for _ in range(2):
            assert pupil.put("/push-subscriptions", self.HERE).ok() == {"devices": 1}
        assert pupil.get("/notices").ok()["devices"] == 1
        gone = {"endpoint": self.HERE["endpoint"]}
        for _ in range(2):
            assert pupil.post("/push-subscriptions/removals", gone).ok() == {"devices": 0}

    def test_one_browser_shows_one_persons_notices(
        self, app: FastAPI, session: Session, academy: Academy, pupil: Browser
    ) -> None:
        other = open_browser(app, session, factories.make_member(session, academy=academy))
        pupil.put("/push-subscriptions", self.HERE).ok()
        gone = {"endpoint": self.HERE["endpoint"]}
        other.post("/push-subscriptions/removals", gone).ok()
        assert pupil.get("/notices").ok()["devices"] == 1  # not theirs to take away
        other.put("/push-subscriptions", self.HERE).ok()
        assert pupil.get("/notices").ok()["devices"] == 0

    def test_the_oldest_of_many_goes(self, pupil: Browser, session: Session) -> None:
        for number in range(12):
            sent = {**self.HERE, "endpoint": f"https://push.example.org/{number}"}
            pupil.put("/push-subscriptions", sent).ok()
        assert pupil.get("/notices").ok()["devices"] == 10
        left = session.scalars(select(PushSubscription.endpoint)).all()
        assert "https://push.example.org/0" not in left

    @pytest.mark.parametrize(
        "endpoint",
        [
            "http://push.example.org/1",
            "https://127.0.0.1/1",
            "https://[::1]/1",
            "https://10.0.0.7/1",
            "https://localhost/1",
            "https://redis/1",
            "https://a.internal/1",
            "https://push.example.org:8443/1",
            "https://me@push.example.org/1",
            "https://push.example.org:port/1",
            "ftp://push.example.org/1",
            "x",
        ],
    )
    def test_only_addresses_on_the_internet_are_taken(self, pupil: Browser, endpoint: str) -> None:
        answer = pupil.put("/push-subscriptions", {**self.HERE, "endpoint": endpoint})
        assert code_of(answer) == (422, "no_push_address")

    @pytest.mark.parametrize(
        "keys", [{"p256dh": "AAAA"}, {"auth": "AAAA"}, {"p256dh": "A" * 87}, {"auth": "é" * 22}]
    )
    def test_keys_must_be_keys(self, pupil: Browser, keys: dict[str, str]) -> None:
        sent = {**self.HERE, "keys": {**self.KEYS, **keys}}
        assert code_of(pupil.put("/push-subscriptions", sent)) == (422, "no_push_address")

    def test_what_is_told_goes_to_the_browsers_too(
        self, session: Session, pupil: Browser, student: Membership
    ) -> None:
        pupil.put("/push-subscriptions", self.HERE).ok()
        pupil.patch("/notices", {"mail_off": ["answered"]}).ok()
        assert tell(session, student) is None
        message = session.scalars(select(PushMessage)).one()
        assert find(session, TaskName.SEND_PUSH, message.id) is not None
        session.commit()
        told = pupil.patch("/notices", {"push_off": ["answered"]}).ok()
        assert [one["kind"] for one in told["kinds"] if not one["push"]] == ["answered"]
        assert tell(session, student) is None
        assert len(session.scalars(select(PushMessage)).all()) == 1


def test_a_service_that_is_not_set_up_offers_no_devices(pupil: Browser) -> None:
    assert pupil.get("/notices").ok()["push_public_key"] is None
    answer = pupil.put("/push-subscriptions", TestDevices.HERE)
    assert code_of(answer) == (409, "no_push")

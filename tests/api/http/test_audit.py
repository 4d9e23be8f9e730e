"""The audit trail and the demo's outbox."""

from collections.abc import Callable

import pytest
from fastapi.testclient import TestClient
from sqlalchemy.orm import Session

from api.db import audit
from api.db.base import utc_now
from api.db.mails import mark_sent, queue_mail
from api.db.models import Mail, Membership
from api.domain.names import Role
from api.domain.notices import MailKind
from api.http.app import create_app
from api.settings import Settings
from tests import factories

SignIn = Callable[[Membership], TestClient]


@pytest.fixture
def admin(session: Session) -> Membership:
    return factories.make_member(session, Role.ADMIN)


def test_an_admin_reads_the_academys_trail_newest_first_in_pages(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    actor = factories.actor_of(admin)
    elsewhere = factories.actor_of(factories.make_member(session, Role.ADMIN))
    thing = factories.unknown_id()
    audit.record(session, "thing.done", "thing", thing, actor=elsewhere)
    for number in range(3):
        audit.record(session, f"thing.done{number}", "thing", thing, actor=actor)
    office = as_member(admin)
    first = office.get("/api/v1/audit-events", params={"limit": 2}).json()
    rest = office.get(
        "/api/v1/audit-events", params={"limit": 2, "cursor": first["next_cursor"]}
    ).json()
    acts = [event["act"] for event in first["items"] + rest["items"]]
    assert acts == ["thing.done2", "thing.done1", "thing.done0"]
    assert rest["next_cursor"] is None


def test_the_trail_can_be_asked_about_one_thing(
    session: Session, admin: Membership, as_member: SignIn
) -> None:
    actor = factories.actor_of(admin)
    things = [factories.unknown_id() for _ in range(2)]
    for thing in things:
        audit.record(session, "thing.done", "thing", thing, actor=actor, after={"n": 1})
    office = as_member(admin)
    page = office.get("/api/v1/audit-events", params={"subject": str(things[0])}).json()
    (event,) = page["items"]
    assert event["subject_id"] == str(things[0])
    assert event["after"] == {"n": 1}
    assert event["actor_id"] == str(admin.id)


def test_mails_are_shown_in_the_demo(settings: Settings, session: Session) -> None:
    for number in range(2):
        queue_mail(session, "ana@example.org", f"Mail {number}", "body", MailKind.SIGN_IN)
    session.commit()
    demo = settings.model_copy(update={"demo_outbox": True})
    with TestClient(create_app(demo)) as client:
        mails = client.get("/api/v1/outbox-mails").json()
    assert [(mail["to"], mail["subject"]) for mail in mails] == [
        ("ana@example.org", "Mail 1"),
        ("ana@example.org", "Mail 0"),
    ]


def test_mails_are_nobodys_business_otherwise(client: TestClient, session: Session) -> None:
    queue_mail(session, "ana@example.org", "Mail", "body", MailKind.SIGN_IN)
    session.commit()
    assert client.get("/api/v1/outbox-mails").status_code == 404


def test_a_sent_mail_keeps_no_living_link() -> None:
    mail = Mail(to_address="a@example.org", subject="s", body="https://x/sign-in#token=secret")
    mark_sent(mail, utc_now(), keep_body=False)
    assert "secret" not in mail.body
    assert mail.sent_at is not None

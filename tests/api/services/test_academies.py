"""Founding an academy, up to its admin's first sign-in."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Academy, AuditEvent, Mail
from api.domain.errors import Invalid, LinkSpent
from api.domain.names import Role
from api.services.academies import Founded, found_academy
from api.services.invitations import accept
from api.settings import Settings


def found(session: Session, settings: Settings, **changed: str) -> Founded:
    given = {
        "name": "Hill School",
        "time_zone": "Europe/Zagreb",
        "admin_name": "Ana Horvat",
        "admin_email": "Ana@Hill.example",
        **changed,
    }
    return found_academy(session, settings, now=utc_now(), **given)


def token_in(body: str) -> str:
    found = re.search(r"#invitation=(\S+)", body)
    assert found is not None
    return found.group(1)


class TestFoundAcademy:
    def test_its_first_admin_comes_in_by_the_letter_once(
        self, session: Session, settings: Settings
    ) -> None:
        founded = found(session, settings)
        token = token_in(founded.letter.body)
        opened = accept(session, settings, token, None, utc_now())
        assert opened.member.role == Role.ADMIN
        assert opened.member.academy_id == founded.academy.id
        assert opened.member.person.email == "ana@hill.example"
        with pytest.raises(LinkSpent):
            accept(session, settings, token, None, utc_now())

    def test_the_letter_is_also_mailed_and_the_act_is_written_down(
        self, session: Session, settings: Settings
    ) -> None:
        founded = found(session, settings)
        mail = session.scalars(select(Mail)).one()
        assert (mail.to_address, mail.body) == ("ana@hill.example", founded.letter.body)
        event = session.scalars(select(AuditEvent)).one()
        assert (event.act, event.subject_id) == ("academy.founded", founded.academy.id)

    def test_the_invitation_expires(self, session: Session, settings: Settings) -> None:
        founded = found(session, settings)
        late = utc_now() + settings.invitation_lasts + timedelta(seconds=1)
        with pytest.raises(LinkSpent, match="expired"):
            accept(session, settings, token_in(founded.letter.body), None, late)

    @pytest.mark.parametrize(
        ("changed", "words"),
        [
            ({"time_zone": "Mars/Olympus"}, "no time zone 'Mars/Olympus'"),
            ({"time_zone": "../../etc/passwd"}, "no time zone"),
            ({"admin_email": "ana"}, "not a mail address"),
        ],
    )
    def test_a_value_that_cannot_be_is_refused_and_nothing_is_made(
        self, session: Session, settings: Settings, changed: dict[str, str], words: str
    ) -> None:
        with pytest.raises(Invalid, match=words):
            found(session, settings, **changed)
        assert session.scalar(select(func.count()).select_from(Academy)) == 0

"""Founding an academy, the one act that nobody inside can do yet, and what its admins set for all."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy.orm import Session

from api.db import audit
from api.db.mails import queue_mail
from api.db.models import Academy, Invitation
from api.domain.addresses import normal_address
from api.domain.errors import Invalid
from api.domain.languages import DEFAULT_LANGUAGE, normal_language
from api.domain.names import Role
from api.domain.notices import MailKind
from api.domain.secrets import digest, new_secret
from api.services.mails import Letter, invitation_letter
from api.settings import Settings


@dataclass(frozen=True, slots=True)
class Founded:
    """A new academy and the letter that lets its first admin in, also queued as a mail."""

    academy: Academy
    letter: Letter


def found_academy(
    session: Session,
    settings: Settings,
    *,
    name: str,
    time_zone: str,
    admin_name: str,
    admin_email: str,
    now: datetime,
    language: str = DEFAULT_LANGUAGE,
) -> Founded:
    """Make an academy and invite its first admin, who then invites everybody else.

    ``language``: the tag by which its people's numbers and dates are written unless they choose.
    Raises ``Invalid`` for an unknown time zone, what is no language tag, or an address that is none.
    """
    _refuse_unknown_zone(time_zone)
    email = normal_address(admin_email)
    academy = Academy(name=name, time_zone=time_zone, language=normal_language(language))
    session.add(academy)
    session.flush()
    token = new_secret()
    invitation = Invitation(
        academy_id=academy.id,
        email=email,
        name=admin_name,
        role=Role.ADMIN.value,
        token_sha256=digest(token),
        expires_at=now + settings.invitation_lasts,
    )
    session.add(invitation)
    session.flush()
    letter = invitation_letter(
        settings.base_url,
        token,
        name=admin_name,
        academy=name,
        role=Role.ADMIN,
        lasts=settings.invitation_lasts,
    )
    queue_mail(session, email, letter.subject, letter.body, MailKind.INVITATION)
    audit.record(session, "academy.founded", "academy", academy.id, academy_id=academy.id)
    return Founded(academy, letter)


def _refuse_unknown_zone(time_zone: str) -> None:
    try:
        ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        raise Invalid(
            f"There is no time zone {time_zone!r}. Examples: Europe/Zagreb, America/New_York.",
            code="unknown_time_zone",
        ) from None

"""What an academy's office sets about children and consent: age limit, contact, texts."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.consents import last_version, texts_of
from api.db.models import Academy, ConsentText
from api.db.people import lock_academy
from api.db.profiles import look_at_ages_again
from api.domain.actors import Actor
from api.domain.consent import Audience
from api.domain.errors import Invalid


@dataclass(frozen=True, slots=True)
class AcademyParts:
    """Settings to change; ``None`` leaves one as it is.

    ``age_limit`` in years; ``language``: the tag of who chose none of their own; ``double_read_share`` from 0 to 1, of the answers sent from now on.
    """

    age_limit: int | None = None
    double_read_share: float | None = None
    safeguarding_name: str | None = None
    safeguarding_contact: str | None = None
    language: str | None = None


def academy_of(session: Session, actor: Actor) -> Academy:
    """The actor's academy."""
    return session.get_one(Academy, actor.academy_id)


def change_academy(session: Session, actor: Actor, parts: AcademyParts, now: datetime) -> Academy:
    """Change settings. A new age limit decides at once who counts as a child, by the dates that are known."""
    lock_academy(session, actor.academy_id)
    academy = academy_of(session, actor)
    before = _recorded(academy)
    if parts.double_read_share is not None:
        academy.double_read_share = parts.double_read_share
    if parts.language is not None:
        academy.language = parts.language
    if parts.safeguarding_name is not None:
        academy.safeguarding_name = parts.safeguarding_name.strip()
    if parts.safeguarding_contact is not None:
        academy.safeguarding_contact = parts.safeguarding_contact.strip()
    if parts.age_limit is not None and parts.age_limit != academy.age_limit:
        academy.age_limit = parts.age_limit
        session.flush()
        look_at_ages_again(session, academy, now)
    session.flush()
    after = _recorded(academy)
    if before != after:
        record(
            session,
            "academy.changed",
            "academy",
            academy.id,
            actor=actor,
            before=before,
            after=after,
        )
    return academy


def _recorded(academy: Academy) -> dict[str, object]:
    """What the audit trail holds of a change: settings, and no contact of anybody."""
    return {
        "age_limit": academy.age_limit,
        "double_read_share": academy.double_read_share,
        "language": academy.language,
    }


def list_texts(session: Session, actor: Actor) -> Sequence[ConsentText]:
    """Every text that was ever in force or will be, newest version first."""
    return texts_of(session, actor.academy_id)


def publish_text(
    session: Session,
    actor: Actor,
    *,
    audience: Audience,
    bodies: Mapping[str, str],
    asks_again: bool,
    valid_from: datetime | None,
    now: datetime,
) -> Sequence[ConsentText]:
    """Add the next version of a text, in one language or several (by BCP 47 tag). None is ever changed.

    ``asks_again``: its content is another, so who agreed before is asked again within thirty days.
    ``valid_from`` None: from now. Raises ``Invalid`` for a day that is past.
    """
    if valid_from is not None and valid_from < now:
        raise Invalid("A text cannot have been in force before it was there. Choose a later day.")
    lock_academy(session, actor.academy_id)
    version = last_version(session, actor.academy_id, audience) + 1
    rows = [
        ConsentText(
            academy_id=actor.academy_id,
            audience=audience.value,
            version=version,
            locale=locale,
            body=body,
            sha256=hashlib.sha256(body.encode()).hexdigest(),
            asks_again=asks_again,
            valid_from=valid_from or now,
            made_by=actor.membership_id,
        )
        for locale, body in bodies.items()
    ]
    session.add_all(rows)
    session.flush()
    for row in rows:
        after = {"audience": audience.value, "version": version, "sha256": row.sha256}
        record(session, "consent_text.published", "consent_text", row.id, actor=actor, after=after)
    return rows

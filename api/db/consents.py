"""Consent texts and what was said to them: which is in force, and where a student stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import Select, exists, func, or_, select
from sqlalchemy.orm import Session

from api.db.models import ConsentRecord, ConsentText, Erasure, Guardianship, Membership
from api.db.profiles import age_at, current_guardianship, profile_of
from api.domain.ages import Age
from api.domain.consent import ASK_AGAIN_WITHIN, Audience, Consent, Decision


@dataclass(frozen=True, slots=True)
class Standing:
    """Where one student's consent stands at one moment.

    ``record``: the newest decision that counts. ``ask_again``: a text with other content is in force, and the
    consent to the one before still holds. ``being_erased``: the wish was confirmed.
    """

    age: Age
    consent: Consent
    guardianship: Guardianship | None
    record: ConsentRecord | None
    ask_again: bool
    being_erased: bool


def _texts(academy_id: UUID, audience: Audience) -> Select[ConsentText]:
    ours = or_(ConsentText.academy_id == academy_id, ConsentText.academy_id.is_(None))
    return select(ConsentText).where(ours, ConsentText.audience == audience.value)


def texts_of(session: Session, academy_id: UUID) -> Sequence[ConsentText]:
    """Every text an academy has or had, newest version first."""
    ours = or_(ConsentText.academy_id == academy_id, ConsentText.academy_id.is_(None))
    newest_first = (ConsentText.audience, ConsentText.version.desc(), ConsentText.locale)
    return session.scalars(select(ConsentText).where(ours).order_by(*newest_first)).all()


def last_version(session: Session, academy_id: UUID, audience: Audience) -> int:
    """The highest version number there is, in force or not."""
    rows = _texts(academy_id, audience).with_only_columns(func.max(ConsentText.version))
    return session.scalar(rows) or 0


def text_in_force(
    session: Session, academy_id: UUID, audience: Audience, locale: str, now: datetime
) -> ConsentText:
    """The newest text that holds now, in the language asked for where there is one.

    Else in another of the same language, in English, or in whichever it was written first.
    """
    rows = session.scalars(
        _texts(academy_id, audience)
        .where(ConsentText.valid_from <= now)
        .order_by(ConsentText.version.desc(), ConsentText.id)
    ).all()
    newest = [row for row in rows if row.version == rows[0].version]
    languages = [row.locale.partition("-")[0] for row in newest]
    if locale in (locales := [row.locale for row in newest]):
        return newest[locales.index(locale)]
    for language in (locale.partition("-")[0], "en"):
        if language in languages:
            return newest[languages.index(language)]
    return newest[0]


def _version_asked_for(
    session: Session, academy_id: UUID, audience: Audience, since: datetime
) -> int:
    """The newest version with other content that was in force at ``since``; 0 for none."""
    rows = _texts(academy_id, audience).with_only_columns(func.max(ConsentText.version))
    asked = rows.where(ConsentText.asks_again, ConsentText.valid_from <= since)
    return session.scalar(asked) or 0


def consents_for(session: Session, student_id: UUID) -> Sequence[ConsentRecord]:
    """Everything that was ever said for a student, newest first."""
    return session.scalars(
        select(ConsentRecord)
        .where(ConsentRecord.student_id == student_id)
        .order_by(ConsentRecord.id.desc())
    ).all()


def standing_of(session: Session, student_id: UUID, now: datetime) -> Standing:
    """Where a student's consent stands now. An adult's own counts, of a child the present guardian's."""
    member = session.get_one(Membership, student_id)
    profile = profile_of(session, student_id)
    age = age_at(session, student_id, profile, now)
    guardianship = current_guardianship(session, student_id) if age is Age.CHILD else None
    said = _newest(session, student_id, age, guardianship)
    consent, ask_again = _judge(session, member.academy_id, age, guardianship, said, now)
    return Standing(
        age, consent, guardianship, said, ask_again, is_being_erased(session, student_id)
    )


def _newest(
    session: Session, student_id: UUID, age: Age, guardianship: Guardianship | None
) -> ConsentRecord | None:
    if age is Age.UNKNOWN:
        return None
    rows = select(ConsentRecord).where(ConsentRecord.student_id == student_id)
    if age is Age.CHILD:
        if guardianship is None or guardianship.guardian_id is None:
            return None
        rows = rows.where(ConsentRecord.guardianship_id == guardianship.id)
    else:
        rows = rows.where(ConsentRecord.given_by == student_id)
    return session.scalars(rows.order_by(ConsentRecord.id.desc()).limit(1)).one_or_none()


def _judge(
    session: Session,
    academy_id: UUID,
    age: Age,
    guardianship: Guardianship | None,
    said: ConsentRecord | None,
    now: datetime,
) -> tuple[Consent, bool]:
    if said is None:
        return _nothing_said(age, guardianship), False
    if said.decision == Decision.REFUSED:
        return Consent.REFUSED, False
    if said.withdrawn_at is not None:
        return Consent.WITHDRAWN, False
    audience = audience_of(age)
    version = said.text.version
    if version < _version_asked_for(session, academy_id, audience, now - ASK_AGAIN_WITHIN):
        return Consent.OUTDATED, True
    return Consent.VALID, version < _version_asked_for(session, academy_id, audience, now)


def _nothing_said(age: Age, guardianship: Guardianship | None) -> Consent:
    if age is Age.CHILD:
        return Consent.GUARDIAN_MISSING if guardianship is None else Consent.GUARDIAN_ASKED
    return Consent.NOT_ASKED if age is Age.ADULT else Consent.AGE_UNKNOWN


def audience_of(age: Age) -> Audience:
    """Which text applies."""
    return Audience.GUARDIAN if age is Age.CHILD else Audience.ADULT


def is_being_erased(session: Session, membership_id: UUID) -> bool:
    """Whether a confirmed erasure waits to be carried out."""
    waits = exists().where(
        Erasure.about_id == membership_id,
        Erasure.confirmed_at.is_not(None),
        Erasure.called_back_at.is_(None),
        Erasure.done_at.is_(None),
    )
    return bool(session.scalar(select(waits)))

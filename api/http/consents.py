"""Consent for a student: reading the text, agreeing or refusing, withdrawing; the texts of an academy."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query, Request

from api.db.base import utc_now
from api.domain.actors import Actor, Scope
from api.domain.names import Role
from api.http.deps import (
    AcademyAdmin,
    AppSettings,
    CurrentMember,
    DbSession,
    needs,
    require_role,
)
from api.http.problems import problems
from api.http.rate_limits import caller_address
from api.http.schemas.joining import (
    ConsentDecided,
    ConsentRead,
    ConsentTextRead,
    ConsentTextSent,
    Locale,
)
from api.services import academy_settings
from api.services import consents as consents_service

router = APIRouter(tags=["consent"])

_CONSENTS = "/people/{membership_id}/consents"
Language = Annotated[Locale, Query(description="In which language, where it is there.")]


def _shown(session: DbSession, actor: Actor, membership_id: UUID, locale: str) -> ConsentRead:
    records = consents_service.history(session, actor, membership_id)
    told = consents_service.told(session, actor, membership_id, locale, utc_now())
    return ConsentRead.of(told, list(records))


@router.get(_CONSENTS, responses=problems(404))
def read_consents(
    membership_id: UUID, session: DbSession, actor: CurrentMember, locale: Language = "en"
) -> ConsentRead:
    """Where consent stands and the text in force: for the student, a child's guardian, and the office."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN, Role.ADMIN)
    return _shown(session, actor, membership_id, locale)


@router.post(_CONSENTS, responses=problems(404, 409))
def decide_consent(
    membership_id: UUID,
    request: Request,
    session: DbSession,
    actor: CurrentMember,
    settings: AppSettings,
    sent: ConsentDecided,
) -> ConsentRead:
    """Agree to the text in force, or refuse: an adult for themself, a guardian for a child."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    row = consents_service.decide(
        session,
        actor,
        membership_id,
        text_id=sent.text_id,
        decision=sent.decision,
        source=caller_address(request),
        base_url=settings.base_url,
        now=utc_now(),
    )
    return _shown(session, actor, membership_id, row.text.locale)


@router.post(f"{_CONSENTS}/withdraw", responses=problems(404, 409))
def withdraw_consent(
    membership_id: UUID, session: DbSession, actor: CurrentMember, settings: AppSettings
) -> ConsentRead:
    """Take consent back: open clips end, nothing is measured or shown to a coach any more."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    row = consents_service.withdraw(
        session, actor, membership_id, base_url=settings.base_url, now=utc_now()
    )
    return _shown(session, actor, membership_id, row.text.locale)


@router.get("/consent-texts", dependencies=[needs(Scope.PEOPLE_READ)])
def list_texts(session: DbSession, actor: AcademyAdmin) -> list[ConsentTextRead]:
    """Every text that was ever in force or will be, newest version first."""
    return [ConsentTextRead.of(row) for row in academy_settings.list_texts(session, actor)]


@router.post(
    "/consent-texts",
    status_code=201,
    responses=problems(422),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def publish_text(
    session: DbSession, actor: AcademyAdmin, sent: ConsentTextSent
) -> list[ConsentTextRead]:
    """Add the next version of a text; none is ever changed."""
    rows = academy_settings.publish_text(
        session,
        actor,
        audience=sent.audience,
        bodies=sent.bodies,
        asks_again=sent.asks_again,
        valid_from=sent.valid_from,
        now=utc_now(),
    )
    return [ConsentTextRead.of(row) for row in rows]

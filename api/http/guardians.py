"""Guardians: coming in by the mailed link, their children, and who the office says they are."""

from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response

from api.db.base import utc_now
from api.domain.actors import Scope
from api.domain.names import Role
from api.http.deps import (
    AcademyAdmin,
    AppSettings,
    CurrentMember,
    DbSession,
    check_origin,
    needs,
    require_role,
)
from api.http.me import me_of
from api.http.people import person_shown
from api.http.problems import problems
from api.http.rate_limits import LINKS_PER_EMAIL, TRIES_PER_CALLER, caller_address
from api.http.schemas.joining import (
    ChildRead,
    ChildSaid,
    GuardianLinkUsed,
    GuardianNamed,
    GuardianRead,
)
from api.http.schemas.people import MeRead, PersonRead
from api.http.sign_in import Limits, actor_of, set_cookie
from api.services import consents as consents_service
from api.services import guardians as guardians_service

router = APIRouter(tags=["guardians"])


@router.post(
    "/guardian-acceptances",
    responses=problems(403, 410, 429),
    dependencies=[Depends(check_origin)],
)
def accept_guardianship(
    request: Request,
    response: Response,
    sent: GuardianLinkUsed,
    session: DbSession,
    settings: AppSettings,
    limits: Limits,
) -> MeRead:
    """Use a guardian's mailed link: the account is made, and the browser is signed in. Nothing is agreed to yet."""
    limits.spend(TRIES_PER_CALLER, "confirm", caller_address(request))
    opened = guardians_service.accept(session, settings, sent.token, utc_now())
    set_cookie(response, settings, opened)
    return me_of(session, actor_of(opened))


@router.get("/children")
def list_children(session: DbSession, actor: CurrentMember) -> list[ChildRead]:
    """The children whom a guardian answers for, with where consent stands."""
    require_role(actor, Role.GUARDIAN)
    now = utc_now()
    return [
        ChildRead.of(
            child,
            consents_service.told(session, actor, child.id, consents_service.USUAL_LOCALE, now),
        )
        for child in guardians_service.children(session, actor)
    ]


@router.post("/people/{membership_id}/guardian/remind", responses=problems(404, 409, 429))
def remind_guardian(
    membership_id: UUID,
    session: DbSession,
    actor: CurrentMember,
    settings: AppSettings,
    limits: Limits,
) -> GuardianRead:
    """Mail the guardian a fresh link, to the address that was named. By the child or the office."""
    require_role(actor, Role.STUDENT, Role.ADMIN)
    limits.spend(LINKS_PER_EMAIL, "guardian", str(membership_id))
    row = guardians_service.remind(session, settings, actor, membership_id, utc_now())
    return GuardianRead.of(row)


@router.put(
    "/people/{membership_id}/guardian",
    responses=problems(404, 409, 422),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def replace_guardian(
    membership_id: UUID,
    session: DbSession,
    actor: AcademyAdmin,
    settings: AppSettings,
    sent: GuardianNamed,
) -> GuardianRead:
    """Name a child's guardian. Another one than before ends what that one had agreed to."""
    row = guardians_service.replace_guardian(
        session, settings, actor, membership_id, name=sent.name, email=sent.email, now=utc_now()
    )
    return GuardianRead.of(row)


@router.put(
    "/people/{membership_id}/child",
    responses=problems(404),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def say_child(
    membership_id: UUID, session: DbSession, actor: AcademyAdmin, sent: ChildSaid
) -> PersonRead:
    """Say that a student is a child, whatever was declared, or take that back: they are asked again."""
    member = guardians_service.set_age(
        session, actor, membership_id, child=sent.child, now=utc_now()
    )
    return person_shown(session, member)

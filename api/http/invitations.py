"""Inviting people, for the academy's admins."""

from uuid import UUID

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse

from api.db import invitations as invitations_db
from api.db.base import utc_now
from api.domain.actors import Scope
from api.http.deps import AcademyAdmin, AppSettings, DbSession, needs
from api.http.idempotency import IdempotencyKeyHeader, answer_once
from api.http.problems import problems
from api.http.schemas.people import InvitationRead, InvitationSent
from api.services import invitations as invitations_service

router = APIRouter(tags=["invitations"])


@router.post(
    "/invitations",
    status_code=201,
    response_model=InvitationRead,
    responses=problems(409),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def invite(
    request: Request,
    session: DbSession,
    actor: AcademyAdmin,
    settings: AppSettings,
    sent: InvitationSent,
    key: IdempotencyKeyHeader = None,
) -> JSONResponse:
    """Offer somebody a place in the academy, by mail."""

    def make() -> InvitationRead:
        return InvitationRead.of(
            invitations_service.invite(
                session,
                settings,
                actor,
                email=sent.email,
                name=sent.name,
                role=sent.role,
                language=sent.language,
                now=utc_now(),
            )
        )

    return answer_once(request, session, actor, key, sent, 201, make)


@router.get("/invitations", dependencies=[needs(Scope.PEOPLE_READ)])
def list_invitations(session: DbSession, actor: AcademyAdmin) -> list[InvitationRead]:
    """The academy's open invitations, newest first, expired ones included."""
    return [InvitationRead.of(row) for row in invitations_db.open_invitations(session, actor)]


@router.post(
    "/invitations/{invitation_id}/resend",
    responses=problems(404),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def resend_invitation(
    invitation_id: UUID, session: DbSession, actor: AcademyAdmin, settings: AppSettings
) -> InvitationRead:
    """Mail a fresh link; the old one stops working."""
    return InvitationRead.of(
        invitations_service.send_again(session, settings, actor, invitation_id, utc_now())
    )


@router.delete(
    "/invitations/{invitation_id}",
    status_code=204,
    responses=problems(404),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def revoke_invitation(invitation_id: UUID, session: DbSession, actor: AcademyAdmin) -> None:
    """Withdraw an open invitation; its link stops working."""
    invitations_service.revoke(session, actor, invitation_id, utc_now())

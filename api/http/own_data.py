"""A copy of one's data, and its erasure: for oneself, or as a guardian for a child."""

from uuid import UUID

from fastapi import APIRouter, Depends, Request

from api.db.base import utc_now
from api.db.models import DataExport
from api.domain.names import Role
from api.domain.states import ExportState
from api.http.deps import AppSettings, CurrentMember, DbSession, check_origin, require_role
from api.http.problems import problems
from api.http.rate_limits import LINKS_PER_EMAIL, TRIES_PER_CALLER, caller_address
from api.http.schemas.own_data import (
    ErasureConfirmed,
    ErasureConfirmedRead,
    ErasureRead,
    ErasureStateRead,
    ExportRead,
)
from api.http.sign_in import Limits
from api.services import own_data
from api.storage.keys import export_key
from api.storage.links import LinkSigner

router = APIRouter(tags=["own data"])

_EXPORTS = "/people/{membership_id}/exports"
_ERASURE = "/people/{membership_id}/erasure"


def _export(request: Request, row: DataExport) -> ExportRead:
    signer: LinkSigner = request.app.state.link_signer
    ready = row.state == ExportState.READY
    return ExportRead.of(row, signer.link(export_key(row.id)) if ready else None)


@router.post(_EXPORTS, status_code=202, responses=problems(404, 409))
def ask_export(
    membership_id: UUID, request: Request, session: DbSession, actor: CurrentMember
) -> ExportRead:
    """Ask for a copy of everything. A worker makes it; look again under the same address."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    return _export(request, own_data.ask_export(session, actor, membership_id))


@router.get(_EXPORTS, responses=problems(404))
def list_exports(
    membership_id: UUID, request: Request, session: DbSession, actor: CurrentMember
) -> list[ExportRead]:
    """Copies that were asked for, newest first, with links to those that are ready."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    rows = own_data.list_exports(session, actor, membership_id)
    return [_export(request, row) for row in rows]


@router.post(_ERASURE, status_code=202, responses=problems(404, 409, 429))
def ask_erasure(
    membership_id: UUID,
    session: DbSession,
    actor: CurrentMember,
    settings: AppSettings,
    limits: Limits,
) -> ErasureRead:
    """Ask for everything to be erased. Nothing happens before the mailed link is confirmed."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    limits.spend(LINKS_PER_EMAIL, "erasure", str(membership_id))
    row = own_data.ask_erasure(session, settings, actor, membership_id, utc_now())
    return ErasureRead.of(row)


@router.get(_ERASURE, responses=problems(404))
def read_erasure(membership_id: UUID, session: DbSession, actor: CurrentMember) -> ErasureStateRead:
    """The erasure under way, if there is one."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    row = own_data.erasure_of(session, actor, membership_id)
    return ErasureStateRead(under_way=None if row is None else ErasureRead.of(row))


@router.delete(_ERASURE, status_code=204, responses=problems(404))
def call_erasure_back(membership_id: UUID, session: DbSession, actor: CurrentMember) -> None:
    """Stop it before it is carried out. Clips that ended with its confirmation stay ended."""
    require_role(actor, Role.STUDENT, Role.GUARDIAN)
    own_data.call_back(session, actor, membership_id, utc_now())


@router.post(
    "/erasure-confirmations",
    responses=problems(403, 410, 429),
    dependencies=[Depends(check_origin)],
)
def confirm_erasure(
    request: Request,
    sent: ErasureConfirmed,
    session: DbSession,
    settings: AppSettings,
    limits: Limits,
) -> ErasureConfirmedRead:
    """Confirm by the mailed link: everything stops and is hidden now, and is erased at ``due_at``."""
    limits.spend(TRIES_PER_CALLER, "confirm", caller_address(request))
    done = own_data.confirm_erasure(session, settings, sent.token, utc_now())
    return ErasureConfirmedRead(due_at=done.due_at, name=done.name, academy=done.academy)

"""The academy's audit trail, for its admins."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query

from api.db.audit import page_of_events
from api.domain.actors import Scope
from api.http.deps import AcademyAdmin, DbSession, PageSize, needs
from api.http.schemas.audit import AuditEventRead
from api.http.schemas.common import Page

router = APIRouter(tags=["audit"])


@router.get("/audit-events", dependencies=[needs(Scope.PEOPLE_READ)])
def list_events(
    session: DbSession,
    actor: AcademyAdmin,
    subject: Annotated[UUID | None, Query(description="Only acts on this thing.")] = None,
    cursor: Annotated[UUID | None, Query(description="`next_cursor` of the page before.")] = None,
    limit: PageSize = 100,
) -> Page[AuditEventRead]:
    """Who did what to which thing, newest first."""
    rows = page_of_events(session, actor, subject_id=subject, before_id=cursor, limit=limit + 1)
    shown = rows[:limit]
    return Page(
        items=[AuditEventRead.model_validate(row) for row in shown],
        next_cursor=shown[-1].id if len(rows) > limit else None,
    )

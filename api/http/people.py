"""The people of an academy."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Query
from sqlalchemy.orm import Session

from api.db.base import utc_now
from api.db.models import Membership
from api.domain.actors import Scope
from api.domain.names import Role
from api.http.deps import AcademyAdmin, CoachOrAdmin, DbSession, PageSize, needs
from api.http.problems import problems
from api.http.schemas.common import Page
from api.http.schemas.people import PersonRead
from api.services import people as people_service

router = APIRouter(tags=["people"])


def person_shown(session: Session, member: Membership) -> PersonRead:
    """One of the academy's people, as its office sees them."""
    child = member.id in people_service.children_among(session, [member])
    return PersonRead.of(member, with_email=True, child=child)


@router.get("/people", dependencies=[needs(Scope.PEOPLE_READ)])
def list_people(
    session: DbSession,
    actor: CoachOrAdmin,
    role: Role | None = None,
    cursor: Annotated[UUID | None, Query(description="`next_cursor` of the page before.")] = None,
    limit: PageSize = 100,
) -> Page[PersonRead]:
    """An admin sees everybody of the academy, a coach its students and themself."""
    rows = people_service.list_people(session, actor, role=role, after_id=cursor, limit=limit + 1)
    shown = rows[:limit]
    children = people_service.children_among(session, shown)
    return Page(
        items=[
            PersonRead.of(row, with_email=actor.role is Role.ADMIN, child=row.id in children)
            for row in shown
        ],
        next_cursor=shown[-1].id if len(rows) > limit else None,
    )


@router.post(
    "/people/{membership_id}/deactivate",
    responses=problems(404, 409),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def deactivate(membership_id: UUID, session: DbSession, actor: AcademyAdmin) -> PersonRead:
    """Close a place: signed out everywhere, tokens ended. What the person did stays."""
    member = people_service.deactivate(session, actor, membership_id, utc_now())
    return person_shown(session, member)


@router.post(
    "/people/{membership_id}/reactivate",
    responses=problems(404),
    dependencies=[needs(Scope.PEOPLE_WRITE)],
)
def reactivate(membership_id: UUID, session: DbSession, actor: AcademyAdmin) -> PersonRead:
    """Open a closed place again."""
    member = people_service.reactivate(session, actor, membership_id)
    return person_shown(session, member)

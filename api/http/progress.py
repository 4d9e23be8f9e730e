"""How a student's numbers went from answer to answer."""

from uuid import UUID

from fastapi import APIRouter

from api.db.looks import note_look_at_student
from api.domain.actors import Scope
from api.http.deps import CurrentMember, DbSession, needs
from api.http.problems import problems
from api.http.schemas.progress import OverTimeRead
from api.services.progress import progress_of

router = APIRouter(tags=["progress"])


@router.get(
    "/people/{membership_id}/progress",
    responses=problems(404),
    dependencies=[needs(Scope.CLIPS_READ)],
)
def read_progress(membership_id: UUID, session: DbSession, actor: CurrentMember) -> OverTimeRead:
    """A student's numbers over their answered clips, what really changed, and the drills between.

    Students read their own. A change counts as real where it is more than measuring twice would give.
    """
    found = progress_of(session, actor, membership_id)
    note_look_at_student(session, actor, membership_id)
    return OverTimeRead.model_validate(found)

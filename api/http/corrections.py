"""What coaches' corrections teach about the machine's readings."""

from fastapi import APIRouter

from api.db.base import utc_now
from api.domain.actors import Scope
from api.domain.checkpoints import CHECKPOINTS
from api.domain.corrections import FEWEST
from api.http.deps import CoachOrAdmin, DbSession, needs
from api.http.schemas.corrections import LessonRead, LessonsRead
from api.services.corrections import Lesson, list_lessons

router = APIRouter(tags=["corrections"])


@router.get("/corrections", dependencies=[needs(Scope.REVIEWS_READ)])
def list_corrections(session: DbSession, actor: CoachOrAdmin) -> LessonsRead:
    """Bias and spread of the machine's readings, as the academy's own coaches corrected them.

    From answers that stand; drafts and answers that were called back teach nothing.
    """
    lessons = list_lessons(session, actor, utc_now())
    return LessonsRead(fewest=FEWEST, lessons=[_shown(lesson) for lesson in lessons])


def _shown(lesson: Lesson) -> LessonRead:
    group, learnt = lesson.group, lesson.learnt
    return LessonRead(
        checkpoint=group.checkpoint,
        unit=CHECKPOINTS[group.checkpoint].unit,
        view=group.view,
        rate=group.rate,
        pipeline=group.pipeline,
        corrections=learnt.cases,
        left_alone=learnt.left_alone,
        bias=learnt.bias if learnt.teaches else None,
        bias_sigma=learnt.bias_sigma if learnt.teaches else None,
        spread=learnt.spread if learnt.teaches else None,
    )

"""The drill library."""

from fastapi import APIRouter

from api.domain.actors import Scope
from api.domain.drill_library import DRILLS
from api.domain.drills import Dose, Drill
from api.http.deps import CurrentMember, needs
from api.http.schemas.drills import DoseRead, DrillRead

router = APIRouter(tags=["drills"])


@router.get("/drills", dependencies=[needs(Scope.CLIPS_READ)])
def list_drills(_actor: CurrentMember) -> list[DrillRead]:
    """Every drill a coach may prescribe."""
    return [_drill(drill) for drill in DRILLS.values()]


def _drill(drill: Drill) -> DrillRead:
    return DrillRead(
        id=drill.id,
        name=drill.name,
        purpose=drill.purpose,
        helps=drill.helps,
        serves=[finding.value for finding in drill.serves],
        kit=", ".join(drill.kit),
        steps=list(drill.steps),
        caution=" ".join(drill.cautions),
        dose=_dose(drill.dose),
        next_clip=drill.next_clip,
        film=drill.film.value,
        checks=[checkpoint.value for checkpoint in drill.checks],
    )


def _dose(dose: Dose) -> DoseRead:
    return DoseRead(
        sets=dose.sets,
        reps=dose.reps,
        pause_s=dose.pause_s or None,
        days_per_week=dose.days_per_week,
        until=None,
        weeks=dose.weeks,
    )

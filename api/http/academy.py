"""What an academy's admins decide for all, and the figures of agreement between its coaches."""

from fastapi import APIRouter

from api.db.base import utc_now
from api.domain.actors import Scope
from api.domain.agreement import LEAST_PAIRS
from api.domain.checkpoints import CHECKPOINTS
from api.http.deps import AcademyAdmin, DbSession, needs
from api.http.schemas.academy import (
    AcademyChanged,
    AcademyRead,
    AgreedRead,
    AgreementRead,
    DifferencesRead,
    ReliabilityRead,
)
from api.services import academy_settings
from api.services.double_reads import Agreed, agreement_told

router = APIRouter(tags=["academy"])


@router.get("/academy", dependencies=[needs(Scope.PEOPLE_READ)])
def read_academy(session: DbSession, actor: AcademyAdmin) -> AcademyRead:
    """The academy as it is set."""
    return AcademyRead.model_validate(academy_settings.academy_of(session, actor))


@router.patch("/academy", dependencies=[needs(Scope.PEOPLE_WRITE)])
def change_academy(session: DbSession, actor: AcademyAdmin, sent: AcademyChanged) -> AcademyRead:
    """Set language, the age limit, which local law decides, whom children can turn to, and how many answers are read again.

    The share of those counts for answers sent from now on.
    """
    parts = academy_settings.AcademyParts(**sent.model_dump(exclude_none=True))
    changed = academy_settings.change_academy(session, actor, parts, utc_now())
    return AcademyRead.model_validate(changed)


@router.get("/agreement", dependencies=[needs(Scope.REVIEWS_READ)])
def read_agreement(session: DbSession, actor: AcademyAdmin) -> AgreementRead:
    """How well two coaches agree who read the same clips without knowing of each other, number by number."""
    told = agreement_told(session, actor)
    return AgreementRead(
        double_read_share=told.share,
        least_pairs=LEAST_PAIRS,
        open=told.open,
        committed=told.committed,
        items=[_agreed(one) for one in told.items],
    )


def _agreed(one: Agreed) -> AgreedRead:
    found = one.agreement
    return AgreedRead(
        checkpoint=one.checkpoint,
        unit=CHECKPOINTS[one.checkpoint].unit,
        view=one.view,
        pairs=found.pairs,
        left_alone=one.left_alone,
        differences=None
        if found.differences is None
        else DifferencesRead.model_validate(found.differences),
        reliability=None
        if found.reliability is None
        else ReliabilityRead.model_validate(found.reliability),
        reason=found.reason,
    )

"""What an academy's admins decide for all, and the figures of agreement between its coaches."""

from fastapi import APIRouter

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
from api.services.academies import change_academy, own_academy
from api.services.double_reads import Agreed, agreement_told

router = APIRouter(tags=["academy"])


@router.get("/academy", dependencies=[needs(Scope.PEOPLE_READ)])
def read_academy(session: DbSession, actor: AcademyAdmin) -> AcademyRead:
    """The academy as it is set."""
    return AcademyRead.model_validate(own_academy(session, actor))


@router.patch("/academy", dependencies=[needs(Scope.PEOPLE_WRITE)])
def change_settings(session: DbSession, actor: AcademyAdmin, sent: AcademyChanged) -> AcademyRead:
    """Set the share of answers that are read again. It counts for answers sent from now on."""
    share = sent.double_read_share
    return AcademyRead.model_validate(change_academy(session, actor, double_read_share=share))


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

"""What is read on a swing."""

from fastapi import APIRouter

from api.domain.actors import Scope
from api.domain.checkpoints import CHECKPOINTS
from api.http.deps import CurrentMember, needs
from api.http.schemas.checkpoints import CheckpointRead

router = APIRouter(tags=["checkpoints"])


@router.get("/checkpoints", dependencies=[needs(Scope.CLIPS_READ)])
def list_checkpoints(_actor: CurrentMember) -> list[CheckpointRead]:
    """Every checkpoint read today, with its default bands."""
    return [CheckpointRead.model_validate(one) for one in CHECKPOINTS.values()]

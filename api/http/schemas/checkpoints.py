"""Bodies about checkpoints."""

from pydantic import Field

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId, PointName, Unit, View
from api.http.schemas.common import Read


class BandsRead(Read):
    """Limits in the checkpoint's unit, in rising order."""

    watch_low: float
    good_low: float
    good_high: float
    watch_high: float


class CheckpointRead(Read):
    """What a checkpoint is, in words, and where its bands come from."""

    id: CheckpointId = Field(examples=["lead_arm_shaft_angle"])
    name: str
    meaning: str
    views: list[View]
    keyframe: KeyframeId
    moment: str = Field(description="The instant in words, where no keyframe names it.")
    main: bool = Field(description="One of the numbers a coach looks at first.")
    unit: Unit
    points: list[PointName]
    bands: BandsRead | None
    bands_source: str

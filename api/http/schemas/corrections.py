"""Bodies about what coaches' corrections teach."""

from pydantic import Field

from api.domain.checkpoint_ids import CheckpointId
from api.domain.corrections import RateClass
from api.domain.names import Unit, View
from api.http.schemas.common import Read


class LessonRead(Read):
    """What was learnt of one number on like clips, in its unit.

    ``bias``: how much too high the machine read (below zero: too low), with one sigma of it; ``spread``: what is
    added to the machine's own sigma in squares. All three are null while ``corrections`` are fewer than ``fewest``.
    ``left_alone``: like readings that coaches sent as they were.
    """

    checkpoint: CheckpointId
    unit: Unit
    view: View
    rate: RateClass = Field(description="Fewer than 45 pictures a second, or 45 and more.")
    pipeline: str = Field(examples=["2026.11.29-4"])
    corrections: int
    left_alone: int
    bias: float | None
    bias_sigma: float | None
    spread: float | None


class LessonsRead(Read):
    """Everything that this academy's corrections teach; ``fewest`` of a kind teach something."""

    fewest: int
    lessons: list[LessonRead]

"""Bodies about the drill library."""

from pydantic import Field

from api.http.schemas.common import Read


class DoseRead(Read):
    """A usual dose; ``pause_s`` seconds, null without a pause; ``until`` is the coach's to set."""

    sets: int
    reps: int
    pause_s: float | None
    days_per_week: int
    until: str | None
    weeks: int


class DrillRead(Read):
    """One drill, in words for the student. ``caution`` goes with it wherever it is shown."""

    id: str = Field(examples=["feet-together"])
    name: str
    purpose: str
    helps: str
    serves: list[str] = Field(description="Findings it answers.")
    kit: str
    steps: list[str]
    caution: str
    dose: DoseRead
    next_clip: str
    film: str = Field(description="The view of the next clip.")
    checks: list[str] = Field(description="Checkpoints that can be read on it.")

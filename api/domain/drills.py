"""Drills a coach assigns: what each is for, how it is done, how much, and what it should change.

The texts are in ``api.domain.drill_library``; the cautions here go with every one of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from api.domain.checkpoint_ids import CheckpointId
from api.domain.findings import FindingCode
from api.domain.names import KeyframeId, View

GENERAL_CAUTIONS: tuple[str, ...] = (
    "Warm up first, and go slowly before you go faster.",
    (
        "Clear the space around and above you: the full reach of the club and one step more. Look "
        "round before every swing."
    ),
    (
        "Keep your hands, grip and shoes dry. No swings under a low ceiling or near glass, animals or "
        "other people."
    ),
    (
        "Stop at once if anything hurts, goes numb or makes you dizzy, and see a qualified health "
        "professional before you go on."
    ),
    (
        "Use weighted or unusual objects only if your coach set them for you. Follow the rules of "
        "your range."
    ),
)
"""Shown with every drill, whatever else it says."""


@dataclass(frozen=True, slots=True)
class Dose:
    """How much: sets of repetitions, seconds to hold each pause, days a week, for some weeks."""

    sets: int
    reps: int
    pause_s: float
    days_per_week: int
    weeks: int

    def __post_init__(self) -> None:
        """Refuse what nobody can do: a day no week has, or no repetition at all."""
        whole = (self.sets, self.reps, self.days_per_week, self.weeks)
        if min(whole) < 1 or self.days_per_week > 7 or self.pause_s < 0:  # noqa: PLR2004 - a week
            raise ValueError(f"no such dose: {self}")


@dataclass(frozen=True, slots=True)
class Drill:
    """One drill. ``film`` is the view of the next clip, ``checks`` what the service can read on it.

    ``pause_of`` is the number that shows the pause of its dose, the usual one and a coach's: a stop between start
    and strike, or the finish held. ``None`` where no clip can show it. ``stop_at`` is the position at which a stop
    is to be held, where the steps name one that a clip can show; ``stop_hinged`` says that they ask for a stop with
    the shaft at 45 degrees as well.
    ``serves`` are the findings it answers; ``helps`` says the same in words, and more widely.
    ``own_cautions`` are what this drill adds to ``GENERAL_CAUTIONS``.
    """

    id: str
    name: str
    purpose: str
    helps: str
    serves: tuple[FindingCode, ...]
    kit: tuple[str, ...]
    steps: tuple[str, ...]
    dose: Dose
    own_cautions: tuple[str, ...]
    next_clip: str
    film: View
    pause_of: CheckpointId | None
    checks: tuple[CheckpointId, ...] = ()
    stop_at: KeyframeId | None = None
    stop_hinged: bool = False

    @property
    def cautions(self) -> tuple[str, ...]:
        """Everything to heed: this drill's own, then the ones that always hold."""
        return (*self.own_cautions, *GENERAL_CAUTIONS)


def library(drills: tuple[Drill, ...]) -> Mapping[str, Drill]:
    """Drills by id. Raises ``ValueError`` for an id used twice: answers refer to drills by it."""
    by_id = {drill.id: drill for drill in drills}
    if len(by_id) != len(drills):
        raise ValueError("a drill id is used twice")
    return MappingProxyType(by_id)


def serving(finding: FindingCode, drills: Mapping[str, Drill]) -> tuple[Drill, ...]:
    """Drills that answer a finding, in the library's order."""
    return tuple(drill for drill in drills.values() if finding in drill.serves)

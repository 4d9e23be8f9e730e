"""What a coach says to the patterns that a swing's numbers point to.

The machine proposes, the coach judges: a finding is accepted, or dismissed with a reason, or a coach adds one of
their own. What is not judged stays open; one that was too close to call is then told as just that, since
nobody called it.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from api.domain.errors import Invalid
from api.domain.findings import FINDINGS, FindingCode

MOST_JUDGED = 20
"""More would be every pattern there is, and some of one's own."""
MOST_LATER = 2
"""Things for later beside the one main thing: three in all, and only the first is worked on now."""
LONGEST_LATER = 140
LONGEST_NAME = 80


class Judgement(StrEnum):
    """What the coach made of a finding."""

    ACCEPTED = "accepted"
    DISMISSED = "dismissed"


class DismissReason(StrEnum):
    """Why a finding is not one. All but the last two say that the number it rests on is wrong."""

    WRONG_FRAME = "wrong_frame"
    WRONG_POINT = "wrong_point"
    CLUB_HIDDEN = "club_hidden"
    CAMERA_ASIDE = "camera_aside"
    NOT_A_FAULT = "not_a_fault"
    NOT_NOW = "not_now"


DISMISS_WORDS: Mapping[DismissReason, str] = MappingProxyType(
    {
        DismissReason.WRONG_FRAME: "Wrong moment",
        DismissReason.WRONG_POINT: "A point is in the wrong place",
        DismissReason.CLUB_HIDDEN: "The club is hidden or blurred",
        DismissReason.CAMERA_ASIDE: "The camera stands off its line",
        DismissReason.NOT_A_FAULT: "Not a fault for this player",
        DismissReason.NOT_NOW: "True, but not what matters now",
    }
)


@dataclass(frozen=True, slots=True)
class Judged:
    """One finding as the coach judged it.

    ``code``: a pattern of the catalogue, whether the machine proposed it or not; ``None`` for one in the
    coach's own words, which ``name`` then holds. ``words``: what the coach says to it, for the student.
    """

    code: FindingCode | None
    name: str
    verdict: Judgement
    reason: DismissReason | None
    words: str

    @property
    def key(self) -> str:
        """What tells it from the others of a review."""
        return self.name.casefold() if self.code is None else self.code.value

    def to_json(self) -> dict[str, Any]:
        """As the draft keeps it."""
        return asdict(self)

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Judged":
        """Read what ``to_json`` wrote."""
        return cls(
            None if kept["code"] is None else FindingCode(kept["code"]),
            kept["name"],
            Judgement(kept["verdict"]),
            None if kept["reason"] is None else DismissReason(kept["reason"]),
            kept["words"],
        )


def check_judged(judged: Sequence[Judged]) -> None:
    """Raises ``Invalid``, in words for a coach, for judgements that do not make sense together."""
    if len(judged) > MOST_JUDGED:
        raise Invalid(f"{MOST_JUDGED} findings at most can be judged.")
    if len({one.key for one in judged}) != len(judged):
        raise Invalid("The same finding is judged twice.")
    for one in judged:
        _check_one(one)


def _check_one(one: Judged) -> None:
    if (one.code is None) == (one.name == ""):
        raise Invalid("A finding is one of the catalogue, or has a name of your own.")
    if (one.verdict is Judgement.DISMISSED) != (one.reason is not None):
        raise Invalid("A dismissed finding needs a reason, and only a dismissed one has it.")
    if one.code is None and one.verdict is Judgement.DISMISSED:
        raise Invalid("A finding of your own is taken away rather than dismissed.")


def check_later(later: Sequence[str]) -> None:
    """Raises ``Invalid`` for more things for later than anybody keeps in mind."""
    if len(later) > MOST_LATER:
        raise Invalid(f"{MOST_LATER} things for later at most: one main thing comes first.")


@dataclass(frozen=True, slots=True)
class Standing:
    """A finding as it is told: ``judged`` by the coach, or ``None`` while it is open.

    ``found``: what the machine proposed, in whatever form the caller keeps it; ``None`` for a coach's own.
    """

    found: Mapping[str, Any] | None
    judged: Judged | None

    @property
    def is_open(self) -> bool:
        """Too close to call, and nobody called it."""
        return self.judged is None and self.found is not None and not self.found["sure"]


def standing(found: Iterable[Mapping[str, Any]], judged: Sequence[Judged]) -> list[Standing]:
    """The machine's findings (each with ``code`` and ``sure``) with what the coach said, then the coach's own.

    Every machine finding is here, also a dismissed one.
    """
    by_key = {one.key: one for one in judged}
    machine = [Standing(one, by_key.get(str(one["code"]))) for one in found]
    proposed = {str(one.found["code"]) for one in machine if one.found is not None}
    own = [
        Standing(None, one)
        for one in judged
        if one.key not in proposed and one.verdict is Judgement.ACCEPTED
    ]
    return [*machine, *own]


def told(found: Iterable[Mapping[str, Any]], judged: Sequence[Judged]) -> list[Standing]:
    """What the student is told: everything that was not dismissed."""
    return [
        one
        for one in standing(found, judged)
        if one.judged is None or one.judged.verdict is Judgement.ACCEPTED
    ]


def words_of(one: Standing) -> tuple[str, str]:
    """Name and meaning of a finding. A coach's own has the coach's words for its meaning."""
    if one.judged is not None and one.judged.code is None:
        return one.judged.name, ""
    code = FindingCode(one.found["code"]) if one.found else one.judged.code if one.judged else None
    if code is None:
        raise ValueError("neither proposed nor judged")
    return FINDINGS[code].name, FINDINGS[code].meaning

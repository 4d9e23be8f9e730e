"""Patterns that a swing's readings point to, each citing the readings it rests on.

Today every finding rests on one number, so it says what that number shows and no more: which
movement caused it is the coach's to judge. A finding is sure only when the whole 95 % interval
lies beyond the limit; a withheld reading never makes a sure one.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from api.domain.bands import Bands
from api.domain.checkpoints import CHECKPOINTS, NO_GROUND_HIT
from api.domain.measurement import Finding, Missing, Reading
from api.domain.names import Band, CheckpointId


class FindingCode(StrEnum):
    """Stable names of findings. Stored and sent as text."""

    UNDER_SET = "under_set"
    OVER_NARROW = "over_narrow"
    BUTT_END_OUTSIDE = "butt_end_outside"
    BUTT_END_FAR_INSIDE = "butt_end_far_inside"


@dataclass(frozen=True, slots=True)
class FindingWords:
    """``name`` for a heading, ``meaning`` for a student, ``caution`` on what it cannot tell."""

    name: str
    meaning: str
    caution: str


UNSURE_WORDS = "Too close to call from this clip: your coach decides."

_ONE_VIEW_CAUTION = (
    "One number from one view: the camera standing off its line moves it too. The coach looks at "
    "the whole swing before naming a cause."
)

FINDINGS: Mapping[FindingCode, FindingWords] = MappingProxyType(
    {
        FindingCode.UNDER_SET: FindingWords(
            "Under-set",
            "With the lead arm level, the wrists have set less than an upright L: the club still "
            "trails out, away from you.",
            _ONE_VIEW_CAUTION,
        ),
        FindingCode.OVER_NARROW: FindingWords(
            "Over-narrow",
            "With the lead arm level, the shaft has folded in well past an upright L.",
            _ONE_VIEW_CAUTION,
        ),
        FindingCode.BUTT_END_OUTSIDE: FindingWords(
            "Grip end points beyond the ball line",
            "With the lead arm level, the line through the grip end meets the ground beyond the "
            "ball: the shaft lies flatter than the target asks.",
            "A flat shaft may come from the forearms rolling early, from the hands being deep, or "
            "from where the camera stood; this number alone does not say which.",
        ),
        FindingCode.BUTT_END_FAR_INSIDE: FindingWords(
            "Grip end points far inside the ball line",
            "With the lead arm level, the line through the grip end meets the ground well on your "
            "side of the ball: the shaft stands more upright than the target asks.",
            "An upright shaft may come from the arms lifting without turn, from a late set, or "
            "from where the camera stood; this number alone does not say which.",
        ),
    }
)

# Below the lower watch limit, above the upper one.
_CODES: Mapping[CheckpointId, tuple[FindingCode, FindingCode]] = MappingProxyType(
    {
        CheckpointId.LEAD_ARM_SHAFT_ANGLE: (FindingCode.OVER_NARROW, FindingCode.UNDER_SET),
        CheckpointId.BUTT_END_INSIDE: (
            FindingCode.BUTT_END_OUTSIDE,
            FindingCode.BUTT_END_FAR_INSIDE,
        ),
    }
)


def find(
    readings: Mapping[CheckpointId, Reading | Missing],
    *,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> tuple[Finding, ...]:
    """Findings of one swing, in the order of the checkpoints.

    A value past its watch limit makes a finding; ``sure`` says whether its interval is clear of
    that limit and the reading could be placed at all (not ``too_close``). ``bands`` replaces the
    default bands of single checkpoints; give the same ones that ``evaluate`` was given.
    """
    own = bands or {}
    found = [
        _of_one(checkpoint, readings[checkpoint], own.get(checkpoint, definition.bands))
        for checkpoint, definition in CHECKPOINTS.items()
        if checkpoint in readings
    ]
    return tuple(finding for finding in found if finding is not None)


def _of_one(checkpoint: CheckpointId, reading: Reading | Missing, bands: Bands) -> Finding | None:
    below, above = _CODES[checkpoint]
    if isinstance(reading, Missing):
        # "No ground hit" is flatter than any number, but with no interval it cannot be sure.
        flat = checkpoint is CheckpointId.BUTT_END_INSIDE and reading.reason == NO_GROUND_HIT
        return Finding(below.value, sure=False, because=(checkpoint,)) if flat else None
    placed = reading.band is not Band.TOO_CLOSE
    if reading.value < bands.watch_low:
        sure = placed and reading.high < bands.watch_low
        return Finding(below.value, sure=sure, because=(checkpoint,))
    if reading.value > bands.watch_high:
        sure = placed and reading.low > bands.watch_high
        return Finding(above.value, sure=sure, because=(checkpoint,))
    return None

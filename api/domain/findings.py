"""Patterns that a swing's readings point to, each citing the readings it rests on.

Some findings rest on one number and say what that number shows and no more; a pattern (early roll, arm
lift, hands first) needs its leading number and at least one that supports it. A finding is sure only
when the whole 95 % intervals of what it rests on lie beyond their limits; a withheld reading never makes
one. "No ground hit" is withheld too: its reason says that the shaft is too flat, and a coach may add the finding.

Limits are the checkpoints' own watch limits, or the trade notes' where a pattern names another. Either way a
student's own bands come first: what is good for this student is never a fault.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Finding, Missing, Reading
from api.domain.uncertainty import Z95, combine


class FindingCode(StrEnum):
    """Stable names of findings. Stored and sent as text."""

    UNDER_SET = "under_set"
    OVER_NARROW = "over_narrow"
    BUTT_END_OUTSIDE = "butt_end_outside"
    BUTT_END_FAR_INSIDE = "butt_end_far_inside"
    EARLY_ROLL = "early_roll"
    ARM_LIFT = "arm_lift"
    HANDS_FIRST = "hands_first"
    NO_TRIGGER = "no_trigger"
    SWAY = "sway"
    REVERSE_TILT = "reverse_tilt"
    OVER_THE_TOP = "over_the_top"
    EARLY_STANDING_UP = "early_standing_up"
    SET_LET_GO = "set_let_go"


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
        FindingCode.EARLY_ROLL: FindingWords(
            "Early roll",
            "The forearms seem to have rotated early: the shaft lies flat with the lead arm level, and "
            "another number says the same.",
            "Deep hands or a camera that stood beside its line look alike. The face is judged by eye.",
        ),
        FindingCode.ARM_LIFT: FindingWords(
            "Arm lift",
            "The arms seem to have lifted without the body: the shaft stands upright with the lead arm "
            "level, and another number says the same.",
            "A steep shaft can also come from a late set; the coach looks at the turn of the chest.",
        ),
        FindingCode.HANDS_FIRST: FindingWords(
            "Hands first",
            "The hands or wrists start the swing: much of the wrist set is used before the hands pass "
            "the trail leg, and the body does not lead.",
            "A camera sees bodies move, not pressure: a shift may be there and not be seen.",
        ),
        FindingCode.NO_TRIGGER: FindingWords(
            "No visible shift before the club",
            "No sideways move of the pelvis was seen before the club started.",
            "Pressure under the feet can shift without the body moving: not seen is not the same as "
            "not there.",
        ),
        FindingCode.SWAY: FindingWords(
            "Sway",
            "The pelvis slides away from the target on the way back instead of turning.",
            _ONE_VIEW_CAUTION,
        ),
        FindingCode.REVERSE_TILT: FindingWords(
            "Leaning to the target at the top",
            "At the top the upper body leans towards the target instead of staying behind the ball.",
            _ONE_VIEW_CAUTION,
        ),
        FindingCode.OVER_THE_TOP: FindingWords(
            "Over the top",
            "The hands come down outside the way they went back.",
            "Often it only follows from the backswing; the coach looks there first.",
        ),
        FindingCode.EARLY_STANDING_UP: FindingWords(
            "Standing up early",
            "By impact the body has straightened up from its tilt at address.",
            _ONE_VIEW_CAUTION,
        ),
        FindingCode.SET_LET_GO: FindingWords(
            "Wrist set let go early",
            "Coming down with the lead arm level, the angle between arm and shaft is already much wider "
            "than it was going back.",
            _ONE_VIEW_CAUTION,
        ),
    }
)

STEEPER_BY_DEG = 10.0
"""Shaft at lead arm parallel flatter than at address by this or more belongs to an early roll."""
SMALL_TURN_DEG = 20.0
"""A chest turn below this with the lead arm level is little for the height of the arms."""


@dataclass(frozen=True, slots=True)
class Limit:
    """A reading past a limit. ``value``: ``None`` takes the watch limit of the bands in force.

    ``less``: the reading this one is compared with; the limit then is on their difference.
    """

    checkpoint: CheckpointId
    below: bool
    value: float | None = None
    less: CheckpointId | None = None


@dataclass(frozen=True, slots=True)
class Pattern:
    """A finding: all of ``leads`` must be past their limits, and one of ``supports`` where any is named."""

    code: FindingCode
    leads: tuple[Limit, ...]
    supports: tuple[Limit, ...] = ()


_C = CheckpointId
PATTERNS: tuple[Pattern, ...] = (
    Pattern(FindingCode.OVER_NARROW, (Limit(_C.LEAD_ARM_SHAFT_ANGLE, below=True),)),
    Pattern(FindingCode.UNDER_SET, (Limit(_C.LEAD_ARM_SHAFT_ANGLE, below=False),)),
    Pattern(FindingCode.BUTT_END_OUTSIDE, (Limit(_C.BUTT_END_INSIDE, below=True),)),
    Pattern(FindingCode.BUTT_END_FAR_INSIDE, (Limit(_C.BUTT_END_INSIDE, below=False),)),
    Pattern(
        FindingCode.EARLY_ROLL,
        (Limit(_C.BUTT_END_INSIDE, below=True),),
        (
            Limit(
                _C.SHAFT_PITCH, below=True, value=-STEEPER_BY_DEG, less=_C.SHAFT_PITCH_AT_ADDRESS
            ),
            Limit(_C.CLUBHEAD_INSIDE_EARLY, below=True),
            Limit(_C.HAND_DEPTH, below=False),
        ),
    ),
    Pattern(
        FindingCode.ARM_LIFT,
        (Limit(_C.BUTT_END_INSIDE, below=False),),
        (
            Limit(_C.HAND_DEPTH, below=True, value=0.0),
            Limit(_C.CHEST_TURN_AT_PARALLEL, below=True, value=SMALL_TURN_DEG),
        ),
    ),
    Pattern(
        FindingCode.HANDS_FIRST,
        (Limit(_C.SET_BEFORE_TRAIL_LEG, below=False), Limit(_C.START_ORDER, below=True, value=0.0)),
    ),
    Pattern(FindingCode.NO_TRIGGER, (Limit(_C.TRIGGER_SHIFT, below=True, value=0.01),)),
    Pattern(FindingCode.SWAY, (Limit(_C.PELVIS_SWAY, below=True),)),
    Pattern(FindingCode.REVERSE_TILT, (Limit(_C.SPINE_SIDE_TILT, below=True, value=-5.0),)),
    Pattern(FindingCode.SET_LET_GO, (Limit(_C.WRIST_SET_KEPT, below=False),)),
    Pattern(FindingCode.OVER_THE_TOP, (Limit(_C.PATH_OUTSIDE, below=False),)),
    Pattern(FindingCode.EARLY_STANDING_UP, (Limit(_C.SPINE_TILT_CHANGE_AT_IMPACT, below=True),)),
)


def find(
    readings: Mapping[CheckpointId, Reading | Missing],
    *,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> tuple[Finding, ...]:
    """Findings of one swing, in the order of ``PATTERNS``.

    ``bands`` replaces the default bands of single checkpoints; give the same ones that ``evaluate``
    was given. ``because`` names what was past its limit; ``sure`` that it was clearly so.
    """
    found = [_seen(pattern, readings, bands or {}) for pattern in PATTERNS]
    return tuple(finding for finding in found if finding is not None)


@dataclass(frozen=True, slots=True)
class _Past:
    """A limit that was passed: by what, and whether the whole interval was."""

    because: tuple[CheckpointId, ...]
    sure: bool


def _seen(
    pattern: Pattern,
    readings: Mapping[CheckpointId, Reading | Missing],
    bands: Mapping[CheckpointId, Bands],
) -> Finding | None:
    leads = [past for one in pattern.leads if (past := _past(one, readings, bands)) is not None]
    if len(leads) < len(pattern.leads):
        return None
    supports = [
        past for one in pattern.supports if (past := _past(one, readings, bands)) is not None
    ]
    if pattern.supports and not supports:
        return None
    sure = all(past.sure for past in leads)
    if supports:
        sure = sure and any(past.sure for past in supports)
    because = dict.fromkeys(each for past in (*leads, *supports) for each in past.because)
    return Finding(pattern.code.value, sure=sure, because=tuple(because))


def _past(
    limit: Limit,
    readings: Mapping[CheckpointId, Reading | Missing],
    bands: Mapping[CheckpointId, Bands],
) -> _Past | None:
    reading = readings.get(limit.checkpoint)
    if not isinstance(reading, Reading):
        return None
    if limit.less is not None:
        if limit.checkpoint in bands and not _past_own(limit, reading, bands[limit.checkpoint]):
            return None
        return _past_by(limit, reading, readings.get(limit.less))
    value = _limit_of(limit, bands)
    sign = 1.0 if limit.below else -1.0
    if sign * reading.value >= sign * value:
        return None
    end = reading.high if limit.below else reading.low
    sure = sign * end < sign * value and not _too_wide(reading, _in_force(limit.checkpoint, bands))
    return _Past((limit.checkpoint,), sure)


def _past_own(limit: Limit, reading: Reading, own: Bands) -> bool:
    """Whether a number is past the student's own limit, which a difference alone would not ask."""
    return reading.value < own.watch_low if limit.below else reading.value > own.watch_high


def _too_wide(reading: Reading, bands: Bands | None) -> bool:
    """Too wide to be placed at all: never sure, however far out.

    Its band does not say so: ``too_close`` may come from a limit that the pattern does not ask about.
    """
    return bands is not None and (reading.high - reading.low) / 2.0 > bands.good_width


def _past_by(limit: Limit, reading: Reading, other: Reading | Missing | None) -> _Past | None:
    """Of a difference of two readings: their errors add in squares."""
    if not isinstance(other, Reading) or limit.value is None or limit.less is None:
        return None
    sign = 1.0 if limit.below else -1.0
    difference = reading.value - other.value
    if sign * difference >= sign * limit.value:
        return None
    half = Z95 * combine(reading.sigma, other.sigma)
    sure = sign * difference + half < sign * limit.value
    return _Past((limit.checkpoint, limit.less), sure)


def _limit_of(limit: Limit, bands: Mapping[CheckpointId, Bands]) -> float:
    if limit.value is not None and limit.checkpoint not in bands:
        return limit.value
    own = _in_force(limit.checkpoint, bands)
    if own is None:
        raise ValueError(
            f"{limit.checkpoint} has no target, so its pattern needs a limit of its own"
        )
    return own.watch_low if limit.below else own.watch_high


def _in_force(checkpoint: CheckpointId, bands: Mapping[CheckpointId, Bands]) -> Bands | None:
    return bands.get(checkpoint) or CHECKPOINTS[checkpoint].bands

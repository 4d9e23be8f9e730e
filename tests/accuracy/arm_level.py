"""When the lead arm is level: in space, which is scored, and in the ideal face-on picture.

From below the shoulders the picture shows the line level at another moment, mostly later. How far apart the two
are, and what that does to the lead arm to shaft angle, is counted over the clips that are scored.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId
from tests.accuracy.content import Table
from tests.accuracy.rows import Row
from tests.accuracy.summary import ErrorSummary, summarise
from tests.accuracy.truths import TrueClip, TrueInstant, TrueSwing, TrueValue
from tests.accuracy.words import NONE, number

SEEN = "arm_level_seen"
"""The truth's moment at which the ideal picture first shows the lead arm level."""
ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE.value
ANGLE_SEEN = f"{ANGLE} at {SEEN}"


@dataclass(frozen=True, slots=True)
class ArmLevel:
    """What the two instants differ by.

    ``later_ms``: the picture's instant less space's, milliseconds of life, and ``turned_deg``: the
    true angle at the picture's less that at space's, both of swings that do not stop there.
    ``against_space`` and ``against_picture``: errors of the same given readings, found less true.
    """

    later_ms: tuple[float, ...] = ()
    turned_deg: tuple[float, ...] = ()
    against_space: tuple[float, ...] = ()
    against_picture: tuple[float, ...] = ()


def arm_level(clips: Iterable[TrueClip], rows: Sequence[Row]) -> ArmLevel:
    """Both instants of every swing whose truth has them, and every reading given of its angle."""
    later: list[float] = []
    turned: list[float] = []
    space: list[float] = []
    picture: list[float] = []
    given = {row.key: row for row in rows if row.id == ANGLE and row.error is not None}
    for clip in clips:
        for place, swing in enumerate(clip.swings):
            gap_s, (here, there) = _gap_s(swing), _angles(swing)
            if gap_s is not None:
                later.append(clip.life_ms(gap_s))
            if here is None or there is None:
                continue
            if gap_s is not None:
                turned.append(there - here)
            row = given.get(f"{clip.name}#{place}")
            if row is not None and row.value is not None:
                space.append(row.value - here)
                picture.append(row.value - there)
    return ArmLevel(tuple(later), tuple(turned), tuple(space), tuple(picture))


def _gap_s(swing: TrueSwing) -> float | None:
    """The picture's instant less space's, file seconds; ``None`` where the arm stops, or of no truth."""
    space, picture = swing.instants.get(KeyframeId.LEAD_ARM_PARALLEL), swing.moments.get(SEEN)
    if not isinstance(space, TrueInstant) or not isinstance(picture, TrueInstant) or space.stays:
        return None
    return picture.time_s - space.time_s


def _angles(swing: TrueSwing) -> tuple[float | None, float | None]:
    """The true angle at space's instant and at the picture's, degrees, for the ideal camera."""
    here, there = (swing.checkpoints.get(name) for name in (ANGLE, ANGLE_SEEN))
    return (
        here.ideal if isinstance(here, TrueValue) else None,
        there.ideal if isinstance(there, TrueValue) else None,
    )


def level_words(level: ArmLevel) -> str:
    """Where lead arm parallel is scored, and how far the picture's instant is from there."""
    start = "Lead arm parallel is scored in space; a face-on picture shows the line level at another moment"
    if not level.later_ms:
        return f"{start}, by how much no clip here tells."
    turn = ""
    if level.turned_deg:
        turn = f"; the true angle is then another by {_spread(level.turned_deg, 'deg', 'degrees')}"
    return (
        f"{start}, later by {_spread(level.later_ms, 'ms', 'ms')} over the {len(level.later_ms)} true "
        f"swings here that are seen face-on and do not stop there{turn}."
    )


def _spread(values: Sequence[float], unit: str, word: str) -> str:
    low, middle, high = np.percentile(values, (0.0, 50.0, 100.0))
    ends = " to ".join(number(float(end), unit, sign=True) for end in (low, high))
    return f"a median of {number(float(middle), unit, sign=True)} {word} ({ends})"


def level_table(level: ArmLevel) -> Table:
    """Errors of the same readings of the angle against the truth at either instant."""
    instants = (
        ("level in space (scored)", level.against_space),
        ("level in the ideal picture", level.against_picture),
    )
    return Table(
        "Lead arm to shaft angle, degrees: the same readings against the truth at either instant",
        ("True angle when the lead arm is", "n", "Mean", "Median size", "Worst"),
        tuple((words, *_cells(summarise(errors))) for words, errors in instants),
        level_words(level),
    )


def _cells(errors: ErrorSummary | None) -> tuple[str, ...]:
    if errors is None:
        return ("0", NONE, NONE, NONE)
    return (
        str(errors.n),
        number(errors.mean, "deg", sign=True),
        number(errors.median_size, "deg"),
        number(errors.worst_size, "deg"),
    )

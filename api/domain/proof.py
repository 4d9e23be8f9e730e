"""Whether a clip shows what a drill asked for.

A drill names the readings that prove it (``Drill.checks``), and its dose a pause. Each is met, not met, too
close to call, or could not be seen; nothing is met by a reading that is not there.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from api.domain.bands import Bands
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drills import Drill
from api.domain.measurement import Missing, Reading
from api.domain.names import CheckpointId

PAUSE_SHARE = 0.8
"""A pause of four fifths of the asked time counts; there is no upper limit (C12)."""
PAUSE_COUNTS_S = 0.5
"""Shorter asked pauses are not told from a slow turn (C12), so nothing is checked of them."""


class Verdict(StrEnum):
    """What a clip says of one thing that was asked."""

    MET = "met"
    NOT_MET = "not_met"
    TOO_CLOSE = "too_close"
    NOT_SEEN = "not_seen"


@dataclass(frozen=True, slots=True)
class Proof:
    """One thing that was asked, and the verdict.

    ``checkpoint`` tells it; ``least`` and ``most`` in its unit, ``None`` for no limit on that side. ``why``:
    the reason where nothing was seen.
    """

    checkpoint: CheckpointId
    least: float | None
    most: float | None
    verdict: Verdict
    why: str = ""


def prove(
    drill: Drill,
    readings: Mapping[CheckpointId, Reading | Missing],
    *,
    pause_s: float | None = None,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> tuple[Proof, ...]:
    """Everything that a drill asks of a clip. ``pause_s``: the assignment's own pause, else the dose's.

    A target is the good band: the student's own where ``bands`` has one.
    """
    asked = [_target(checkpoint, readings, bands or {}) for checkpoint in drill.checks]
    wanted_s = drill.dose.pause_s if pause_s is None else pause_s
    if (drill.checks or pause_s is not None) and wanted_s >= PAUSE_COUNTS_S:
        least = PAUSE_SHARE * wanted_s
        asked.append(_judged(CheckpointId.PAUSE_LENGTH, readings, least, None))
    return tuple(asked)


def _target(
    checkpoint: CheckpointId,
    readings: Mapping[CheckpointId, Reading | Missing],
    bands: Mapping[CheckpointId, Bands],
) -> Proof:
    own = bands.get(checkpoint) or CHECKPOINTS[checkpoint].bands
    if own is None:
        raise ValueError(f"{checkpoint} has no target, so no drill can ask for it")
    return _judged(checkpoint, readings, own.good_low, own.good_high)


def _judged(
    checkpoint: CheckpointId,
    readings: Mapping[CheckpointId, Reading | Missing],
    least: float | None,
    most: float | None,
) -> Proof:
    reading = readings.get(checkpoint, Missing("It was not looked for on this clip."))
    if isinstance(reading, Missing):
        return Proof(checkpoint, least, most, Verdict.NOT_SEEN, reading.reason)
    low_ok = least is None or reading.low >= least
    high_ok = most is None or reading.high <= most
    if low_ok and high_ok:
        return Proof(checkpoint, least, most, Verdict.MET)
    short = least is not None and reading.high < least
    over = most is not None and reading.low > most
    verdict = Verdict.NOT_MET if short or over else Verdict.TOO_CLOSE
    return Proof(checkpoint, least, most, verdict)

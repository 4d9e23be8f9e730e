"""Whether one swing on one clip shows what a drill asked for; ``api.domain.film_proof`` weighs all of them.

A drill names the readings that prove it (``Drill.checks``), its dose a pause, and it says itself what the pause is
of: a stop, and at which position, or the finish held. Each is met, not met, too close to call, or could not be seen;
nothing is met by a reading that is not there, and no stop by one that came somewhere else.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drills import Drill
from api.domain.measurement import Estimate, Missing, Reading
from api.domain.names import KeyframeId, Unit, View
from api.domain.picture_formulas import CUT_OFF
from api.domain.uncertainty import interval95

PAUSE_SHARE = 0.8
"""A pause of four fifths of the asked time counts; there is no upper limit (C12)."""
ASKED_ONLY_THERE: Mapping[CheckpointId, Bands] = MappingProxyType(
    {CheckpointId.HANDS_OVER_TRAIL_SHOULDER: Bands(-0.6, -0.3, 0.3, 0.6)}
)
"""Targets of what only a drill asks for, so that no full swing is held against them (working values)."""
HOLD_SHARE = 2.0 / 3.0
"""Of a count of three at the end two seconds are still (C24): the first goes by while the student settles."""
PAUSE_COUNTS_S = 0.5
"""Shorter asked pauses are not told from a slow turn (C12), so nothing is checked of them."""
POSITION_WITHIN_S = 0.25
"""A pause begins no farther from the position that was asked for (C12)."""
ARM_LEVEL_WITHIN_DEG = 15.0
"""Where the lead arm was not seen to pass level, a stop this near to level is one with the arm level: what a
slow arm that settles turns in a quarter of a second (working value)."""
HINGE_DEG, HINGE_WITHIN_DEG = 45.0, 10.0
"""Elevation of the shaft in the stop of the diagonal hinge, and how far off it may be: the notes say "near 45", and
the main angle's good band is ten degrees to either side too (working value)."""

STAY_ARM, STAY_SHAFT = "stay_arm_deg", "stay_shaft_deg"
HINGE_SHAFT, HINGE_HANDS = "hinge_shaft_deg", "hinge_hands"
"""Inputs of ``pause_length`` besides its formula's own, each with its ``sigma_``, and there only where they could be
told: elevation of lead arm (shoulder to wrist) and shaft (grip end to clubhead) in the stay for a level lead arm, of
the shaft in the stay that comes nearest to 45 degrees, and in that one the hands' place before the trail shoulder."""
PLAYS_SLOWLY = "plays_slowly"
"""Input of ``pause_length`` and ``finish_hold``: 1 where the swing plays slower than any full one and the student had
said that it is slow, so that its seconds are counted as they are."""


def stay_from(position: KeyframeId) -> str:
    """The input that says how long after a position the stay for it begins, seconds; - before it, 0 in it."""
    return f"stay_from_{position.value}_s"


def stay_length(position: KeyframeId) -> str:
    """The input that says how long the stay for a position is, seconds, where that is not the longest one."""
    return f"stay_length_{position.value}_s"


def with_sigma(name: str, seen: Estimate) -> dict[str, float]:
    """An input with its one sigma, by their names."""
    return {name: seen.value, f"sigma_{name}": seen.sigma}


class Verdict(StrEnum):
    """What a clip says of one thing that was asked."""

    MET = "met"
    NOT_MET = "not_met"
    TOO_CLOSE = "too_close"
    NOT_SEEN = "not_seen"


class Part(StrEnum):
    """What of a checkpoint is asked: its value, or how the shaft stood."""

    VALUE = "value"
    SHAFT = "shaft"


@dataclass(frozen=True, slots=True)
class Proof:
    """One thing that was asked, and the verdict.

    ``checkpoint`` and ``part`` tell it; ``least`` and ``most`` in ``unit``, ``None`` for no limit on that side;
    ``value`` with its 95 % interval from ``low`` to ``high`` is what was seen of it, ``None`` where nothing was.
    ``where``: the position at which a pause is asked for. ``why``: the reason where nothing was seen, or where
    the number alone does not tell the verdict.
    """

    checkpoint: CheckpointId
    least: float | None
    most: float | None
    verdict: Verdict
    why: str = ""
    part: Part = Part.VALUE
    where: KeyframeId | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None

    @property
    def unit(self) -> Unit:
        """Of ``value`` and of both limits."""
        return Unit.DEGREES if self.part is Part.SHAFT else CHECKPOINTS[self.checkpoint].unit

    @property
    def of_a_stop(self) -> bool:
        """Whether it is asked of a stop, which a full swing need not have."""
        hinge = CheckpointId.HANDS_OVER_TRAIL_SHOULDER
        return self.checkpoint in {CheckpointId.PAUSE_LENGTH, hinge}

    @property
    def views(self) -> tuple[View, ...]:
        """The cameras that can show it; how the shaft stood is told of the stop, which both see."""
        shown_by = CheckpointId.PAUSE_LENGTH if self.part is Part.SHAFT else self.checkpoint
        return CHECKPOINTS[shown_by].views


def prove(
    drill: Drill,
    readings: Mapping[CheckpointId, Reading | Missing],
    *,
    pause_s: float | None = None,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> tuple[Proof, ...]:
    """Everything that a drill asks of a swing. ``pause_s``: the assignment's own pause, else the dose's.

    A pause is asked of the number that the drill says it is of, and of none where no clip can show it. A target is the good band: the student's own where ``bands`` has one.
    """
    own = bands or {}
    asked = [
        _judged(checkpoint, readings, *_target(checkpoint, own)) for checkpoint in drill.checks
    ]
    if drill.stop_hinged:
        asked.extend(_hinge(readings, own))
    wanted_s = drill.dose.pause_s if pause_s is None else pause_s
    if wanted_s >= PAUSE_COUNTS_S:
        if drill.pause_of is CheckpointId.PAUSE_LENGTH:
            asked.append(_pause(readings, PAUSE_SHARE * wanted_s, drill.stop_at))
        elif drill.pause_of is CheckpointId.FINISH_HOLD:
            asked.append(_finish_held(readings, HOLD_SHARE * wanted_s))
    return tuple(asked)


def _target(
    checkpoint: CheckpointId, bands: Mapping[CheckpointId, Bands]
) -> tuple[float | None, float | None]:
    own = bands.get(checkpoint) or ASKED_ONLY_THERE.get(checkpoint) or CHECKPOINTS[checkpoint].bands
    if own is None:
        raise ValueError(f"{checkpoint} has no target, so no drill can ask for it")
    return own.good_low, own.good_high


def _judged(
    checkpoint: CheckpointId,
    readings: Mapping[CheckpointId, Reading | Missing],
    least: float | None,
    most: float | None,
) -> Proof:
    reading = readings.get(checkpoint, Missing("It was not looked for on this clip."))
    if isinstance(reading, Missing):
        return Proof(checkpoint, least, most, Verdict.NOT_SEEN, reading.reason)
    verdict = _verdict(reading.low, reading.high, least, most)
    asked = Proof(checkpoint, least, most, verdict)
    return replace(asked, value=reading.value, low=reading.low, high=reading.high)


def _verdict(low: float, high: float, least: float | None, most: float | None) -> Verdict:
    """An interval against limits: within both, clear of one, or across one."""
    low_ok = least is None or low >= least
    high_ok = most is None or high <= most
    if low_ok and high_ok:
        return Verdict.MET
    short = least is not None and high < least
    over = most is not None and low > most
    return Verdict.NOT_MET if short or over else Verdict.TOO_CLOSE


# ---------------------------------------------------------------- how long something is held

FILM_ON = "The film ended while the finish was still held. Let the camera run until you have let go of it."
STILL_HELD = "It was still held when the film ended."
SLOW_COUNTED = (
    "The swing plays slowly and was sent as a slow one, so the film's own seconds are counted. A slow-motion film "
    "would make them too long."
)


def _finish_held(readings: Mapping[CheckpointId, Reading | Missing], least: float) -> Proof:
    """Long enough; a film that ends too soon shows no finish that is too short."""
    checkpoint = CheckpointId.FINISH_HOLD
    found = _counted(_judged(checkpoint, readings, least, None), readings.get(checkpoint))
    if not _marked(CUT_OFF, readings.get(checkpoint)):
        return found
    if found.verdict is Verdict.MET:
        return _because(found, STILL_HELD)
    return replace(found, verdict=Verdict.NOT_SEEN, why=FILM_ON)


def _counted(found: Proof, reading: Reading | Missing | None) -> Proof:
    """With the reason why seconds of a slow swing count, where they speak for the student."""
    if _marked(PLAYS_SLOWLY, reading) and found.verdict in {Verdict.MET, Verdict.TOO_CLOSE}:
        return _because(found, SLOW_COUNTED)
    return found


def _marked(name: str, reading: Reading | Missing | None) -> bool:
    return isinstance(reading, Reading) and reading.inputs.get(name) == 1.0


def _because(found: Proof, why: str) -> Proof:
    return replace(found, why=f"{why} {found.why}".rstrip())


# ---------------------------------------------------------------- where a pause lies

_WHEN = {
    KeyframeId.HANDS_PAST_TRAIL_LEG: "your hands passed the trail leg",
    KeyframeId.LEAD_ARM_PARALLEL: "your lead arm was level",
    KeyframeId.TOP: "the top of the swing",
}
NO_PLACE = (
    "Where in the swing the hands stopped could not be told on this clip; your coach can see it."
)


def _pause(
    readings: Mapping[CheckpointId, Reading | Missing], least: float, where: KeyframeId | None
) -> Proof:
    """Long enough, and at the position that was asked for."""
    found = replace(
        _judged(CheckpointId.PAUSE_LENGTH, readings, least, None),
        where=where,
    )
    reading = readings.get(CheckpointId.PAUSE_LENGTH)
    if where is not None and isinstance(reading, Reading):
        shorter = _seen(stay_length(where), reading.inputs)
        found = found if shorter is None else _told(found, shorter)
    if where is None or not isinstance(reading, Reading) or found.verdict is Verdict.NOT_MET:
        return _counted(found, reading)
    verdict, why = _placed(where, reading.inputs)
    if verdict is Verdict.MET:
        return _counted(found, reading)
    if verdict is Verdict.TOO_CLOSE and found.verdict is Verdict.TOO_CLOSE:
        why = ""
    return replace(found, verdict=verdict, why=why)


def _placed(where: KeyframeId, inputs: Mapping[str, float]) -> tuple[Verdict, str]:
    """Whether the stay for a position lies there, and in words where it lies if not."""
    off = _seen(stay_from(where), inputs)
    arm = _seen(STAY_ARM, inputs) if where is KeyframeId.LEAD_ARM_PARALLEL else None
    if off is not None:
        low, high = interval95(off.value, off.sigma)
        verdict = _verdict(low, high, -POSITION_WITHIN_S, POSITION_WITHIN_S)
        return verdict, _off_words(where, off.value, arm, verdict)
    if arm is not None:
        low, high = interval95(arm.value, arm.sigma)
        verdict = _verdict(low, high, -ARM_LEVEL_WITHIN_DEG, ARM_LEVEL_WITHIN_DEG)
        return verdict, _arm_words(arm.value)
    return Verdict.NOT_SEEN, NO_PLACE


def _off_words(where: KeyframeId, off_s: float, arm: Estimate | None, verdict: Verdict) -> str:
    side = "after" if off_s > 0.0 else "before"
    if verdict is Verdict.TOO_CLOSE:
        return f"The stop may have come too long {side} {_WHEN[where]} to count."
    words = f"The stop came {abs(off_s):.1f} seconds {side} {_WHEN[where]}."
    return words if arm is None else f"{words} {_arm_words(arm.value)}"


def _arm_words(arm_deg: float) -> str:
    side = "above" if arm_deg > 0.0 else "below"
    return f"The arm stood about {abs(arm_deg):.0f} degrees {side} level in it."


def _seen(name: str, inputs: Mapping[str, float]) -> Estimate | None:
    value, sigma = inputs.get(name), inputs.get(f"sigma_{name}")
    return None if value is None or sigma is None else Estimate(value, sigma)


# ---------------------------------------------------------------- the stop with the shaft at 45 degrees

NO_STOP = "No stop of half a second was seen."
NO_CLUB_IN_STOP = "The club could not be followed in the stop; your coach can see it."
NO_HINGE = "There was no stop with the shaft at about 45 degrees to tell it from."


def _hinge(
    readings: Mapping[CheckpointId, Reading | Missing], bands: Mapping[CheckpointId, Bands]
) -> tuple[Proof, ...]:
    """How the shaft stood in the stop, and where the hands were, which a face-on clip alone shows."""
    shaft = _hinge_shaft(readings.get(CheckpointId.PAUSE_LENGTH))
    pause = readings.get(CheckpointId.PAUSE_LENGTH)
    hands = _seen(HINGE_HANDS, pause.inputs) if isinstance(pause, Reading) else None
    if hands is None:
        return (shaft,)
    checkpoint = CheckpointId.HANDS_OVER_TRAIL_SHOULDER
    least, most = _target(checkpoint, bands)
    if shaft.verdict in {Verdict.NOT_MET, Verdict.NOT_SEEN}:
        # Hands before the shoulder with the club elsewhere are another position.
        return shaft, Proof(checkpoint, least, most, Verdict.NOT_SEEN, NO_HINGE)
    return shaft, _told(Proof(checkpoint, least, most, Verdict.NOT_SEEN), hands)


def _hinge_shaft(pause: Reading | Missing | None) -> Proof:
    asked = Proof(
        CheckpointId.HANDS_OVER_TRAIL_SHOULDER,
        HINGE_DEG - HINGE_WITHIN_DEG,
        HINGE_DEG + HINGE_WITHIN_DEG,
        Verdict.NOT_SEEN,
        part=Part.SHAFT,
    )
    if not isinstance(pause, Reading):
        missing = pause or Missing("It was not looked for on this clip.")
        return replace(asked, why=missing.reason)
    if pause.high < PAUSE_COUNTS_S:
        return replace(asked, verdict=Verdict.NOT_MET, why=NO_STOP)
    shaft = _seen(HINGE_SHAFT, pause.inputs)
    return replace(asked, why=NO_CLUB_IN_STOP) if shaft is None else _told(asked, shaft)


def _told(asked: Proof, seen: Estimate) -> Proof:
    """What was asked, judged by what was seen of it."""
    low, high = interval95(seen.value, seen.sigma)
    verdict = _verdict(low, high, asked.least, asked.most)
    return replace(asked, verdict=verdict, value=seen.value, low=low, high=high)

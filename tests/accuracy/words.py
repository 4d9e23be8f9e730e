"""Names and numbers as people read them, the same in every table and plot."""

import math

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.names import Unit
from tests.accuracy.rows import Status
from tests.accuracy.summary import Share

DIGITS = {"ms": 0, "deg": 1, "stature": 3}
"""Decimals of a unit; two for the others."""
UNIT_WORDS = {
    "ms": "ms",
    Unit.DEGREES.value: "degrees",
    Unit.GRIP_LENGTHS.value: "grip lengths",
    Unit.SECONDS.value: "seconds",
    Unit.RATIO.value: "ratio",
    Unit.STANCES.value: "stance widths",
    Unit.HEADS.value: "head heights",
    Unit.SHOULDERS.value: "shoulder widths",
    Unit.STATURES.value: "statures",
}
NONE = "-"

STATUS_WORDS = {
    Status.GIVEN: "given",
    Status.WITHHELD: "withheld",
    Status.NO_SWING: "swing missed",
    Status.REFUSED: "clip refused",
    Status.CRASHED: "crashed",
    Status.INVENTED: "given where there is none",
    Status.RIGHTLY_NONE: "rightly none",
    Status.NOT_LOOKED_FOR: "not looked for",
    Status.NO_TRUTH: "no truth known",
}


def name_of(identifier: str) -> str:
    """An instant's or checkpoint's id in words."""
    if identifier in {checkpoint.value for checkpoint in CheckpointId}:
        return CHECKPOINTS[CheckpointId(identifier)].name
    return identifier.replace("_", " ").capitalize()


def number(value: float | None, unit: str, *, sign: bool = False) -> str:
    """A value of a unit with as many decimals as it deserves; ``-`` for none."""
    if value is None or math.isnan(value):
        return NONE
    digits = DIGITS.get(unit, 2)
    rounded = round(value, digits) + 0.0  # no minus before a nought
    text = f"{rounded:+.{digits}f}" if sign else f"{rounded:.{digits}f}"
    return text.replace("-", "\N{MINUS SIGN}")


def percent(value: float) -> str:
    """A share as a whole percentage; never 0 or 100 unless it is exactly that."""
    if math.isnan(value):
        return NONE
    if 0.0 < value < 0.01:
        return "<1 %"
    return ">99 %" if 0.99 < value < 1.0 else f"{100.0 * value:.0f} %"


def share_words(share: Share | None) -> str:
    """``42 of 50: 84 % (71 to 92)``: count, share and its 95 % Wilson interval."""
    if share is None or share.total == 0:
        return NONE
    low, high = round(100.0 * share.low), round(100.0 * share.high)
    return f"{share.count} of {share.total}: {percent(share.value)} ({low} to {high})"


def z_words(z: tuple[float, float] | None) -> str:
    """Mean and standard deviation of error over sigma."""
    return NONE if z is None else f"{z[0]:+.2f}, {z[1]:.2f}".replace("-", "\N{MINUS SIGN}")

"""Numbers as people read them on a sheet. Twin of ``web/src/words/golf.ts``: paper and page say the same.

Every digit on a sheet passes through ``written``, which writes it for the sheet's reader (``reader``).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from types import MappingProxyType

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Unit
from api.sheet.reader import MINUS, reader

TO_ONE = "to_one"
"""A tempo is a ratio that people say as "3 to 1"."""
FEW = 4
"""Digits of a limit that somebody set, at most: 0.12 times 100 is 12."""


@dataclass(frozen=True, slots=True)
class Saying:
    """How a unit is said: ``sign`` right behind the digits, ``words`` once after them, with their space.

    ``signed``: plus and minus are different sides, so plus is written too. ``times``: what the number is
    multiplied by before it is written.
    """

    sign: str = ""
    words: str = ""
    digits: int = 2
    signed: bool = False
    times: float = 1.0


SAYINGS: Mapping[str, Saying] = MappingProxyType(
    {
        Unit.DEGREES: Saying(sign="°", digits=1),
        Unit.GRIP_LENGTHS: Saying(words=" grip lengths", signed=True),
        Unit.SECONDS: Saying(words=" seconds"),
        Unit.RATIO: Saying(),
        TO_ONE: Saying(words=" to 1", digits=1),
        Unit.STANCES: Saying(words=" stance widths", signed=True),
        Unit.HEADS: Saying(words=" head heights", signed=True),
        Unit.SHOULDERS: Saying(words=" shoulder widths", signed=True),
        Unit.STATURES: Saying(
            sign="%", words=" of your height", digits=1, signed=True, times=100.0
        ),
    }
)


def saying_of(checkpoint: str, unit: str) -> Saying:
    """How this number is said."""
    return SAYINGS[TO_ONE if checkpoint == CheckpointId.TEMPO_RATIO else unit]


def written(value: float, digits: int, *, signed: bool = False, trimmed: bool = False) -> str:
    """``value`` with ``digits`` after the point, half away from zero; ``trimmed`` without needless zeros.

    Nothing is ever "minus zero"; ``signed`` writes a plus before what is above it.
    """
    rounded = Decimal(value).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    text = format(abs(rounded), "f")
    if trimmed and "." in text:
        text = text.rstrip("0").rstrip(".")
    if rounded < 0:
        return reader().number(MINUS + text)
    return reader().number(f"+{text}" if signed and rounded > 0 else text)


def amount(value: float, saying: Saying) -> str:
    """As "87.4°", "+0.42 grip lengths" (plus is the golfer's side of the line), "3.1 to 1"."""
    return _figure(value, saying) + saying.words


def bound(value: float, saying: Saying) -> str:
    """An end of a target, which is a plain number: "80°", "0", "4%"."""
    return _with_sign(written(value * saying.times, FEW, trimmed=True), saying)


def limit(value: float, saying: Saying) -> str:
    """One limit that stands alone, with its unit: "1.5 seconds", "+0.5 grip lengths"."""
    number = written(value * saying.times, FEW, signed=saying.signed, trimmed=True)
    return _with_sign(number, saying) + saying.words


def size(value: float, saying: Saying) -> str:
    """How much, without a side: "2.1°", "0.12 grip lengths"."""
    return _with_sign(written(abs(value) * saying.times, saying.digits), saying) + saying.words


def target(low: float, high: float, saying: Saying) -> str:
    """As "80 to 100°", "0 to 1 grip lengths", "between 2.4 and 3.6 to 1"."""
    start, end = written(low * saying.times, FEW, trimmed=True), bound(high, saying)
    if saying is SAYINGS[TO_ONE]:
        return f"between {start} and {end}{saying.words}"
    return f"{start} to {end}{saying.words}"


def amount_with_doubt(value: float, low: float, high: float, saying: Saying) -> str:
    """As "87.4°, give or take 4.1": the second is half of the 95 % interval."""
    doubt = written((high - low) / 2.0 * saying.times, saying.digits)
    return f"{amount(value, saying)}, give or take {doubt}"


def span(low: float, high: float, saying: Saying) -> str:
    """As "83.3° to 91.5°", "between 2.8 and 3.4 to 1"."""
    if saying is SAYINGS[TO_ONE]:
        return f"between {_figure(low, saying)} and {amount(high, saying)}"
    return f"{_figure(low, saying)} to {_figure(high, saying)}"


def _figure(value: float, saying: Saying) -> str:
    return _with_sign(written(value * saying.times, saying.digits, signed=saying.signed), saying)


def _with_sign(number: str, saying: Saying) -> str:
    said = reader().percent(number) if saying.sign == "%" else number + saying.sign
    return reader().together(said)

"""How the sheet's reader writes numbers and dates: digits, decimal separator, signs, order of a date, clock.

Our own sentences are English for everybody, as on the pages (``web/src/words/language.svelte.ts``); what stands in
them as data is written the reader's way, by the Unicode locale data (CLDR) that Babel carries. A language that it has
no data for is written as the default is.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from types import MappingProxyType

from babel import Locale, UnknownLocaleError
from babel.dates import format_skeleton, format_time
from babel.numbers import get_decimal_symbol, get_plus_sign_symbol

from api.domain.languages import DEFAULT_LANGUAGE

MINUS = "\N{MINUS SIGN}"
_ZEROS = MappingProxyType(
    {
        "arab": 0x0660,
        "arabext": 0x06F0,
        "beng": 0x09E6,
        "deva": 0x0966,
        "gujr": 0x0AE6,
        "guru": 0x0A66,
        "hanidec": None,
        "khmr": 0x17E0,
        "knda": 0x0CE6,
        "laoo": 0x0ED0,
        "latn": 0x0030,
        "mlym": 0x0D66,
        "mymr": 0x1040,
        "orya": 0x0B66,
        "tamldec": 0x0BE6,
        "telu": 0x0C66,
        "thai": 0x0E50,
        "tibt": 0x0F20,
    }
)
"""Numbering systems of decimal digits, and where each has its zero in Unicode."""
_HANIDEC = "〇一二三四五六七八九"
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Reader:
    """One language: ``digits`` from nought to nine."""

    locale: Locale
    system: str
    digits: str

    def number(self, plain: str) -> str:
        """``plain``: digits with a point, perhaps a sign before them (``+`` or the minus sign)."""
        sign, body = (plain[:1], plain[1:]) if plain[:1] in {"+", MINUS} else ("", plain)
        point = get_decimal_symbol(self.locale, numbering_system=self.system)
        if sign == "+":
            sign = get_plus_sign_symbol(self.locale, numbering_system=self.system)
        return sign + self._in_digits(body).replace(".", point)

    def percent(self, number: str) -> str:
        """A number that is written already, as a percentage."""
        pattern = self.locale.percent_formats[None]
        symbols = self.locale.number_symbols.get(self.system, self.locale.number_symbols["latn"])
        before, after = (
            part.replace("%", symbols.get("percentSign", "%"))
            for part in (pattern.prefix[0], pattern.suffix[0])
        )
        return f"{before}{number}{after}"

    def together(self, data: str) -> str:
        """Data of a language that runs from right to left, kept in one piece in the English around it."""
        if self.locale.text_direction == "ltr":
            return data
        return f"\N{FIRST STRONG ISOLATE}{data}\N{POP DIRECTIONAL ISOLATE}"

    def day(self, when: date) -> str:
        """As "27 November 2026"."""
        return self._date("yMMMMd", when)

    def day_and_month(self, when: date) -> str:
        """As "27 November"."""
        return self._date("MMMMd", when)

    def clock(self, when: datetime) -> str:
        """As "16:05", in the time zone that ``when`` is in."""
        said = format_time(when.time(), "short", locale=self.locale)
        return self.together(self._in_digits(said))

    def with_numbers(self, sentence: str) -> str:
        """A sentence that has its numbers the English way ("0.4 seconds"), with the reader's."""
        return _NUMBER.sub(lambda found: self.together(self.number(found[0])), sentence)

    def _date(self, parts: str, when: date) -> str:
        return self.together(self._in_digits(format_skeleton(parts, when, locale=self.locale)))

    def _in_digits(self, text: str) -> str:
        if self.system == "latn":
            return text
        return text.translate({ord(str(value)): digit for value, digit in enumerate(self.digits)})


@lru_cache(maxsize=64)
def reader_of(language: str) -> Reader:
    """For a tag as ``normal_language`` leaves it."""
    plain, _, extension = language.partition("-u-")
    locale = _locale(plain) or Locale.parse(DEFAULT_LANGUAGE, sep="-")
    asked = re.search(r"(?:^|-)nu-([a-z0-9]+)", extension)
    system = asked[1] if asked and asked[1] in _ZEROS else locale.default_numbering_system
    if system not in _ZEROS:
        system = "latn"
    zero = _ZEROS[system]
    digits = _HANIDEC if zero is None else "".join(chr(zero + value) for value in range(10))
    return Reader(locale, system, digits)


def _locale(tag: str) -> Locale | None:
    """The nearest that is known: "de-AT-1996" is written as "de-AT", a language without data not at all."""
    parts = tag.split("-")
    while parts:
        try:
            return Locale.parse("-".join(parts), sep="-")
        except (UnknownLocaleError, ValueError):
            parts.pop()
    return None


_here: ContextVar[Reader | None] = ContextVar("reader", default=None)


def reader() -> Reader:
    """Whose sheet is being written."""
    return _here.get() or reader_of(DEFAULT_LANGUAGE)


@contextmanager
def written_for(language: str) -> Iterator[None]:
    """All amounts and dates inside are written for a reader of ``language``."""
    token = _here.set(reader_of(language))
    try:
        yield
    finally:
        _here.reset(token)

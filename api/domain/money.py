"""Money: whole minor units of one currency, never a fraction, never added across currencies.

What a minor unit is comes with the currency (ISO 4217: two decimals for EUR, none for JPY, three for KWD).
"""

import re
from dataclasses import dataclass
from typing import Self

from api.domain.errors import Invalid

RATE_UNITS = 100_000
"""A tax rate is told in thousandths of a percent: 19 % is 19 000, 8.875 % is 8 875."""
MOST_MINOR = 10**15
"""No amount of an academy comes near it; it fits a 64-bit column with room for sums."""
_WRITTEN = re.compile(r"(?P<sign>-?)(?P<whole>[0-9]{1,18})(?:\.(?P<part>[0-9]{1,18}))?")


@dataclass(frozen=True, slots=True)
class Currency:
    """Three letters by ISO 4217, and how many decimals its amounts are written with. ``api.currencies`` knows them."""

    code: str
    digits: int

    def __str__(self) -> str:
        """Its code."""
        return self.code


@dataclass(frozen=True, slots=True)
class Money:
    """``minor`` units of ``currency``; below zero for what goes the other way."""

    minor: int
    currency: Currency

    def __post_init__(self) -> None:
        """Refuse amounts out of any academy's range."""
        if abs(self.minor) > MOST_MINOR:
            raise Invalid("That amount is too large.", code="amount_out_of_range")

    def __add__(self, other: "Money") -> "Money":
        """Raises ``ValueError`` across currencies: there is no such sum."""
        if other.currency != self.currency:
            raise ValueError(f"{self.currency} and {other.currency} have no sum.")
        return Money(self.minor + other.minor, self.currency)

    def __sub__(self, other: "Money") -> "Money":
        """As adding what goes the other way."""
        return self + -other

    def __neg__(self) -> "Money":
        """The same, going the other way."""
        return Money(-self.minor, self.currency)

    def __mul__(self, count: int) -> "Money":
        """So many times."""
        return Money(self.minor * count, self.currency)

    def plain(self) -> str:
        """For files: a dot, exactly the currency's decimals, no grouping, no sign but a minus. ``read`` takes it back."""
        digits = self.currency.digits
        whole, part = divmod(abs(self.minor), 10**digits)
        sign = "-" if self.minor < 0 else ""
        return f"{sign}{whole}.{part:0{digits}d}" if digits else f"{sign}{whole}"

    @classmethod
    def read(cls, text: str, currency: Currency) -> Self:
        """An amount as written with a dot. Raises ``Invalid`` where it is none, or finer than the currency goes."""
        digits = currency.digits
        written = _WRITTEN.fullmatch(text)
        if written is None or len((written["part"] or "").rstrip("0")) > digits:
            least = f"0.{1:0{digits}d}" if digits else "1"
            raise Invalid(
                f"{text!r} is no amount in {currency}. Write digits with a dot before the decimals; "
                f"the least amount is {least}.",
                code="amount_invalid",
            )
        part = (written["part"] or "").ljust(digits, "0")[:digits]
        minor = int(written["whole"] + part)
        return cls(-minor if written["sign"] else minor, currency)


def tax_on(net: Money, rate: int) -> Money:
    """Tax on one line, rounded half up to the minor unit, away from zero below it: what is taken back is what was charged.

    ``rate``: in ``RATE_UNITS``. *Common practice, no source*: countries allow rounding by line or by sum; the academy's
    lines are rounded one by one, so that a file's lines add up to its totals. Raises ``Invalid`` out of 0 to 100 %.
    """
    if not 0 <= rate <= RATE_UNITS:
        raise Invalid("A tax rate lies between 0 and 100 percent.", code="tax_rate_out_of_range")
    whole, left = divmod(abs(net.minor) * rate, RATE_UNITS)
    rounded = whole + (2 * left >= RATE_UNITS)
    return Money(rounded if net.minor >= 0 else -rounded, net.currency)


def shared_out(total: Money, parts: int) -> tuple[Money, ...]:
    """``total`` in ``parts`` that differ by one minor unit at most and add up to it, the larger ones first.

    What one credit of a bundle was bought for, so that refunding all of them one by one refunds what was paid.
    Raises ``ValueError`` for no parts.
    """
    if parts < 1:
        raise ValueError("Nothing can be shared out among none.")
    sign = -1 if total.minor < 0 else 1
    each, left = divmod(abs(total.minor), parts)
    return tuple(Money(sign * (each + (i < left)), total.currency) for i in range(parts))

"""The currencies that there are: ISO 4217, list one, as the package ``iso4217`` carries it."""

from functools import cache

import iso4217

from api.domain.errors import Invalid
from api.domain.money import Currency


@cache
def currency(code: str) -> Currency:
    """The currency of a code. Raises ``Invalid`` for what is none; codes without a minor unit (gold, test codes) are no money."""
    try:
        digits = iso4217.Currency(code).exponent
    except ValueError:
        digits = None
    if digits is None:
        raise Invalid(
            f"{code!r} is no currency's code. Write its three capital letters by ISO 4217, as EUR or JPY.",
            code="currency_unknown",
        )
    return Currency(code, digits)

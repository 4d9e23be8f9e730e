"""Currencies: three letters, and their decimals."""

import pytest
from babel.numbers import get_currency_precision

from api.currencies import currency
from api.domain.errors import Invalid


@pytest.mark.parametrize(
    ("code", "digits"),
    [("EUR", 2), ("USD", 2), ("JPY", 0), ("KWD", 3), ("BHD", 3), ("CLF", 4), ("ISK", 0)],
)
def test_minor_units_are_those_of_iso_4217(code: str, digits: int) -> None:
    """ISO 4217, list one (from memory, beside the package's copy of it)."""
    assert currency(code).digits == digits


def test_another_library_gives_most_currencies_the_same_decimals() -> None:
    """CLDR's, by Babel: both follow ISO 4217 for the money that academies take."""
    for code in (
        "EUR",
        "GBP",
        "USD",
        "CHF",
        "SEK",
        "NOK",
        "DKK",
        "JPY",
        "KRW",
        "KWD",
        "AED",
        "ZAR",
        "AUD",
        "NZD",
    ):
        assert currency(code).digits == get_currency_precision(code)


@pytest.mark.parametrize("code", ["XAU", "XXX", "EURO", "eur", "€", ""])
def test_what_is_no_currency_is_refused(code: str) -> None:
    with pytest.raises(Invalid, match="three capital letters"):
        currency(code)

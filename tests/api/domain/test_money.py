"""Amounts: minor units by ISO 4217, tax by line, shares that add up."""

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.currencies import currency
from api.domain.errors import Invalid
from api.domain.money import RATE_UNITS, Currency, Money, shared_out, tax_on

EUR, GBP, USD, JPY, KWD = map(currency, ("EUR", "GBP", "USD", "JPY", "KWD"))
CURRENCIES = (EUR, GBP, USD, JPY, KWD)
minor = st.integers(-(10**12), 10**12)


@given(minor, st.sampled_from(CURRENCIES))
def test_what_is_written_is_read_back(amount: int, money_of: Currency) -> None:
    money = Money(amount, money_of)
    assert Money.read(money.plain(), money_of) == money
    assert Decimal(money.plain()) == Decimal(amount).scaleb(-money_of.digits)


@pytest.mark.parametrize(
    ("money", "written"),
    [
        (Money(123456, EUR), "1234.56"),
        (Money(-5, EUR), "-0.05"),
        (Money(0, EUR), "0.00"),
        (Money(500, JPY), "500"),
        (Money(1, KWD), "0.001"),
    ],
)
def test_amounts_are_written_with_exactly_their_decimals(money: Money, written: str) -> None:
    assert money.plain() == written


@pytest.mark.parametrize(
    "text",
    [
        "1,50",
        "1.505",
        "",
        "NaN",
        "Infinity",
        "ten",
        "1e9",
        "1_0",
        "\N{ARABIC-INDIC DIGIT ONE}",
        "+1",
        "1.",
        ".5",
        "9" * 18,
    ],
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises(Invalid):
        Money.read(text, EUR)


def test_currencies_have_no_sum() -> None:
    with pytest.raises(ValueError, match="no sum"):
        Money(1, EUR) + Money(1, GBP)


@given(minor, st.integers(0, RATE_UNITS), st.sampled_from(CURRENCIES))
def test_tax_is_rounded_half_up_and_taken_back_whole(
    amount: int, rate: int, money_of: Currency
) -> None:
    """Against ``decimal`` (ROUND_HALF_UP, General Decimal Arithmetic)."""
    net = Money(amount, money_of)
    exact = Decimal(amount) * rate / RATE_UNITS
    assert tax_on(net, rate).minor == int(exact.quantize(Decimal(1), ROUND_HALF_UP))
    assert tax_on(-net, rate) == -tax_on(net, rate)


def test_tax_by_hand() -> None:
    """19 % of 12.50 is 2.375: 2.38. 8.875 % of 20.00 is 1.775: 1.78. 10 % of 5 yen is half a yen: 1."""
    assert tax_on(Money(1250, EUR), 19_000) == Money(238, EUR)
    assert tax_on(Money(2000, USD), 8_875) == Money(178, USD)
    assert tax_on(Money(5, JPY), 10_000) == Money(1, JPY)


@pytest.mark.parametrize("rate", [-1, RATE_UNITS + 1])
def test_rates_out_of_range_are_refused(rate: int) -> None:
    with pytest.raises(Invalid, match="between 0 and 100"):
        tax_on(Money(1, EUR), rate)


@given(minor, st.integers(1, 500), st.sampled_from(CURRENCIES))
def test_shares_add_up_and_differ_by_one_at_most(
    amount: int, parts: int, money_of: Currency
) -> None:
    shares = [share.minor for share in shared_out(Money(amount, money_of), parts)]
    assert sum(shares) == amount
    assert max(shares) - min(shares) <= 1
    assert [abs(share) for share in shares] == sorted(
        (abs(share) for share in shares), reverse=True
    )

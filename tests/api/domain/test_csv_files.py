"""CSV by RFC 4180: read back by the standard library, no text taken for a formula."""

import csv
import io
from datetime import datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.csv_files import FORMULA_STARTS, Column, content_hash, csv_file, safe_text
from api.domain.money import Currency, Money

NAMES = (
    "=cmd|' /C calc'!A0", "+1", "-2+3", "@SUM(A1)", "\tx", "\rx", "\nx", "＝1", 'say "so"', "a,b", "two\nlines",  # noqa: RUF001 - full-width on purpose
    "two\r\nlines", "⛳️ golf", "مدرسة الغولف", "Ó Briain", "", " ", "'quoted",
)  # fmt: skip
TEXTS = [
    Column[tuple[str, str]]("first", "a text", lambda row: row[0]),
    Column[tuple[str, str]]("second", "another", lambda row: row[1]),
]


def read(content: bytes) -> list[list[str]]:
    """As any reader of RFC 4180 does."""
    return list(csv.reader(io.StringIO(content.decode(), newline=""), strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_names_come_back_whatever_they_are(name: str) -> None:
    header, row = read(csv_file(TEXTS, [(name, "end")]))
    assert header == ["first", "second"]
    assert row == [safe_text(name), "end"]
    assert row[0].removeprefix("'") == name.removeprefix("'")


@given(st.lists(st.tuples(st.text(), st.text()), max_size=8))
def test_any_text_comes_back(rows: list[tuple[str, str]]) -> None:
    rows = [row for row in rows if "\x00" not in "".join(row)]
    content = csv_file(TEXTS, rows)
    assert read(content)[1:] == [[safe_text(cell) for cell in row] for row in rows]
    assert not any(cell.startswith(FORMULA_STARTS) for row in read(content) for cell in row)
    assert csv_file(TEXTS, rows) == content


def test_rows_end_with_crlf_and_the_bytes_are_utf_8() -> None:
    """RFC 4180, section 2: rules 1, 4, 5 and 6."""
    assert (
        csv_file(TEXTS, [("a,b", 'c"d'), ("é", "")])
        == 'first,second\r\n"a,b","c""d"\r\né,\r\n'.encode()
    )


def test_numbers_amounts_and_moments_are_written_plainly() -> None:
    vienna = timezone(timedelta(hours=1))
    columns = [
        Column[datetime]("count", "a number", lambda _: -3),
        Column[datetime]("amount", "an amount", lambda _: Money(-1250, Currency("EUR", 2))),
        Column[datetime]("at", "a moment", lambda moment: moment),
        Column[datetime]("none", "nothing", lambda _: None),
    ]
    content = csv_file(columns, [datetime(2026, 11, 30, 23, 59, 59, tzinfo=vienna)])
    assert read(content)[1] == ["-3", "-12.50", "2026-11-30T23:59:59+01:00", ""]
    with pytest.raises(ValueError, match="offset"):
        csv_file(columns, [datetime(2026, 11, 30)])  # noqa: DTZ001 - that is what is refused


def test_the_hash_is_sha_256() -> None:
    """FIPS 180-4's example of one block."""
    assert (
        content_hash(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )

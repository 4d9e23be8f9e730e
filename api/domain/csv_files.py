"""Tables as CSV: RFC 4180, UTF-8, a header row, CRLF after every row; safe to open in a spreadsheet.

The writing is the standard library's. A spreadsheet may take a text for a formula by its first character; such a cell gets an
apostrophe before it, as OWASP's "CSV Injection" page advises (owasp.org, community/attacks). Numbers are written as they
are, a minus too: columns say which they are, so that no name passes for a number.
"""

import csv
import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Generic, TypeVar

from api.domain.money import Money

Row = TypeVar("Row")

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")  # noqa: RUF001 - full-width forms are meant
"""What a spreadsheet may take for the start of a formula; the wide forms of East Asian keyboards count."""


@dataclass(frozen=True)
class Column(Generic[Row]):
    """A column: its name in the header row, what it holds in words for the list of columns, and its cell of a row.

    A cell is text (made safe), a whole number, an amount (plain decimals of its currency), a moment (ISO 8601 with
    offset) or ``None`` (empty).
    """

    name: str
    holds: str
    cell: Callable[[Row], str | int | Money | datetime | None]


def csv_file(columns: Sequence[Column[Row]], rows: Iterable[Row]) -> bytes:
    """The file's bytes. Raises ``ValueError`` for a moment without an offset."""
    written = io.StringIO(newline="")
    writer = csv.writer(written, lineterminator="\r\n")
    writer.writerow([column.name for column in columns])
    for row in rows:
        writer.writerow([_text(column.cell(row)) for column in columns])
    return written.getvalue().encode()


def content_hash(content: bytes) -> str:
    """SHA-256, hexadecimal: whoever got a file twice can see that it is the same."""
    return sha256(content).hexdigest()


def safe_text(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text


def _text(cell: str | int | Money | datetime | None) -> str:
    match cell:
        case None:
            return ""
        case Money():
            return cell.plain()
        case datetime():
            if cell.tzinfo is None:
                raise ValueError("A moment in a file tells its offset.")
            return cell.isoformat(timespec="seconds")
        case int():
            return str(cell)
        case str():
            return safe_text(cell)

"""Shared forms of bodies: text we accept, pages of things, and strictness."""

import unicodedata
from typing import Annotated, Generic, TypeVar
from uuid import UUID

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from api.domain.addresses import normal_address
from api.domain.errors import Invalid
from api.domain.languages import MAX_LANGUAGE, normal_language

Item = TypeVar("Item")
_LINE_BREAKS = "\n\t"


class Sent(BaseModel):
    """A request body. Unknown fields are refused: a misspelt one would be lost silently."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Read(BaseModel):
    """A response body. No defaults: every field is always there."""

    model_config = ConfigDict(from_attributes=True)


class Page(Read, Generic[Item]):
    """A slice of a list. ``next_cursor`` is null on the last one."""

    items: list[Item]
    next_cursor: UUID | None


def _plain(text: str, allowed: str) -> str:
    for letter in text:
        # Control characters and half surrogate pairs: neither database stores them all.
        if unicodedata.category(letter) in {"Cc", "Cs"} and letter not in allowed:
            raise ValueError("Control characters are not allowed here.")
    return text


def one_line(text: str) -> str:
    """Raises ``ValueError`` for anything but printable letters and spaces."""
    return _plain(text, "")


def several_lines(text: str) -> str:
    """Raises ``ValueError`` for anything but printable letters, spaces, tabs and line breaks."""
    return _plain(text.replace("\r\n", "\n"), _LINE_BREAKS)


def _address(text: str) -> str:
    try:
        return normal_address(text)
    except Invalid as error:
        raise ValueError(error.message) from error


def _language(text: str) -> str:
    try:
        return normal_language(text)
    except Invalid as error:
        raise ValueError(error.message) from error


Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=120),
    AfterValidator(one_line),
]
"""A name on one line, 1 to 120 characters."""

OneLine = Annotated[str, AfterValidator(one_line)]
"""Text on one line, possibly empty; whoever uses it says how long it may be."""

Text = Annotated[str, StringConstraints(max_length=8000), AfterValidator(several_lines)]
"""Free text of several lines, up to 8,000 characters, possibly empty."""

Message = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=2000),
    AfterValidator(several_lines),
]
"""Words to somebody: several lines, 1 to 2,000 characters that are not all blank."""

Address = Annotated[
    str,
    Field(max_length=320, examples=["ana@example.org"], json_schema_extra={"format": "email"}),
    AfterValidator(_address),
]
"""A mail address, normalised."""

Language = Annotated[
    str,
    Field(max_length=MAX_LANGUAGE, examples=["de-AT"]),
    AfterValidator(_language),
]
"""A language tag (BCP 47) in its one written form."""

Secret = Annotated[
    str,
    Field(
        min_length=1,
        max_length=200,
        pattern=r"^[\x21-\x7e]+$",
        description="The text after `=` in the mailed link.",
        examples=["mX3w0eY7o1K5bW0C1oVt2b1d9dXo9Q3g8m6yT0a4c2E"],
    ),
]
"""What a one-time link carries."""

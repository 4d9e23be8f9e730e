"""What a report is made of. Markdown and HTML are both written from these, so they cannot disagree."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Words:
    """A paragraph. ``strong`` for the few sentences a hurried reader must not miss."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list of short points."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of plain text cells; ``note`` stands below it and explains the columns.

    The first column names the row. Every row is as long as ``headers``.
    """

    title: str
    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def __post_init__(self) -> None:
        """Refuse a row that does not fit: a shifted column is a wrong number."""
        for row in self.rows:
            if len(row) != len(self.headers):
                message = f"{self.title}: {len(self.headers)} columns, but a row has {len(row)}"
                raise ValueError(message)


@dataclass(frozen=True, slots=True)
class Figure:
    """A picture. ``name`` is its file name without ending, ``kind`` is ``png`` or ``jpeg``.

    ``alt`` says in words what the picture shows to somebody who cannot see it.
    """

    name: str
    image: bytes
    alt: str
    caption: str
    kind: str = "png"


Block = Words | Bullets | Table | Figure


@dataclass(frozen=True, slots=True)
class Section:
    """A heading and what stands under it."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True, slots=True)
class RealPictures:
    """What was checked on photographs: what the report shows, and its numbers for programs."""

    blocks: tuple[Block, ...]
    numbers: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Convention:
    """One thing that two renderers may mean differently. ``difference`` has its number and unit."""

    what: str
    ours: str
    theirs: str
    difference: str
    explained: str

"""The drawings of a drill on its sheet: those that the pages show, one by one in the order of its steps.

They lie with the pages (``web/src/drills``, made by ``python -m tests.drill_pictures``), and an installed package holds
them there too.
"""

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "web" / "src" / "drills"
_WORDS = FOLDER / "pictures.json"
_SIZE = re.compile(rb'viewBox="\S+ \S+ (\d+(?:\.\d+)?) (\d+(?:\.\d+)?)"')


@dataclass(frozen=True, slots=True)
class Drawing:
    """One picture: an SVG of a right-handed golfer. ``ratio``: width by height; ``alt``: for who does not see it."""

    file: str
    svg: bytes
    ratio: float
    caption: str
    alt: str


@cache
def drawings_of(drill_id: str) -> Sequence[Drawing]:
    """A drill's pictures in the order of its steps; none for one that was never drawn, as an academy's own."""
    return tuple(_drawing(one) for one in _words().get(drill_id, ()))


@cache
def _words() -> Mapping[str, Sequence[Mapping[str, str]]]:
    words: dict[str, list[dict[str, str]]] = json.loads(_WORDS.read_text(encoding="utf-8"))
    return words


def _drawing(words: Mapping[str, str]) -> Drawing:
    svg = (FOLDER / words["file"]).read_bytes()
    size = _SIZE.search(svg)
    if size is None:
        raise ValueError(f"{words['file']} does not say how large it is.")
    return Drawing(
        words["file"], svg, float(size[1]) / float(size[2]), words["caption"], words["alt"]
    )

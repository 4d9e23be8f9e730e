"""What a person wrote, ready for paper: lines, their direction, and no word wider than the page."""

import re
import unicodedata
from typing import Any

MOST_LETTERS = 24
"""A run without a space is breakable after so many letters: the largest print has room for as many on a line. A hyphen
before a letter is a place to break already, and a name with one is not cut elsewhere for its sake."""
_BREAK = "\N{ZERO WIDTH SPACE}"
_LONG_RUN = re.compile(rf"(?:[^\s-]|-(?![^\W\d_])){{{MOST_LETTERS + 1},}}")
_BETWEEN_SENTENCES = re.compile(
    r"(?<=[.!?\N{ARABIC QUESTION MARK}\N{IDEOGRAPHIC FULL STOP}\N{FULLWIDTH EXCLAMATION MARK}\N{FULLWIDTH QUESTION MARK}])\s+"
)
_CLINGING = frozenset({"Mn", "Me", "Mc", "Cf", "Sk"})
"""Marks, joiners and shades stay with the letter before them."""
_STRONG = {"L": "ltr", "R": "rtl", "AL": "rtl"}

Written = dict[str, Any]


def direction(text: str) -> str:
    """``rtl`` or ``ltr``, by the first letter that has a direction (rule P2 of Unicode's annex 9)."""
    for letter in text:
        found = _STRONG.get(unicodedata.bidirectional(letter))
        if found is not None:
            return found
    return "ltr"


def plain(text: str) -> str:
    """Without control characters. They are refused where people write; nothing here rests on that."""
    return "".join(
        letter
        for letter in text.expandtabs(4)
        if letter == "\n" or unicodedata.category(letter) not in {"Cc", "Cs"}
    )


def tidy(text: str) -> str:
    """The same, with places to break in runs that no line holds."""
    return _LONG_RUN.sub(_breakable, plain(text))


def _breakable(run: re.Match[str]) -> str:
    pieces = [""]
    for letter in run[0]:
        if len(pieces[-1]) >= MOST_LETTERS and unicodedata.category(letter) not in _CLINGING:
            pieces.append("")
        pieces[-1] += letter
    return _BREAK.join(pieces)


def written_by_a_person(text: str) -> Written:
    """One paragraph or several: each line with its own direction, an empty one between paragraphs."""
    lines = [line.strip() for line in tidy(text).strip().split("\n")]
    return {"lines": [{"text": line, "dir": direction(line)} for line in lines]}


def within(text: str) -> str:
    """A name or other words of a person's inside a sentence of ours: its direction stays its own."""
    if not any(_STRONG.get(unicodedata.bidirectional(letter)) == "rtl" for letter in text):
        return tidy(text)
    return f"\N{FIRST STRONG ISOLATE}{tidy(text)}\N{POP DIRECTIONAL ISOLATE}"


def sentences(text: str) -> list[str]:
    """Words of ours, sentence by sentence."""
    return [sentence for sentence in _BETWEEN_SENTENCES.split(text.strip()) if sentence]


def first_sentence(text: str) -> str:
    """The first sentence of words of ours."""
    return next(iter(sentences(text)), "")


def lead_and_rest(text: str, *, longest: int) -> tuple[str, str]:
    """The one main thing, and what follows it: the first paragraph, as on the page.

    A first paragraph of more than ``longest`` characters gives its first sentence, if that is short enough.
    """
    lead, _, rest = text.strip().partition("\n")
    lead, rest = lead.strip(), rest.strip()
    if len(lead) > longest:
        sentence, *more = _BETWEEN_SENTENCES.split(lead, maxsplit=1)
        if more and len(sentence) <= longest:
            lead, rest = sentence, "\n".join(part for part in (more[0], rest) if part)
    return lead, rest

"""The report as one HTML file that needs nothing else: style and pictures inside, all text escaped."""

import base64
from collections.abc import Sequence
from html import escape
from pathlib import Path

from tests.accuracy.content import Block, Bullets, Figure, Section, Table, Words

STYLE_FILE = Path(__file__).with_name("report.css")
SHORT, MIDDLE = 14, 36
"""Signs in a cell: up to the first it stays on one line, above the second it is a sentence."""


def html_of(title: str, facts: str, sections: Sequence[Section]) -> str:
    """The whole page."""
    links = "".join(
        f'<li><a href="#s{number}">{escape(section.title)}</a></li>'
        for number, section in enumerate(sections, start=1)
    )
    body = "".join(_section(number, section) for number, section in enumerate(sections, start=1))
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n"
        f"<style>\n{STYLE_FILE.read_text(encoding='utf-8')}</style>\n</head>\n<body>\n"
        f'<header><h1>{escape(title)}</h1><p class="facts">{escape(facts)}</p></header>\n'
        f'<nav aria-label="Sections"><ol>{links}</ol></nav>\n<main>\n{body}</main>\n'
        "</body>\n</html>\n"
    )


def _section(number: int, section: Section) -> str:
    blocks = "".join(_block(block) for block in section.blocks)
    heading = f'<h2 id="h{number}">{escape(section.title)}</h2>'
    return f'<section id="s{number}" aria-labelledby="h{number}">{heading}\n{blocks}</section>\n'


def _block(block: Block) -> str:
    if isinstance(block, Words):
        kind = ' class="strong"' if block.strong else ""
        return f"<p{kind}>{escape(block.text)}</p>\n"
    if isinstance(block, Bullets):
        return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in block.items) + "</ul>\n"
    return _table(block) if isinstance(block, Table) else _figure(block)


def _table(table: Table) -> str:
    """A table that scrolls sideways inside itself, reachable by keyboard."""
    head = "".join(f'<th scope="col">{escape(cell)}</th>' for cell in table.headers)
    rows = "".join(_row(row) for row in table.rows)
    note = f'<p class="note">{escape(table.note)}</p>\n' if table.note else ""
    name = escape(table.title, quote=True)
    return (
        f'<div class="scroll" role="region" aria-label="{name}" tabindex="0"><table>'
        f"<caption>{name}</caption><thead><tr>{head}</tr></thead>"
        f"<tbody>{rows}</tbody></table></div>\n{note}"
    )


def _row(cells: Sequence[str]) -> str:
    first, *rest = cells
    others = "".join(_cell(cell) for cell in rest)
    return f'<tr><th scope="row">{escape(first)}</th>{others}</tr>'


def _cell(text: str) -> str:
    if len(text) <= SHORT:
        return f"<td>{escape(text)}</td>"
    kind = "some" if len(text) <= MIDDLE else "words"
    return f'<td class="{kind}">{escape(text)}</td>'


def _figure(figure: Figure) -> str:
    data = base64.b64encode(figure.image).decode("ascii")
    scrolls = ' tabindex="0"' if figure.kind == "png" else ""
    return (
        f'<figure class="{figure.kind}"{scrolls}><img alt="{escape(figure.alt, quote=True)}" '
        f'src="data:image/{figure.kind};base64,{data}">'
        f"<figcaption>{escape(figure.caption)}</figcaption></figure>\n"
    )

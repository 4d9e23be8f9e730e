"""Markdown and HTML: whole, escaped, and the same content."""

import base64
from html.parser import HTMLParser

import pytest

from tests.accuracy.content import Bullets, Figure, Section, Table, Words
from tests.accuracy.html import html_of
from tests.accuracy.markdown import escaped, markdown_of, row_of

NASTY = 'a <b> & "c" | d_e* `f` [g](h)'
VOID = {"meta", "img", "br", "hr", "link", "input"}
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="
)


class Nesting(HTMLParser):
    """Refuses a page whose tags do not close in order; keeps its text, ids and links."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.text: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.sources: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in VOID:
            self.open.append(tag)
        named = dict(attrs)
        self.ids.extend(value for key, value in attrs if key == "id" and value)
        self.links.extend(value for key, value in attrs if key == "href" and value)
        self.sources.extend(value for key, value in attrs if key == "src" and value)
        assert tag != "img" or named.get("alt")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def parsed(page: str) -> Nesting:
    """The page, read; raises ``AssertionError`` where it does not nest."""
    nesting = Nesting()
    nesting.feed(page)
    nesting.close()
    assert nesting.open == []
    return nesting


SECTIONS = [
    Section(
        NASTY,
        (
            Words(NASTY, strong=True),
            Bullets((NASTY, "plain")),
            Table(NASTY, (NASTY, "n"), ((NASTY, "1"),), NASTY),
            Figure("name", PNG, NASTY, NASTY),
        ),
    )
]


def test_the_page_nests_and_says_every_text_literally() -> None:
    page = parsed(html_of(NASTY, NASTY, SECTIONS))
    assert page.text.count(NASTY) >= 9
    assert "b" not in page.open


def test_links_lead_to_sections_and_nothing_is_fetched() -> None:
    page = parsed(html_of("title", "facts", SECTIONS))
    assert {f"#{one}" for one in page.ids} >= set(page.links)
    assert len(set(page.ids)) == len(page.ids)
    assert all(source.startswith("data:image/png;base64,") for source in page.sources)
    assert base64.b64decode(page.sources[0].partition(",")[2]) == PNG


def test_bars_cannot_break_a_markdown_table() -> None:
    table = markdown_of(SECTIONS[0].blocks[2])
    rows = [line for line in table.splitlines() if line.startswith("|")]
    assert {line.replace("\\|", "").count("|") for line in rows} == {3}


def test_markdown_keeps_signs_as_signs() -> None:
    assert escaped("a_b *c* <d>\n[e]") == "a\\_b \\*c\\* \\<d\\> \\[e\\]"
    assert row_of(("x|y", "z")) == "| x\\|y | z |"


def test_a_table_refuses_a_row_that_does_not_fit() -> None:
    with pytest.raises(ValueError, match="2 columns, but a row has 1"):
        Table("t", ("a", "b"), (("only one",),))

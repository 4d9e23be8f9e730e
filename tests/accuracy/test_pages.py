"""Markdown and HTML: whole, escaped, and the same content."""

import base64
from pathlib import Path

import cv2
import numpy as np
import pytest
from playwright.sync_api import Browser

from tests.accuracy.content import Bullets, Figure, Section, Table, Words
from tests.accuracy.html import html_of
from tests.accuracy.markdown import escaped, markdown_of, row_of
from tests.accuracy.page_reader import read_page
from tests.browser.accessible import assert_accessible

NASTY = 'a <b> & "c" | d_e* `f` [g](h)'
PNG = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="
)


WIDE_PICTURE = cv2.imencode(".png", np.full((400, 1340, 3), 200, np.uint8))[1].tobytes()
WIDE = [
    Figure("wide", WIDE_PICTURE, "a grey field", "caption"),
    Figure(
        "case",
        cv2.imencode(".jpg", np.full((720, 1158, 3), 99, np.uint8))[1].tobytes(),
        "a case",
        "caption",
        "jpeg",
    ),
]

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
    page = read_page(html_of(NASTY, NASTY, SECTIONS))
    assert page.text.count(NASTY) >= 9
    assert "b" not in page.open


def test_links_lead_to_sections_and_nothing_is_fetched() -> None:
    page = read_page(html_of("title", "facts", SECTIONS))
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


@pytest.mark.browser
@pytest.mark.parametrize("width", [390, 1280])
def test_the_page_fits_and_is_accessible(browser: Browser, tmp_path: Path, width: int) -> None:
    wide = Table("wide", tuple(f"column {i}" for i in range(14)), (("x " * 9,) * 14,), "note")
    sections = [*SECTIONS, Section("More", (wide, *WIDE))]
    file = tmp_path / "report.html"
    file.write_text(html_of("How far off", "facts", sections), encoding="utf-8")
    page = browser.new_page(viewport={"width": width, "height": 800})
    page.goto(file.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert_accessible(page, f"the report at {width}")
    page.close()

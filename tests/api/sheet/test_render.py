"""Sheets as PDF: what can be read in them, and that nothing anybody writes breaks one."""

import os
import re
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from api.domain.errors import TooManyRequests
from api.sheet import render as setting
from api.sheet.contents import contents
from api.sheet.fonts import font_files
from api.sheet.render import SheetFailed, fingerprint, render
from tests.api.sheet.papers import lines_of, pages_of, pixels_of
from tests.api.sheet.sources import PICTURE, drawing, drill, picture, reading, source

ARABIC = "ارفع يديك ثم توقف"
HEBREW = "הרם ידיים"
HOSTILE = (
    '#import "@preview/x:1.0.0": * #read("/etc/passwd") $x^2$ *b* _i_ @ref <l> // no \\ \\u{41} `r` "q" '
    "'s' = h - i + e [c] {d} ~ ` https://x.example/ &amp; <script>"
)


def needs(face: str, package: str) -> pytest.MarkDecorator:
    """Skips where the faces are not installed, unless they must be."""
    here = any(face in path.name for path in font_files())
    must = "FAIRLEAD_REQUIRE_FONTS" in os.environ
    return pytest.mark.skipif(not here and not must, reason=f"needs {package}")


needs_noto = needs("NotoSansArabic", "fonts-noto-core")


def paper(**values: Any) -> bytes:  # noqa: ANN401 - whatever an answer has
    return render(*contents(source(**values)))


def words_of(document: bytes) -> str:
    """All that can be read, one space between words."""
    return re.sub(r"\s+", " ", " ".join(pages_of(document)))


def in_order(text: str, parts: Sequence[str]) -> bool:
    at = 0
    for part in parts:
        found = text.find(part, at)
        if found < 0:
            pytest.fail(f"{part!r} does not stand after {text[max(0, at - 80) : at]!r}")
        at = found + len(part)
    return True


def test_the_sheet_says_everything_in_the_order_it_is_needed() -> None:
    text = words_of(
        paper(
            text="Let it set more.\n\nGood clips.",
            later=["Feet a little wider"],
            drills=[drill("stop-and-look", note="Only half swings."), drill("feet-together")],
            judged=[
                {
                    "name": "Under-set wrists",
                    "meaning": "The wrists have not set.",
                    "caution": "",
                    "sure": True,
                    "judged": "accepted",
                    "words": "I see it too.",
                    "because": [],
                }
            ],
            by_eye=[
                {
                    "clip_id": "c1",
                    "swing": 0,
                    "keyframe": "top",
                    "item": "face",
                    "seen": "open",
                    "words": "A little.",
                }
            ],
        )
    )
    assert in_order(
        text,
        [
            "Heron Links",
            "30 November 2026",
            "Mira Lund",
            "7 iron, full swing",
            "Your one main thing",
            "Let it set more.",
            "Rosa Quint",
            "30 November 2026, 16:02",
            "Lead arm to shaft angle",
            "93.2°, give or take 4.1",
            "On target",
            "The angle between your lead arm and the shaft",
            "At the range",
            "Stop with the lead arm level:",
            "3 sets of 8, 2 s pause, 4 days a week",
            "Take care.",
            "Warm up first",
            "Page 1 of",
            "Your drills",
            "Only half swings.",
            "Swing back slowly and stop",
            "Your next clip should show:",
            "More numbers",
            "Tempo",
            "3.1 to 1, give or take 0.3",
            "What stood out",
            "Under-set wrists",
            "Your coach sees it",
            "I see it too.",
            "Judged by eye by your coach",
            "Clubface at top",
            "Open",
        ],
    )
    assert in_order(text, ["More from your coach", "Good clips.", "For later", "Feet a little"])


def test_the_first_page_is_enough_at_the_range() -> None:
    first, *_ = pages_of(paper(drills=[drill("stop-and-look")]))
    for said in ("Let it set more.", "93.2°", "At the range", "3 sets of 8", "Take care."):
        assert said in first


def test_the_same_answer_gives_the_same_bytes() -> None:
    page, files = contents(source())
    assert render(page, files) == render(page, files)
    again, same_files = contents(source())
    assert fingerprint(page, files) == fingerprint(again, same_files)


@pytest.mark.parametrize(
    "other",
    [
        {"text": "Let it set less."},
        {"drawings": [drawing("line", (10, 10), (90, 90))]},
        {"student": "Somebody"},
        {"pictures": []},
    ],
    ids=["words", "drawing", "name", "picture"],
)
def test_another_answer_has_another_mark(other: dict[str, Any]) -> None:
    assert fingerprint(*contents(source())) != fingerprint(*contents(source(**other)))


def test_what_people_write_is_never_markup() -> None:
    text = words_of(
        paper(
            text=f"{HOSTILE}\n\n{HOSTILE}",
            student=HOSTILE[:100],
            academy=HOSTILE[:100],
            coach=HOSTILE[:100],
            later=[HOSTILE],
            drills=[drill("stop-and-look", note=HOSTILE)],
            drawings=[drawing("label", (100, 100), label=HOSTILE[:40])],
            what_changed=HOSTILE,
        )
    )
    # A typesetter of its own would have eaten or carried out these.
    for piece in (
        "#import",
        '#read("/etc/passwd")',
        "$x^2$",
        "*b*",
        "<script>",
        "\\u{41}",
        "&amp;",
    ):
        assert text.count(piece) >= 5, piece
    assert "root:" not in text


def test_a_long_run_without_spaces_stays_on_the_page() -> None:
    document = paper(text="Stop.\n\n" + "W" * 5000, student="N" * 120, academy="A" * 120)
    text = "".join(pages_of(document)).replace("\r\n", "").replace("\u200b", "")
    assert text.count("W") == 5000
    for right, width in lines_of(document):
        assert right <= width - 40, "within the margin, points"


def test_an_answer_as_long_as_one_may_be() -> None:
    everything = ("Keep the chest turning and the arms will follow. " * 170)[:8000]
    pages = pages_of(paper(text=everything))
    text = re.sub(r"\s+", " ", " ".join(pages))
    assert text.count("Keep the chest turning") >= 160
    assert len(pages) <= 8


def test_little_pictures_and_unknown_letters_do_not_break_it() -> None:
    text = words_of(
        paper(text="Well done 👍🏽 ⛳\n\n\ue000 \u0378 \U000e0041 Then go.", later=["👨‍👩‍👧"])
    )
    assert "Well done" in text
    assert "Then go." in text


@needs_noto
def test_words_from_right_to_left_can_be_read_and_stand_at_the_right() -> None:
    document = paper(
        text=f"{ARABIC}\n\n{HEBREW}", student="ليلى", academy="أكاديمية", coach="سمير", drills=[]
    )
    text = words_of(document)
    for word in (*ARABIC.split(), *HEBREW.split(), "سمير"):
        assert word in text, word
    assert in_order(text, ["ارفع", "يديك", "توقف", "הרם", "ידיים"])


@needs_noto
@pytest.mark.parametrize(
    "written",
    ["Σήκωσε τα χέρια", "Подними руки", "Պահիր ձեռքերը", "ხელები მაღლა", "มือสูงขึ้น", "እጆችህን"],
    ids=["Greek", "Cyrillic", "Armenian", "Georgian", "Thai", "Ethiopic"],
)
def test_other_scripts_can_be_read(written: str) -> None:
    assert written in words_of(paper(text=written))


@needs("NotoSansCJK", "fonts-noto-cjk")
@pytest.mark.parametrize("written", ["手を上げて", "抬高双手", "손을 들어"])
def test_chinese_japanese_and_korean_can_be_read(written: str) -> None:
    assert written in words_of(paper(text=written))


def test_a_coachs_lines_are_on_the_still() -> None:
    """The middle of the drawn circle's rim is light on the grey picture, and is not without it."""
    around = [drawing("circle", (360, 640), (560, 640))]
    with_it, without = (
        pixels_of(paper(drawings=drawings, readings=[], drills=[])) for drawings in (around, [])
    )
    assert with_it.shape == without.shape
    assert (with_it != without).any()


def test_a_picture_that_is_kept_no_longer_is_told_of() -> None:
    text = words_of(paper(pictures=[picture("gone"), picture("broken")]))
    assert "2 more pictures stand on the answer's page." in text


def test_a_torn_picture_does_not_take_the_answer_with_it() -> None:
    text = words_of(paper(stored={"whole": PICTURE[: len(PICTURE) // 2]}))
    assert "Let it set more." in text


def test_a_correction_and_what_it_replaced_say_so() -> None:
    text = words_of(paper(what_changed="I read the wrong moment."))
    assert in_order(text, ["Corrected on 30 November 2026", "I read the wrong moment."])
    text = words_of(paper(superseded=True))
    assert "A corrected answer took this one's place on 1 December 2026." in text


def test_a_number_that_could_not_be_read_says_why() -> None:
    text = words_of(paper(readings=[reading("lead_arm_shaft_angle", None)]))
    assert "Could not be measured: The club was not seen." in text


def test_no_address_of_ours_is_on_it() -> None:
    assert "http" not in words_of(paper())


def test_a_sheet_that_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setting, "TAKES_S", 0.01)
    with pytest.raises(SheetFailed, match="more than"):
        paper()


def test_a_typesetter_that_fails_is_our_fault(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    template = tmp_path / "sheet.typ"
    template.write_text("#panic()")
    monkeypatch.setattr(setting, "_templates", (template,))
    with pytest.raises(SheetFailed, match="ended with"):
        paper()


def test_who_waits_too_long_is_told_to_come_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(setting, "WAITS_S", 0.01)
    taken = [setting._turns.acquire(blocking=False) for _ in range(setting.AT_ONCE)]
    try:
        with pytest.raises(TooManyRequests) as refused:
            paper()
        assert refused.value.code == "busy"
    finally:
        for _ in taken:
            setting._turns.release()
    assert paper()


def test_nothing_is_left_behind(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    paper()
    assert list(tmp_path.iterdir()) == []


def test_the_typesetter_sees_no_secret(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A program that writes down what it is given stands in for it."""
    monkeypatch.setenv("FAIRLEAD_SECRET", "do not tell")
    program = tmp_path / "python"
    program.write_text(f"#!/bin/sh\nenv > {tmp_path}/seen\n")
    program.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(program))
    with pytest.raises(FileNotFoundError):
        paper()
    seen = {line.partition("=")[0] for line in (tmp_path / "seen").read_text().splitlines()}
    assert "PATH" in seen
    assert not [name for name in seen if name.startswith("FAIRLEAD")]

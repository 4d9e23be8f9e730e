"""What people wrote, made ready for paper."""

import pytest

from api.sheet import texts


@pytest.mark.parametrize(
    ("text", "way"),
    [
        ("Let it set.", "ltr"),
        ("ارفع يديك", "rtl"),
        ("הרם ידיים", "rtl"),
        ("3) ارفع", "rtl"),
        ("手を上げて", "ltr"),
        ("", "ltr"),
        ("123", "ltr"),
    ],
)
def test_the_first_letter_with_a_direction_decides(text: str, way: str) -> None:
    assert texts.direction(text) == way


def test_every_line_runs_its_own_way_and_paragraphs_stay_apart() -> None:
    written = texts.written_by_a_person("  One.\nثم قف\n\nThree.  ")
    assert [(line["text"], line["dir"]) for line in written["lines"]] == [
        ("One.", "ltr"),
        ("ثم قف", "rtl"),
        ("", "ltr"),
        ("Three.", "ltr"),
    ]


def test_a_run_that_no_line_holds_gets_places_to_break_and_loses_nothing() -> None:
    run = "a" * 5000
    tidy = texts.tidy(run)
    assert max(map(len, tidy.split("\u200b"))) == texts.MOST_LETTERS
    assert tidy.replace("\u200b", "") == run
    assert texts.tidy("a" * texts.MOST_LETTERS) == "a" * texts.MOST_LETTERS


def test_a_name_with_a_hyphen_breaks_there_and_nowhere_else() -> None:
    name = "Featherstonehaugh-Cholmondeley"
    assert texts.tidy(name) == name
    for run in ("-" * 60, "12-34" * 12):
        assert max(map(len, texts.tidy(run).split("\u200b"))) == texts.MOST_LETTERS


def test_a_mark_stays_with_its_letter() -> None:
    run = "x" * texts.MOST_LETTERS + "\u0301" + "y" * 10
    assert texts.tidy(run) == "x" * texts.MOST_LETTERS + "\u0301\u200b" + "y" * 10


def test_words_that_run_the_other_way_are_kept_apart_from_ours() -> None:
    assert texts.within("Rosa") == "Rosa"
    assert texts.within("سمير") == "\u2068سمير\u2069"


def test_control_characters_are_dropped() -> None:
    assert texts.tidy("a\x00b\x1b[31m\x07c\nd\te") == "ab[31mc\nd   e"


def test_the_one_main_thing_is_the_first_paragraph() -> None:
    assert texts.lead_and_rest("Stop.\n\nThen go.", longest=100) == ("Stop.", "Then go.")
    assert texts.lead_and_rest("Stop. Then go.", longest=100) == ("Stop. Then go.", "")


def test_of_a_first_paragraph_too_long_to_be_large_the_first_sentence_is() -> None:
    long = "Stop here. " + "And so on " * 60
    lead, rest = texts.lead_and_rest(f"{long}\nMore.", longest=100)
    assert lead == "Stop here."
    assert rest.startswith("And so on")
    assert rest.endswith("\nMore.")
    unbroken = "word " * 100
    assert texts.lead_and_rest(unbroken, longest=100) == (unbroken.strip(), "")

"""Numbers and dates of a sheet in its reader's language.

What is expected is CLDR's, as ``web/src/words/language.test.ts`` and ``AnswerView.test.ts`` have it from a browser's
own copy of it: paper and page say the same.
"""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from api.sheet import amounts, words
from api.sheet.contents import contents
from api.sheet.reader import reader_of, written_for
from tests.api.sheet.sources import source

ISOLATES = str.maketrans("", "", "\N{FIRST STRONG ISOLATE}\N{POP DIRECTIONAL ISOLATE}")
DEGREES, GRIPS = amounts.SAYINGS["deg"], amounts.SAYINGS["grip"]
STATURES, TO_ONE = amounts.SAYINGS["stature"], amounts.SAYINGS["to_one"]
DOSE = {"sets": 3, "reps": 8, "pause_s": 1.5, "days_per_week": 4, "until": "2026-12-09"}


def test_german_writes_a_comma() -> None:
    with written_for("de"):
        assert amounts.amount(87.42, DEGREES) == "87,4°"
        assert amounts.amount(-0.424, GRIPS) == "\N{MINUS SIGN}0,42 grip lengths"
        assert amounts.amount(-0.004, GRIPS) == "0,00 grip lengths"
        assert amounts.amount(0.041, STATURES) == "+4,1\N{NO-BREAK SPACE}% of your height"
        assert amounts.size(-0.12, GRIPS) == "0,12 grip lengths"
        assert amounts.amount_with_doubt(87.4, 83.3, 91.5, DEGREES) == "87,4°, give or take 4,1"
        assert amounts.target(2.4, 3.6, TO_ONE) == "between 2,4 and 3,6 to 1"
        assert amounts.bound(-3, DEGREES) == "\N{MINUS SIGN}3°"
        assert words.dose(DOSE) == "3 sets of 8, 1,5 s pause, 4 days a week, until 9. Dezember"
        assert words.day(date(2026, 11, 27)) == "27. November 2026"


@pytest.mark.parametrize(
    ("language", "angle", "end"),
    [
        ("ar-EG", "٨٧٫٤°, give or take ٤٫١", "until ٩ ديسمبر"),  # noqa: RUF001 - Arabic digits are meant
        ("ar-EG-u-nu-latn", "87.4°, give or take 4.1", "until 9 ديسمبر"),
        ("de-AT-1996", "87,4°, give or take 4,1", "until 9. Dezember"),
        ("en-US", "87.4°, give or take 4.1", "until December 9"),
        ("tlh", "87.4°, give or take 4.1", "until 9 December"),
    ],
)
def test_digits_and_dates(language: str, angle: str, end: str) -> None:
    with written_for(language):
        said = amounts.amount_with_doubt(87.4, 83.3, 91.5, DEGREES).translate(ISOLATES)
        assert said == angle
        assert words.dose(DOSE).translate(ISOLATES).endswith(end)


def test_what_runs_from_right_to_left_is_kept_together() -> None:
    with written_for("ar-EG"):
        assert (
            amounts.amount(87.4, DEGREES)
            == "\N{FIRST STRONG ISOLATE}٨٧٫٤°\N{POP DIRECTIONAL ISOLATE}"  # noqa: RUF001 - Arabic digits are meant
        )


def test_the_clock_is_the_readers() -> None:
    when = datetime(2026, 11, 27, 8, 5, tzinfo=UTC)
    zone = ZoneInfo("Europe/Zagreb")
    assert words.day_and_time(when, zone) == "27 November 2026, 09:05"
    with written_for("en-US"):
        assert words.day_and_time(when, zone).replace("\N{NARROW NO-BREAK SPACE}", " ") == (
            "November 27, 2026, 9:05 AM"
        )


def test_numbers_in_a_sentence_of_the_servers() -> None:
    told = reader_of("de").with_numbers("The stop came 0.4 seconds before the top.")
    assert told == "The stop came 0,4 seconds before the top."


def test_a_whole_sheet_is_written_for_its_reader_and_the_next_for_another() -> None:
    german, _ = contents(source(language="de"))
    english, _ = contents(source())
    assert "93,2°" in str(german)
    assert "93.2°" not in str(german)
    assert "93.2°" in str(english)

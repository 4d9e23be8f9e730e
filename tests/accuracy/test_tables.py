"""What the report's tables and words must show."""

from dataclasses import replace

from tests.accuracy.claims import HOW_TO_READ
from tests.accuracy.comparing import Comparison, Count
from tests.accuracy.content import Block, Bullets, Section, Table, Words
from tests.accuracy.made_up import clip_row, reading_row
from tests.accuracy.sections import all_sections, part
from tests.accuracy.standard_set import BLOCK
from tests.accuracy.tables import error_table, given_table, glance_table
from tests.accuracy.tally import tally_all
from tests.accuracy.truths import Absent

ROWS = [reading_row("a", 1.0), replace(reading_row("b", 50.0), sigma=None, low=None, high=None)]


def _column(table: Table, name: str) -> str:
    (row,) = table.rows
    return row[table.headers.index(name)]


def _text(blocks: tuple[Block, ...]) -> str:
    words = [block.text for block in blocks if isinstance(block, Words)]
    items = [item for block in blocks if isinstance(block, Bullets) for item in block.items]
    return " ".join([*words, *items])


def _section(title: str, counts: tuple[Count, ...] = ()) -> str:
    one = part("report", "Report", [clip_row("a"), clip_row("b")], ROWS)
    comparisons = {"report": Comparison({}, 2, 2, 2, (), counts)}
    none = Absent("not here")
    sections: list[Section] = all_sections(one, none, comparisons, (), none, ())
    (found,) = [section for section in sections if section.title == title]
    return _text(tuple(found.blocks))


def test_the_width_of_the_interval_is_in_every_table_of_errors() -> None:
    tallies = tally_all(ROWS)
    for table in (
        glance_table(tallies),
        error_table(tallies, "t"),
        error_table(tallies, "t", actual=True),
    ):
        assert _column(table, "Median half-width") == "3.9"


def test_what_is_given_without_a_sigma_is_shown() -> None:
    assert _column(given_table(tally_all(ROWS)), "Given without a sigma") == "1"
    assert "1 were given without a sigma (expected: 0)" in _section("At a glance")


def test_what_moved_says_counts_and_how_often_chance_is_mistaken() -> None:
    words = _section("What moved", (Count("swings missed", "7", "5"),))
    assert "Swings missed: 7, now 5." in words
    assert "one in eight with six" in words
    assert "about one in twenty" not in words


def test_how_to_read_this_claims_no_more_than_is_so() -> None:
    words = _text(HOW_TO_READ)
    assert "set aside to fit the uncertainty model (nothing fits yet)" in words
    assert "a wrong height is therefore not charged" in words
    assert "Lead arm parallel is scored in space" in words
    assert f"this report scores block {BLOCK}" in words
    assert "Block 0 is spent" in words

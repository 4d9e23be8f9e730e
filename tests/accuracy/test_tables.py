"""What the report's tables and words must show."""

from dataclasses import replace

from api.domain.names import Unit
from api.domain.proportions import SHARE_OF_STATURE
from tests.accuracy.arm_level import ArmLevel
from tests.accuracy.claims import SEEN_WORDS, how_to_read
from tests.accuracy.comparing import Comparison, Count, Unpaired, Whole
from tests.accuracy.content import Block, Bullets, Section, Table, Words
from tests.accuracy.made_up import clip_row, reading_row
from tests.accuracy.sections import all_sections, part
from tests.accuracy.standard_set import BLOCK
from tests.accuracy.summary import wilson
from tests.accuracy.tables import error_table, given_table, glance_table
from tests.accuracy.tally import tally_all
from tests.accuracy.truths import Absent
from tests.accuracy.words import UNIT_WORDS

MINUS = "\N{MINUS SIGN}"
ROWS = [reading_row("a", 1.0), replace(reading_row("b", 50.0), sigma=None, low=None, high=None)]


def _column(table: Table, name: str) -> str:
    (row,) = table.rows
    return row[table.headers.index(name)]


def _text(blocks: tuple[Block, ...]) -> str:
    words = [block.text for block in blocks if isinstance(block, Words)]
    items = [item for block in blocks if isinstance(block, Bullets) for item in block.items]
    return " ".join([*words, *items])


def _section(title: str, counts: tuple[Count, ...] = (), *, seen: bool = False) -> str:
    return _text(_blocks(title, Comparison({}, 2, 2, 2, (), counts), seen=seen))


def _blocks(title: str, comparison: Comparison, *, seen: bool = False) -> tuple[Block, ...]:
    one = part("report", "Report", [clip_row("a"), clip_row("b")], ROWS, seen=seen)
    none = Absent("not here")
    sections: list[Section] = all_sections(one, none, {"report": comparison}, (), none, ())
    (found,) = [section for section in sections if section.title == title]
    return found.blocks


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


def test_clips_that_were_seen_are_said_to_be() -> None:
    for title in ("At a glance", "How to read this"):
        assert SEEN_WORDS in _section(title, seen=True)
        assert SEEN_WORDS not in _section(title)
    assert "No clip of the block that is scored here was used" in _section("How to read this")
    assert "was not used for any" not in _section("How to read this", seen=True)


def test_reports_without_a_common_clip_stand_side_by_side() -> None:
    then = Whole(wilson(1, 2), -3.25, 3.0, wilson(1, 1))
    now = Whole(wilson(2, 2), 25.5, 25.5, wilson(1, 2))
    unpaired = (
        Unpaired("top", "ms", None, now),
        Unpaired("lead_arm_shaft_angle", "deg", then, now),
    )
    blocks = _blocks("What moved", Comparison({}, 0, 2, 2, (), (), unpaired))
    assert "only large moves mean something" in _text(blocks)
    (table,) = [block for block in blocks if isinstance(block, Table)]
    angle, top = (dict(zip(table.headers, row, strict=True)) for row in table.rows)
    assert angle["What"] == "Lead arm to shaft angle, degrees"
    assert angle["Given, then"] == "1 of 2: 50 % (9 to 91)"
    assert angle["Given, now"] == "2 of 2: 100 % (34 to 100)"
    assert (angle["Mean error, then"], angle["Mean error, now"]) == (f"{MINUS}3.2", "+25.5")
    assert (angle["Median size, then"], angle["Median size, now"]) == ("3.0", "25.5")
    assert angle["Truth inside 95 %, now"] == "1 of 2: 50 % (9 to 91)"
    assert (top["Given, then"], top["Mean error, then"]) == ("-", "-")


def test_reports_with_common_clips_have_no_such_table() -> None:
    blocks = _blocks("What moved", Comparison({}, 2, 2, 2, ()))
    assert not [block for block in blocks if isinstance(block, Table)]


def test_how_to_read_this_claims_no_more_than_is_so() -> None:
    words = _text(how_to_read(ArmLevel()))
    assert "calibration seeds fit the spreads that no error term explains" in words
    assert "a wrong height is therefore not charged" in words
    assert "Lead arm parallel is scored in space" in words
    assert f"this report scores block {BLOCK}" in words
    assert "Block 0 is spent" in words
    assert (
        "two constants (the grip's length and the ball's diameter) and the reader of JSON" in words
    )


def test_the_studios_bodies_stand_beside_published_shares() -> None:
    (table,) = _blocks("The studio's bodies", Comparison({}, 2, 2, 2, (), ()))
    assert isinstance(table, Table)
    rows = {row[0]: row[2:] for row in table.rows}
    assert set(rows) == {name.replace("_", " ") for name in SHARE_OF_STATURE} - {"hand"}
    for name in ("forearm", "thigh", "shank"):
        assert all(abs(float(cell.removesuffix(" %"))) <= 10.0 for cell in rows[name]), name


def test_every_unit_of_a_reading_has_words() -> None:
    assert set(UNIT_WORDS) == {"ms", *(unit.value for unit in Unit)}

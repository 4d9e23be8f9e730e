"""README's table is the kept report's."""

from tests.accuracy.outline import STANDARD, read_outline
from tests.accuracy.readme import README, block_of, replaced


def test_readme_says_what_the_kept_report_says() -> None:
    text = README.read_text(encoding="utf-8")
    written = replaced(text, block_of(read_outline(STANDARD)))
    assert text == written, "run `make accuracy-table`"


def test_readme_has_a_place_for_the_table() -> None:
    assert "x" in replaced(README.read_text(encoding="utf-8"), "x")

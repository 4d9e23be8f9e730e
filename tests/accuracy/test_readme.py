"""README's table is the kept report's."""

import pytest

from tests.accuracy.outline import STANDARD, read_outline
from tests.accuracy.readme import README, replaced, table_of


@pytest.mark.skipif(
    not STANDARD.is_file(), reason="no report has been kept yet: make accuracy KEEP=1"
)
def test_readme_says_what_the_kept_report_says() -> None:
    text = README.read_text(encoding="utf-8")
    written = replaced(text, table_of(read_outline(STANDARD)))
    assert text == written, "run `make accuracy-table`"


def test_readme_has_a_place_for_the_table() -> None:
    assert "x" in replaced(README.read_text(encoding="utf-8"), "x")

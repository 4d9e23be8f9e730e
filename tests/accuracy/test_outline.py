"""The kept outline, README's table from it, and the results file."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from tests.accuracy.made_up import clip_row, instant_row, reading_row
from tests.accuracy.outline import Outline, outline_of, read_outline, write_outline
from tests.accuracy.readme import (
    BEGIN,
    END,
    NoMarkers,
    block_of,
    replaced,
    rewrite_readme,
    table_of,
)
from tests.accuracy.results import read_results, write_results
from tests.accuracy.rows import Status
from tests.accuracy.words import name_of

ROWS = [
    reading_row("a", 1.25),
    reading_row("b", -3.0),
    reading_row("c", None),
    instant_row("a", 20.0),
    instant_row("b", None, status=Status.NO_SWING),
]
CLIPS = [clip_row(name, f"digest of {name}") for name in "abc"]
MADE = {"pipeline": "p", "studio": "s", "date": "2026-01-02 03:04 UTC", "commit": "c"}


def _outline() -> Outline:
    return Outline(MADE, {"report": outline_of(CLIPS, ROWS)})


def test_an_outline_survives_its_file(tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    write_outline(_outline(), path)
    again = read_outline(path)
    assert again.made == MADE
    assert again.sets["report"].values == _outline().sets["report"].values
    assert again.sets["report"].values["lead_arm_shaft_angle"]["c#0"] is None
    write_outline(again, tmp_path / "twice.json")
    assert (tmp_path / "twice.json").read_bytes() == path.read_bytes()


def test_an_outline_keeps_one_value_a_line(tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    write_outline(_outline(), path)
    assert '"a#0": [1.25, 2.0],' in path.read_text().replace("     ", "")


def test_another_schema_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    path.write_text(json.dumps({"schema": "fairlead.accuracy.outline/9"}))
    with pytest.raises(ValueError, match="outline/9"):
        read_outline(path)


def test_the_table_counts_withheld_and_missed() -> None:
    table = table_of(_outline())
    (angle,) = [line for line in table.splitlines() if "lead arm to shaft" in line]
    cells = [cell.strip() for cell in angle.strip("|").split("|")]
    assert cells[1:] == ["2 of 3", "\N{MINUS SIGN}0.9", "2.1", "2.8", "3.0", "3.9", "2 of 2", "0"]
    (top,) = [line for line in table.splitlines() if line.startswith("| top")]
    assert "1 of 2" in top
    assert table.index("lead arm to shaft") < table.index("| top")


def test_an_outline_without_half_widths_still_makes_a_table(tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    write_outline(_outline(), path)
    content = json.loads(path.read_text())
    for summary in content["sets"]["report"]["summary"].values():
        del summary["median_half_width"], summary["without_sigma"]
    path.write_text(json.dumps(content))
    (angle,) = [line for line in table_of(read_outline(path)).splitlines() if "to shaft" in line]
    assert "| 3.0 | - | 2 of 2 |" in angle


def test_the_tail_says_of_which_instants() -> None:
    tail = table_of(_outline()).splitlines()[-1]
    assert tail.startswith("Of the 2 instants looked for, 50 % (1 of 2)")
    assert "not looked for yet" not in tail
    assert "Swings without an impact have no such tolerance" in tail
    assert "or given where there is none, as in an invented swing" in tail


def test_what_the_desk_folds_away_is_folded_away() -> None:
    one = outline_of(CLIPS, ROWS)
    more = {**one.summary, "head_sway": one.summary["lead_arm_shaft_angle"]}
    table = table_of(Outline(MADE, {"report": replace(one, summary=more)}))
    first, folded = table.split("<details><summary>1 more numbers</summary>")
    assert "lead arm to shaft" in first
    assert "| top" in first
    assert f"| {name_of('head_sway').lower()}" in folded
    assert name_of("head_sway").lower() not in first


def test_readme_is_rewritten_between_its_markers_only(tmp_path: Path) -> None:
    readme, standard = tmp_path / "README.md", tmp_path / "standard.json"
    readme.write_text(f"before\n\n{BEGIN}\nan earlier table\n{END}\n\nafter\n")
    write_outline(_outline(), standard)
    assert rewrite_readme(readme, standard) is True
    assert rewrite_readme(readme, standard) is False
    text = readme.read_text()
    assert text.startswith("before\n\n")
    assert text.endswith("\n\nafter\n")
    assert "an earlier table" not in text
    assert block_of(_outline()) in text


def test_a_readme_without_markers_is_left_alone() -> None:
    with pytest.raises(NoMarkers):
        replaced("no place for it", "table")


def test_results_hold_every_row(tmp_path: Path) -> None:
    path = tmp_path / "results.json"
    write_results(path, MADE, {"report": (CLIPS, ROWS)}, {}, {"points": 1.0})
    assert read_results(path) == {"report": (CLIPS, ROWS)}
    assert json.loads(path.read_text())["schema"] == "fairlead.accuracy/1"


def test_targets_stand_below_the_table_with_what_was_reached() -> None:
    block = block_of(_outline())
    assert block.startswith(table_of(_outline()))
    (found,) = [line for line in block.splitlines() if line.startswith("| swings found")]
    assert found.split("|")[3].strip().endswith("%")


def test_an_outline_that_knows_of_no_targets_has_no_table_of_them(tmp_path: Path) -> None:
    path = tmp_path / "outline.json"
    write_outline(_outline(), path)
    content = json.loads(path.read_text())
    del content["sets"]["report"]["targets"]
    path.write_text(json.dumps(content))
    assert block_of(read_outline(path)) == table_of(_outline())

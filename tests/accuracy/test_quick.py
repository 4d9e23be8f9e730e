"""The quick report from clips to pages: the machinery, not the pipeline's score.

No threshold here is tuned to what the pipeline reaches; ``make accuracy`` tells that.
"""

import json
import os
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from tests.accuracy.__main__ import main
from tests.accuracy.outline import read_outline
from tests.accuracy.page_reader import PageReader, read_page
from tests.accuracy.results import read_results
from tests.accuracy.rows import LOST, ClipRow, Kind, Row, Status
from tests.accuracy.running import OUTLINE, REPORT, RESULTS
from tests.accuracy.scoring import ONE_VIEW
from tests.accuracy.standard_set import standard_clips
from tests.accuracy.truths import Absent, TrueClip, TrueInstant, TrueValue
from tests.studio.render import gl_reason
from worker.body.weights import Network, WeightsMissing, weights_path

REQUIRED = "FAIRLEAD_REQUIRE_STUDIO"

SURELY_WRONG_AT_MOST = 0.5
"""Of the given values. If every sigma were half of what it should be, one in twenty would be; half of
all means that times, sides or units are mixed up somewhere between truth and row."""

pytestmark = pytest.mark.slow


@dataclass(frozen=True, slots=True)
class Report:
    """What the quick command wrote, read back, and the truths it was made from."""

    folder: Path
    clips: list[ClipRow]
    rows: list[Row]
    truths: list[TrueClip]

    def of(self, clip: str, swing: int) -> list[Row]:
        return [row for row in self.rows if (row.clip, row.swing) == (clip, swing)]


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    _skip_without_means()
    folder = tmp_path_factory.mktemp("quick")
    assert main(["--quick", "--out", str(folder)]) == 0
    truths = standard_clips(only_quick=True)
    assert not isinstance(truths, Absent)
    clips, rows = read_results(folder / RESULTS)[REPORT]
    return Report(folder, clips, rows, list(truths))


def _skip_without_means() -> None:
    """Skip with the reason, unless the environment promised a studio."""
    reason = gl_reason()
    if reason is not None and os.environ.get(REQUIRED):
        pytest.fail(f"{reason}, and {REQUIRED} is set", pytrace=False)
    if reason is not None:
        pytest.skip(reason)
    try:
        weights_path(Network.FULL)
    except WeightsMissing as missing:
        pytest.skip(str(missing))


def test_every_clip_has_its_row_and_none_crashed(report: Report) -> None:
    assert [clip.clip for clip in report.clips] == [clip.name for clip in report.truths]
    assert [clip.reason for clip in report.clips if clip.outcome == "crashed"] == []


def test_every_true_thing_has_one_row(report: Report) -> None:
    for clip in report.truths:
        for number, swing in enumerate(clip.swings):
            rows = Counter((row.kind, row.id) for row in report.of(clip.name, number))
            assert set(rows.values()) == {1}
            for key, at in swing.instants.items():
                here = ONE_VIEW.get(key, clip.view) is clip.view
                if isinstance(at, TrueInstant) and here:
                    assert rows[Kind.INSTANT, key.value] == 1
            for checkpoint in CheckpointId:
                true = swing.checkpoints.get(checkpoint.value)
                if isinstance(true, TrueValue) and clip.view in CHECKPOINTS[checkpoint].views:
                    assert rows[Kind.CHECKPOINT, checkpoint.value] == 1


def test_truth_in_the_rows_is_the_truth_of_the_files(report: Report) -> None:
    by_name = {clip.name: clip for clip in report.truths}
    given = [row for row in report.rows if row.status is Status.GIVEN]
    assert given
    for row in given:
        clip = by_name[row.clip]
        swing = clip.swings[row.swing]
        if row.kind is Kind.CHECKPOINT:
            true = swing.checkpoints[row.id]
            assert isinstance(true, TrueValue)
            assert row.ideal == true.ideal
        else:
            (at,) = (at for key, at in swing.instants.items() if key.value == row.id)
            assert isinstance(at, TrueInstant)
            assert row.ideal is not None
            assert clip.life_ms(at.from_s) <= row.ideal <= clip.life_ms(at.to_s)


def test_what_was_not_given_says_why(report: Report) -> None:
    for row in report.rows:
        if row.status in LOST or row.status is Status.NOT_LOOKED_FOR:
            assert row.reason, row


def test_times_sides_and_units_are_not_mixed_up(report: Report) -> None:
    given = [row for row in report.rows if row.error is not None]
    assert len(given) >= 10
    assert sum(row.sure_wrong for row in given) <= SURELY_WRONG_AT_MOST * len(given)


def test_the_page_is_whole_and_needs_nothing_else(report: Report) -> None:
    page: PageReader = read_page((report.folder / "report.html").read_text(encoding="utf-8"))
    assert page.sources
    assert all(source.startswith("data:image/") for source in page.sources)
    assert {f"#{one}" for one in page.ids} >= set(page.links)
    text = " ".join(page.text)
    for clip in report.truths:
        assert clip.name in text


def test_markdown_finds_its_pictures(report: Report) -> None:
    words = (report.folder / "report.md").read_text(encoding="utf-8")
    pictures = [part.partition(")")[0] for part in words.split("](")[1:]]
    assert pictures
    assert all((report.folder / picture).is_file() for picture in pictures)


def test_the_outline_says_the_same_as_the_rows(report: Report) -> None:
    outline = read_outline(report.folder / OUTLINE)
    one = outline.sets[REPORT]
    assert set(one.clips) == {clip.name for clip in report.truths}
    for row in report.rows:
        if row.error is not None:
            value = one.values[row.id][row.key]
            assert value is not None
            assert value[0] == pytest.approx(row.error, abs=1e-4)
    made = json.loads((report.folder / RESULTS).read_text())["made"]
    assert {"date", "pipeline", "studio", "commit", "machine", "seconds"} <= set(made)

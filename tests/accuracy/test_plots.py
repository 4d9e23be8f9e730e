"""The plots are pictures of the right size and show every group with its number."""

import cv2
import numpy as np
import pytest
from matplotlib import pyplot as plt
from matplotlib.figure import Figure

from tests.accuracy import plots
from tests.accuracy.figures import all_figures, factor_figures, risk_figure
from tests.accuracy.groups import FACTORS, grouped
from tests.accuracy.made_up import clip_row, instant_row, reading_row
from tests.accuracy.tally import tally_all

RATES = (30.0, 240.0, 60.0, 60.0)
CLIPS = [
    clip_row(f"c{i}", frame_rate=rate, exposure_s=1.0 / (100 * (i + 1)), azimuth_deg=4.0 * i - 8.0)
    for i, rate in enumerate(RATES)
]
ROWS = [
    *(reading_row(clip.clip, 2.0 * i - 3.0, 1.0 + i) for i, clip in enumerate(CLIPS)),
    *(instant_row(clip.clip, 10.0 * i) for i, clip in enumerate(CLIPS)),
]


def _groups(name: str) -> list[str]:
    (factor,) = [factor for factor in FACTORS if factor.name == name]
    return [label for label, _ in grouped(ROWS, CLIPS, factor)]


def test_groups_come_in_the_order_of_their_numbers() -> None:
    assert _groups("rate") == ["30 a second", "60 a second", "240 a second"]
    assert _groups("exposure") == ["longer than 1/125 s", "1/125 to 1/250", "1/250 to 1/500"]
    minus = "\N{MINUS SIGN}"
    assert _groups("azimuth") == [
        f"below {minus}6 degrees",
        f"{minus}6 to {minus}2",
        f"{minus}2 to 2",
        "2 to 6",
    ]
    assert _groups("build") == ["man"]


def test_every_figure_is_a_picture_an_a4_page_can_hold() -> None:
    tallies = tally_all(ROWS)
    figures = [*all_figures("x", tallies, ROWS), *factor_figures("x", tallies, ROWS, CLIPS)]
    assert len({figure.name for figure in figures}) == 3 + len(FACTORS)
    for figure in figures:
        picture = cv2.imdecode(np.frombuffer(figure.image, np.uint8), cv2.IMREAD_COLOR)
        assert picture is not None
        assert picture.shape[1] == round(plots.WIDTH_IN * plots.DPI)
        assert (
            picture.shape[0] < 9.7 * plots.DPI
        )  # of A4's 29.7 cm, less 2 cm margins and a caption
        assert picture.std() > 5.0  # something is drawn
    assert plt.get_fignums() == []


def test_every_group_stands_on_the_axis_with_its_number(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[str] = []
    monkeypatch.setattr(
        plots,
        "_png",
        lambda figure: seen.extend(
            label.get_text() for axis in figure.axes for label in axis.get_yticklabels()
        ),
    )
    factor_figures("x", tally_all(ROWS), ROWS, CLIPS)
    assert {"60 a second  (n = 2)", "240 a second  (n = 1)", "man  (n = 4)"} <= set(seen)


def test_the_legend_of_the_risk_plot_lies_over_no_curve(monkeypatch: pytest.MonkeyPatch) -> None:
    def looked_at(figure: Figure) -> bytes:
        figure.draw_without_rendering()
        (legend,) = figure.legends
        box = legend.get_window_extent()
        shown = [axis for axis in figure.axes if axis.get_visible()]
        assert not any(box.overlaps(axis.get_window_extent()) for axis in shown)
        assert not any(axis.get_legend() for axis in figure.axes)
        assert len(legend.get_texts()) == 3
        return b"seen"

    monkeypatch.setattr(plots, "_png", looked_at)
    assert risk_figure("x", tally_all(ROWS), ROWS).image == b"seen"


def test_nothing_given_draws_nothing() -> None:
    rows = [reading_row("c0", None)]
    assert all_figures("x", tally_all(rows), rows) == []
    assert factor_figures("x", tally_all(rows), rows, CLIPS) == []

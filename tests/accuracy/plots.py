"""The report's plots: every case a dot, groups with their number, readable in grey on A4.

Each function returns a PNG. Nothing is told by colour alone: groups by place, kinds of line by dashes.
"""

import io
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any

import matplotlib as mpl

mpl.use("Agg")

import numpy as np
from matplotlib import pyplot as plt
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Plot

from tests.accuracy.rows import Row
from tests.accuracy.summary import LevelCoverage, RiskPoint
from tests.accuracy.words import UNIT_WORDS

WIDTH_IN = 6.7
"""Text width of an A4 page with 2 cm margins."""
LEGEND_IN = 0.25
"""Height of a legend that stands in a line of its own."""
DPI = 200
INK, SOFT = "#1b1b1b", "#5f6b73"
ACCENT = "#0b5c6b"
STYLE: Any = {
    "font.family": "DejaVu Sans",
    "font.size": 8.5,
    "axes.titlesize": 9.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": "#e3e7e9",
    "grid.linewidth": 0.6,
    "xtick.color": INK,
    "ytick.color": INK,
    "legend.frameon": False,
}

BEYOND = 4.0
"""Times the 90th percentile of sizes beyond which an error stands at the edge of its panel."""

Groups = Sequence[tuple[str, Sequence[Row]]]


@contextmanager
def _plot(
    rows: int, columns: int, height_in: float, heights: Sequence[float] | None = None
) -> Iterator[tuple[Plot, list[Axes]]]:
    with mpl.rc_context(STYLE):
        figure, axes = plt.subplots(
            rows,
            columns,
            figsize=(WIDTH_IN, height_in),
            squeeze=False,
            layout="constrained",
            height_ratios=heights,
        )
        try:
            yield figure, list(axes.flat)
        finally:
            plt.close(figure)


def _png(figure: Plot) -> bytes:
    buffer = io.BytesIO()
    figure.savefig(buffer, format="png", dpi=DPI, metadata={"Software": None})
    return buffer.getvalue()


def error_strips(by_unit: Mapping[str, Groups]) -> bytes:
    """Signed error of every given value: one strip a group, one panel a unit."""
    return strip_panels(
        [
            (f"error: found less true ({UNIT_WORDS.get(unit, unit)})", groups)
            for unit, groups in by_unit.items()
        ]
    )


def strip_panels(panels: Sequence[tuple[str, Groups]]) -> bytes:
    """Panels of strips, one below the other; each with what its axis counts."""
    heights = [0.8 + 0.38 * len(groups) for _, groups in panels]
    with _plot(len(heights), 1, sum(heights), heights) as (figure, axes):
        for axis, (label, groups) in zip(axes, panels, strict=True):
            _strips(axis, groups)
            axis.locator_params(axis="x", nbins=6)  # thousandths would touch each other
            axis.set_xlabel(label)
        return _png(figure)


def _strips(axis: Axes, groups: Groups) -> None:
    """Dots of every error, a bar at the median, a line over the middle half; first group on top.

    Errors far beyond all others (a swing taken for another is seconds off) stand as triangles at the edge
    with their number: they would press everything else onto one line.
    """
    reach = _reach([row.error for _, rows in groups for row in rows if row.error is not None])
    random = np.random.default_rng(1)
    labels = []
    for place, (label, rows) in enumerate(groups):
        errors = np.array([row.error for row in rows if row.error is not None])
        labels.append(f"{label}  (n = {len(errors)})")
        if not len(errors):
            continue
        height = place + random.uniform(-0.16, 0.16, len(errors))
        near = np.abs(errors) <= reach
        axis.plot(
            errors[near], height[near], "o", ms=3.2, mfc=ACCENT, mec="white", mew=0.4, alpha=0.75
        )
        for side, marker in ((-1.0, "<"), (1.0, ">")):
            beyond = int((side * errors > reach).sum())
            if beyond:
                axis.plot([side * reach], [place], marker, ms=5.0, color=INK)
                axis.annotate(
                    str(beyond),
                    (side * reach, place),
                    (-6.0 * side, 0.0),
                    textcoords="offset points",
                    ha="right" if side > 0.0 else "left",
                    va="center",
                )
        low, middle, high = np.percentile(errors, (25, 50, 75))
        axis.plot([low, high], [place + 0.3] * 2, "-", color=INK, lw=1.4, solid_capstyle="butt")
        axis.plot([middle] * 2, [place + 0.18, place + 0.42], "-", color=INK, lw=2.2)
    axis.axvline(0.0, color=INK, lw=0.9)
    axis.set_yticks(range(len(groups)), labels)
    axis.set_ylim(len(groups) - 0.4, -0.55)
    axis.grid(visible=False, axis="y")


def _reach(errors: Sequence[float]) -> float:
    """How far the axis reaches either way: all errors, or four times what nine in ten of them reach."""
    if not errors:
        return np.inf
    sizes = np.abs(errors)
    most = BEYOND * float(np.percentile(sizes, 90))
    return float(most) if most > 0.0 and sizes.max() > most else np.inf


def reliability_plot(curves: Sequence[tuple[str, Sequence[LevelCoverage]]]) -> bytes:
    """Observed against nominal coverage; bars are Wilson intervals, the diagonal is what is promised."""
    columns = 3
    rows = -(-len(curves) // columns)
    with _plot(rows, columns, 2.3 * rows) as (figure, axes):
        for axis in axes[len(curves) :]:
            axis.set_visible(False)
        for axis, (label, curve) in zip(axes, curves, strict=False):
            _reliability(axis, label, curve)
        return _png(figure)


def _reliability(axis: Axes, label: str, curve: Sequence[LevelCoverage]) -> None:
    nominal = np.array([100.0 * point.level for point in curve])
    seen = np.array([100.0 * point.observed.value for point in curve])
    low = seen - [100.0 * point.observed.low for point in curve]
    high = [100.0 * point.observed.high for point in curve] - seen
    axis.plot([40, 100], [40, 100], "--", color=SOFT, lw=1.0)
    axis.errorbar(
        nominal,
        seen,
        [np.maximum(low, 0.0), np.maximum(high, 0.0)],
        fmt="o-",
        color=ACCENT,
        ms=3.5,
        lw=1.1,
        elinewidth=1.0,
    )
    axis.set_xlim(45, 102)
    axis.set_ylim(0, 104)
    axis.set_xticks([50, 68, 80, 95])
    axis.set_yticks([0, 25, 50, 75, 100])
    axis.set_title(f"{label}\n(n = {curve[0].observed.total})", fontsize=8.0)
    axis.set_xlabel("promised, %")
    axis.set_ylabel("truth inside, %")


def risk_plot(
    curves: Sequence[tuple[str, str, Sequence[RiskPoint], Sequence[RiskPoint]]],
) -> bytes:
    """Mean size of the error against the share given, surest first; the ring is today's pipeline.

    Each curve: label, unit, by the pipeline's own sigma (solid), and by the true error (dotted: no
    order can do better). Rising solid lines mean that sigma knows which readings are poor.
    """
    columns = 3
    rows = -(-len(curves) // columns)
    with _plot(rows, columns, 2.3 * rows + LEGEND_IN) as (figure, axes):
        for axis in axes[len(curves) :]:
            axis.set_visible(False)
        for axis, (label, unit, own, best) in zip(axes, curves, strict=False):
            _risk(axis, own, best)
            axis.set_title(label, fontsize=8.0)
            axis.set_ylabel(f"mean |error| ({unit})")
            axis.set_xlabel("given, % of all true ones")
        # Below the panels: inside one it would lie over a curve.
        handles, labels = axes[0].get_legend_handles_labels()
        figure.legend(handles, labels, fontsize=7.0, loc="outside lower center", ncols=len(labels))
        return _png(figure)


def _risk(axis: Axes, own: Sequence[RiskPoint], best: Sequence[RiskPoint]) -> None:
    for curve, style, name in ((own, "-", "by its own sigma"), (best, ":", "best possible order")):
        share = [100.0 * point.share for point in curve]
        axis.plot(share, [p.mean_size for p in curve], style, color=ACCENT, lw=1.5, label=name)
    axis.plot(
        100.0 * own[-1].share,
        own[-1].mean_size,
        "o",
        ms=8,
        mfc="none",
        mec=INK,
        mew=1.4,
        label="now",
    )
    axis.axvspan(100.0 * own[-1].share, 103, color="#eef1f2", zorder=0)
    axis.set_xlim(0, 103)
    axis.set_ylim(bottom=0.0)

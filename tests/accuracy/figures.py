"""The report's figures: which rows go into which plot, with captions and words for the blind."""

from collections.abc import Sequence

from tests.accuracy import plots
from tests.accuracy.content import Figure
from tests.accuracy.groups import FACTORS, Factor, grouped
from tests.accuracy.rows import ClipRow, Kind, Row
from tests.accuracy.summary import reliability, risk_curve
from tests.accuracy.tally import Tally
from tests.accuracy.words import UNIT_WORDS, name_of

SHOWN_INSTANT = "lead_arm_parallel"
"""The instant the readings are taken at; the others are in the tables."""


def all_figures(prefix: str, tallies: Sequence[Tally], rows: Sequence[Row]) -> list[Figure]:
    """Figures of one set that need no more than its rows."""
    given = [tally for tally in tallies if tally.given]
    if not given:
        return []
    return [
        error_figure(prefix, given, rows),
        reliability_figure(prefix, given, rows),
        risk_figure(prefix, given, rows),
    ]


def error_figure(prefix: str, tallies: Sequence[Tally], rows: Sequence[Row]) -> Figure:
    """Error by checkpoint and instant."""
    by_unit: dict[str, list[tuple[str, list[Row]]]] = {}
    for tally in tallies:
        by_unit.setdefault(tally.unit, []).append((name_of(tally.id), _given(rows, tally.id)))
    ordered = dict(sorted(by_unit.items(), key=lambda item: (item[0] == "ms", item[0])))
    return Figure(
        f"{prefix}-error-by-checkpoint",
        plots.error_strips(ordered),
        "Strips of dots: the signed error of every value given, by checkpoint and by instant.",
        "Error by checkpoint and by instant. Each dot is a value given; the short bar marks the median, "
        "the line the middle half; dots are spread up and down only to be seen. A triangle at the edge: so many lie beyond it.",
    )


def factor_figures(
    prefix: str, tallies: Sequence[Tally], rows: Sequence[Row], clips: Sequence[ClipRow]
) -> list[Figure]:
    """Error by rate, exposure, camera angle and build: the readings and their instant."""
    chosen = [
        t for t in tallies if t.given and (t.kind is Kind.CHECKPOINT or t.id == SHOWN_INSTANT)
    ]
    return [_factor_figure(prefix, factor, chosen, rows, clips) for factor in FACTORS if chosen]


def _factor_figure(
    prefix: str,
    factor: Factor,
    tallies: Sequence[Tally],
    rows: Sequence[Row],
    clips: Sequence[ClipRow],
) -> Figure:
    panels = [
        (
            f"{name_of(tally.id)}: error ({UNIT_WORDS[tally.unit]})",
            grouped(_given(rows, tally.id), clips, factor),
        )
        for tally in tallies
    ]
    return Figure(
        f"{prefix}-error-by-{factor.name}",
        plots.strip_panels(panels),
        f"Strips of dots: the signed error of every reading, by {factor.words}.",
        f"Error by {factor.words}. Dots, bar and line as above.",
    )


def reliability_figure(prefix: str, tallies: Sequence[Tally], rows: Sequence[Row]) -> Figure:
    """Promised against observed coverage."""
    curves = []
    for tally in tallies:
        zs = [row.z for row in _given(rows, tally.id) if row.z is not None]
        if zs:
            curves.append((name_of(tally.id), reliability(zs)))
    return Figure(
        f"{prefix}-reliability",
        plots.reliability_plot(curves),
        "For each checkpoint and instant: the share of truths inside intervals of rising level, "
        "against the level promised; the dashed diagonal is a kept promise.",
        "Coverage: how often the truth lay inside, against what was promised. Below the dashed line "
        "the intervals are too narrow, above it too wide. Bars: Wilson 95 % intervals.",
    )


def risk_figure(prefix: str, tallies: Sequence[Tally], rows: Sequence[Row]) -> Figure:
    """Error against the share given."""
    curves = []
    for tally in tallies:
        pairs = [(r.sigma, r.error) for r in _given(rows, tally.id) if r.sigma is not None]
        own = [(sigma, error) for sigma, error in pairs if error is not None]
        best = [(abs(error), error) for _, error in own]
        if own:
            curves.append(
                (
                    f"{name_of(tally.id)}\n({tally.given} given of {tally.true})",
                    tally.unit,
                    risk_curve(own, tally.true),
                    risk_curve(best, tally.true),
                )
            )
    return Figure(
        f"{prefix}-risk",
        plots.risk_plot(curves),
        "For each checkpoint and instant: the mean size of the error when only the surest readings "
        "are given, against the share given; a ring marks today's pipeline.",
        "Withheld readings: mean size of the error against the share given, surest first. The ring is "
        "where the pipeline stands; what is withheld or missed lies in the grey part. A solid line that "
        "rises to the right knows its poor readings; the dotted one is the best possible order.",
    )


def _given(rows: Sequence[Row], identifier: str) -> list[Row]:
    return [row for row in rows if row.id == identifier and row.error is not None]

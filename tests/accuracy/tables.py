"""The report's tables, from tallies and rows."""

from collections import Counter
from collections.abc import Iterable, Sequence

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId
from tests.accuracy.comparing import Unpaired, Whole
from tests.accuracy.content import Table
from tests.accuracy.correct_events import OWN_TOLERANCE_MS
from tests.accuracy.rows import ClipRow, Kind, Row, Status
from tests.accuracy.summary import ErrorSummary
from tests.accuracy.tally import Tally, by_id, looked_for, share_of_correct_events, tally
from tests.accuracy.words import (
    NONE,
    STATUS_WORDS,
    UNIT_WORDS,
    name_of,
    number,
    percent,
    share_words,
    z_words,
)

WITHOUT_SIGMA = "Given without a sigma"


def glance_table(tallies: Sequence[Tally]) -> Table:
    """The few numbers for a hurried reader, readings first."""
    rows = []
    for one in sorted(tallies, key=lambda one: one.kind is Kind.INSTANT):
        _, mean, _, median, p90, worst = _error_cells(one.errors, one.unit)
        rows.append(
            (
                f"{name_of(one.id)}, {UNIT_WORDS[one.unit]}",
                f"{one.given} of {one.true}",
                mean,
                median,
                p90,
                worst,
                number(one.half_width, one.unit),
                f"{one.inside.count} of {one.inside.total}" if one.inside.total else NONE,
                str(one.sure_wrong),
            )
        )
    return Table(
        "At a glance",
        (
            "What",
            "Given",
            "Mean error",
            "Median size",
            "90 % below",
            "Worst",
            "Median half-width",
            "Truth inside 95 %",
            "Surely wrong",
        ),
        tuple(rows),
        "Given: of all true ones, also in swings that were missed and clips that were refused. Error: "
        "found less true. Half-width: of the 95 % interval. Surely wrong: the truth lies more than two half-widths of the 95 % interval "
        "from the value, or a value was given where there is none.",
    )


def error_table(
    tallies: Sequence[Tally], title: str, *, actual: bool = False, explained: bool = True
) -> Table:
    """Errors against the ideal camera, or against the one that filmed, and coverage."""
    rows = []
    for one in tallies:
        errors = one.errors_actual if actual else one.errors
        inside = one.inside_actual if actual else one.inside
        rows.append(
            (
                f"{name_of(one.id)}, {UNIT_WORDS[one.unit]}",
                *_error_cells(errors, one.unit),
                number(one.half_width, one.unit),
                share_words(inside),
                NONE if actual else z_words(one.z),
            )
        )
    headers = ("What", "n", "Mean", "RMSE", "Median size", "90 % below", "Worst")
    note = (
        "Truth inside the 95 % interval: count, share, and the Wilson 95 % interval of that share, as if "
        "clips were independent. z is error over the stated sigma, mean and standard deviation: an "
        "honest sigma gives 0 and 1; more than 1 means that sigma promises too much."
    )
    columns = (*headers, "Median half-width", "Truth inside 95 %", "z")
    return Table(title, columns, tuple(rows), note if explained else "")


def _error_cells(errors: ErrorSummary | None, unit: str) -> tuple[str, ...]:
    if errors is None:
        return ("0", NONE, NONE, NONE, NONE, NONE)
    return (
        str(errors.n),
        number(errors.mean, unit, sign=True),
        number(errors.rmse, unit),
        number(errors.median_size, unit),
        number(errors.p90_size, unit),
        number(errors.worst_size, unit),
    )


def unpaired_table(unpaired: Sequence[Unpaired]) -> Table:
    """Two reports of different clips side by side, readings first as elsewhere."""
    places: list[str] = [*(c.value for c in CheckpointId), *(key.value for key in KeyframeId)]
    rows = []
    for one in sorted(unpaired, key=lambda one: places.index(one.id)):
        pairs = zip(
            _whole_cells(one.before, one.unit), _whole_cells(one.after, one.unit), strict=True
        )
        cells = [cell for pair in pairs for cell in pair]
        rows.append((f"{name_of(one.id)}, {UNIT_WORDS.get(one.unit, one.unit)}", *cells))
    columns = ("Given", "Mean error", "Median size", "Truth inside 95 %")
    headers = [f"{column}, {when}" for column in columns for when in ("then", "now")]
    return Table(
        "Both reports whole, each over its own clips",
        ("What", *headers),
        tuple(rows),
        "Shares with their Wilson 95 % intervals, as if clips were independent. Intervals that do not overlap "
        "are a large move; those that do can still differ, or not.",
    )


def _whole_cells(one: Whole | None, unit: str) -> tuple[str, ...]:
    if one is None:
        return (NONE, NONE, NONE, NONE)
    return (
        share_words(one.given),
        number(one.mean, unit, sign=True),
        number(one.median_size, unit),
        share_words(one.inside),
    )


def given_table(tallies: Sequence[Tally]) -> Table:
    """What became of every true value."""
    shown = (
        Status.GIVEN,
        Status.WITHHELD,
        Status.NO_SWING,
        Status.REFUSED,
        Status.CRASHED,
        Status.RIGHTLY_NONE,
        Status.INVENTED,
        Status.NO_TRUTH,
    )
    rows = tuple(
        (
            name_of(t.id),
            str(t.true),
            *(str(t.counts[status]) for status in shown),
            str(t.without_sigma),
        )
        for t in tallies
    )
    words = (STATUS_WORDS[status].capitalize() for status in shown)
    headers = ("What", "True", *words, WITHOUT_SIGMA)
    return Table(
        "What became of every true value",
        headers,
        rows,
        "True = given + withheld + swing missed + clip refused + crashed. The three columns after are "
        "cases where truth says that there is none (also every value of a swing that is none), or does "
        "not know. A value without a sigma cannot be surely wrong, so it is counted by itself; expected: 0.",
    )


def events_table(tallies: Sequence[Tally], rows: Sequence[Row]) -> Table:
    """Share of correct events by the published rule and by our tolerance."""
    lines = []
    for one in tallies:
        if one.kind is not Kind.INSTANT:
            continue
        own = {key.value: value for key, value in OWN_TOLERANCE_MS.items()}[one.id]
        lines.append(
            (
                name_of(one.id),
                share_words(one.correct),
                share_words(one.correct_of_given),
                f"{own:.0f} ms",
                share_words(one.own),
                share_words(one.own_of_given),
            )
        )
    of_all, of_given = share_of_correct_events(rows)
    lines.append(("All of these", share_words(of_all), share_words(of_given), NONE, NONE, NONE))
    return Table(
        "Share of correct events",
        (
            "Instant",
            "Published rule, of all",
            "Published rule, of given",
            "Our tolerance",
            "Within it, of all",
            "Within it, of given",
        ),
        tuple(lines),
        "Published rule (McNally et al. 2019): off by no more whole frames than a thirtieth of the "
        "frames from address to impact, at least one; some 33 ms, and more in a paused or slow swing. "
        "Of all: withheld and missed ones count as not correct. Swings without an impact have no such "
        "tolerance and are left out of the published rule alone.",
    )


def withheld_table(rows: Iterable[Row]) -> Table:
    """Why values were withheld, and how often."""
    counts = Counter((row.id, row.reason) for row in rows if row.status is Status.WITHHELD)
    lines = tuple(
        (name_of(identifier), str(count), reason)
        for (identifier, reason), count in sorted(
            counts.items(), key=lambda item: (-item[1], item[0])
        )
    )
    return Table("Withheld, with the reason the student reads", ("What", "Times", "Reason"), lines)


def not_looked_for(rows: Iterable[Row]) -> list[str]:
    """Instants and checkpoints that are not looked for yet."""
    return [name_of(own[0].id) for own in by_id(rows) if not looked_for(own)]


def trouble_table(clips: Sequence[ClipRow]) -> Table:
    """Clips that were refused, that crashed, and those with swings missed or invented."""
    lines = []
    for clip in clips:
        if clip.outcome != "measured" or clip.missed or clip.invented:
            swings = f"{clip.swings_found} found, {clip.swings_true} true"
            words = clip.reason or f"{clip.missed} missed, {clip.invented} invented"
            lines.append((clip.clip, clip.outcome, swings, words))
    return Table(
        "Clips refused or crashed, swings missed or invented",
        ("Clip", "Outcome", "Swings", "What happened"),
        tuple(lines) or (("none", NONE, NONE, NONE),),
    )


def clip_table(clips: Sequence[ClipRow], rows: Sequence[Row]) -> Table:
    """Every clip: what it is, what came of it, and how long it took."""
    by_clip: dict[str, list[Row]] = {}
    for row in rows:
        by_clip.setdefault(row.clip, []).append(row)
    lines = []
    for clip in clips:
        own = by_clip.get(clip.clip, [])
        inside = [row.inside for row in own if row.inside is not None]
        lines.append(
            (
                clip.clip,
                clip.view,
                f"{clip.frame_rate:.0f}",
                f"1/{1.0 / clip.exposure_s:.0f}",
                number(clip.azimuth_deg, "deg", sign=True),
                clip.build,
                f"{clip.swings_found} / {clip.swings_true}",
                f"{sum(inside)} / {len(inside)}",
                str(sum(row.sure_wrong for row in own)),
                f"{clip.cpu_s:.0f} s",
            )
        )
    return Table(
        "Every clip",
        (
            "Clip",
            "View",
            "Pictures a second",
            "Exposure, s",
            "Camera off, degrees",
            "Build",
            "Swings found / true",
            "Inside / given",
            "Surely wrong",
            "Processor",
        ),
        tuple(lines),
    )


def dial_table(clips: Sequence[ClipRow], rows: Sequence[Row], tallies: Sequence[Tally]) -> Table:
    """Everything else that was dialled: what was given and how far off, group by group."""
    groups: dict[tuple[str, str], set[str]] = {}
    for clip in clips:
        for dial, words in clip.dials.items():
            groups.setdefault((dial, words), set()).add(clip.clip)
    chosen = [t for t in tallies if t.kind is Kind.CHECKPOINT]
    lines = []
    for (dial, words), names in sorted(groups.items()):
        cells: list[str] = []
        for tally_ in chosen:
            own = [row for row in rows if row.id == tally_.id and row.clip in names]
            cells.extend(_group_cells(own))
        lines.append((f"{dial}: {words}", str(len(names)), *cells))
    headers = [
        f"{name_of(t.id)}: {what}" for t in chosen for what in ("given", "median size", "inside")
    ]
    return Table("Every other dial", ("Dial", "Clips", *headers), tuple(lines))


def _group_cells(rows: Sequence[Row]) -> tuple[str, str, str]:
    if not rows:
        return NONE, NONE, NONE
    one = tally(rows)
    median = number(one.errors.median_size, one.unit) if one.errors else NONE
    inside = f"{one.inside.count} of {one.inside.total}" if one.inside.total else NONE
    return f"{one.given} of {one.true}", median, inside


def share_inside(rows: Iterable[Row]) -> str:
    """Share of given values whose interval holds the truth, in words."""
    inside = [row.inside for row in rows if row.inside is not None]
    return percent(sum(inside) / len(inside)) if inside else NONE

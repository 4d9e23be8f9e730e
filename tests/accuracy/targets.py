"""What the measuring core was built to reach, and what it reached on a set of clips.

Targets were set before anything was measured and are not moved. Each says its own cases: instants that were
missed or withheld count against it where it is about how many are right, not where it is about how far off values
are. Swings without an impact are left out of the published rule, which has no tolerance for them, and of nothing else.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, Value, judge
from api.domain.names import Band, KeyframeId
from tests.accuracy.content import Table
from tests.accuracy.patterns import tally_patterns
from tests.accuracy.rows import LOST, ClipRow, Kind, Row, Status
from tests.accuracy.tally import by_id, share_of_correct_events
from tests.accuracy.words import name_of

SQUARE_DEG = 6.0
"""A camera no farther off its line is about square to it."""
FAST_FPS = 59.0
FRAME_60_MS, FRAME_30_MS = 1000.0 / 60.0, 1000.0 / 30.0
GOOD_FPS, GOOD_EXPOSURE_S, GOOD_DEG = 59.0, 1 / 250, 10.0
"""A good clip: as the guide for students asks, by the film's facts and not by what became of it."""
FEWEST = 8
"""Intervals of fewer cases than this are not judged one by one: one miss would decide."""


@dataclass(frozen=True, slots=True)
class Target:
    """One target. ``met``: ``None`` where there was no case to judge it by."""

    what: str
    wanted: str
    reached: str
    cases: int
    met: bool | None


def targets_of(clips: Sequence[ClipRow], rows: Sequence[Row]) -> tuple[Target, ...]:
    """Every target that clips with truth can judge. Speed is ``make bench``'s, mirroring a test's."""
    return (
        *_angle(clips, rows),
        *_butt_end(rows),
        *_instants(rows),
        *_swings(clips),
        *_intervals(rows),
        *_withheld(clips, rows),
        *_patterns(rows),
    )


def target_table(targets: Iterable[Target]) -> Table:
    """The same for reading."""
    return Table(
        "Targets",
        ("What", "Wanted", "Reached", "Cases", "Met"),
        tuple(
            (each.what, each.wanted, each.reached, str(each.cases), word_of(each))
            for each in targets
        ),
        note="Targets were set before measuring. Errors are against the ideal camera's truth.",
    )


def word_of(target: Target) -> str:
    """``yes``, ``no`` or ``-``."""
    return "-" if target.met is None else ("yes" if target.met else "no")


def _sizes(rows: Iterable[Row]) -> list[float]:
    return [abs(row.error) for row in rows if row.error is not None]


def _at_most(what: str, sizes: Sequence[float], most: float, how: str, unit: str) -> Target:
    value = (
        None if not sizes else float(np.mean(sizes) if how == "mean" else np.quantile(sizes, 0.95))
    )
    reached = "-" if value is None else f"{value:.2f} {unit}"
    return Target(
        what,
        f"at most {most:g} {unit}",
        reached,
        len(sizes),
        None if value is None else value <= most,
    )


def _at_least(what: str, flags: Sequence[bool], least: float) -> Target:
    if not flags:
        return Target(what, f"at least {least:.0%}", "-", 0, None)
    share = float(np.mean(flags))
    return Target(what, f"at least {least:.0%}", f"{share:.1%}", len(flags), share >= least)


def _angle(clips: Sequence[ClipRow], rows: Sequence[Row]) -> tuple[Target, ...]:
    square = {clip.clip: clip for clip in clips if abs(clip.azimuth_deg) <= SQUARE_DEG}
    own = [
        row
        for row in rows
        if row.id == CheckpointId.LEAD_ARM_SHAFT_ANGLE.value and row.clip in square
    ]
    fast = _sizes(row for row in own if square[row.clip].frame_rate >= FAST_FPS)
    slow = _sizes(row for row in own if square[row.clip].frame_rate < FAST_FPS)
    what = "lead arm to shaft angle, camera within 6 degrees of square"
    return (
        _at_most(f"{what}, 60 a second and more: mean size", fast, 2.0, "mean", "degrees"),
        _at_most(f"{what}, 60 a second and more: 95 % below", fast, 5.0, "95 %", "degrees"),
        _at_most(f"{what}, 30 a second: mean size", slow, 3.0, "mean", "degrees"),
    )


def _butt_end(rows: Sequence[Row]) -> tuple[Target, ...]:
    own = [row for row in rows if row.id == CheckpointId.BUTT_END_INSIDE.value]
    given = [row for row in own if row.error is not None]
    sure = [row for row in given if called(row) is not None]
    wrong = sum(called(row) is not true_band(row) for row in sure)
    far = sum(row.sure_wrong for row in own)
    what = "where the grip end points"
    return (
        _at_most(f"{what}: mean size", _sizes(own), 0.25, "mean", "grip lengths"),
        Target(
            f"{what}: called into a band for sure, and the truth lies in another",
            "none",
            f"{wrong} of {len(sure)} called for sure; {len(given) - len(sure)} too close to call",
            len(given),
            wrong == 0 if given else None,
        ),
        Target(
            f"{what}: off by more than twice its interval",
            "none",
            str(far),
            len(given),
            far == 0 if given else None,
        ),
    )


def called(row: Row) -> Band | None:
    """The band that a given reading is called into for sure; ``None``: it is too close to call, or not given.

    By the product's own rule, with the usual limits.
    """
    definition = CHECKPOINTS[CheckpointId(row.id)]
    if row.value is None or row.sigma is None:
        return None
    told = judge(definition, row.value, {"sigma": row.sigma}, definition.bands)
    sure = isinstance(told, Value) and told.band in {Band.GOOD, Band.WATCH, Band.OUTSIDE}
    return told.band if isinstance(told, Value) and sure else None


def true_band(row: Row) -> Band | None:
    """The band that the true value lies in; ``None`` where there is none."""
    definition = CHECKPOINTS[CheckpointId(row.id)]
    if row.ideal is None:
        return None
    told = judge(definition, row.ideal, {"sigma": 1e-9}, definition.bands)
    return told.band if isinstance(told, Value) else None


def _instants(rows: Sequence[Row]) -> tuple[Target, ...]:
    def within(which: KeyframeId, most_ms: float) -> list[bool]:
        return [
            row.error is not None and abs(row.error) <= most_ms
            for row in rows
            if row.kind is Kind.INSTANT
            and row.id == which.value
            and (row.error is not None or row.status in LOST)
        ]

    level, top, impact = KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP, KeyframeId.IMPACT
    of_all, _ = share_of_correct_events(rows)
    correct = [True] * of_all.count + [False] * (of_all.total - of_all.count)
    return (
        _at_least("lead arm parallel within a frame of 60", within(level, FRAME_60_MS), 0.80),
        _at_least("lead arm parallel within two", within(level, 2.0 * FRAME_60_MS), 0.98),
        _at_least("top within a frame of 30", within(top, FRAME_30_MS), 0.95),
        _at_least("impact within a frame of 30", within(impact, FRAME_30_MS), 0.95),
        _at_least("instants correct by the published rule, of all looked for", correct, 0.95),
    )


def _swings(clips: Sequence[ClipRow]) -> tuple[Target, ...]:
    true = sum(clip.swings_true for clip in clips)
    found = true - sum(clip.missed for clip in clips)
    invented = sum(clip.invented for clip in clips)
    return (
        _at_least("swings found", [True] * found + [False] * (true - found), 0.98),
        Target(
            "swings invented", "none", str(invented), len(clips), invented == 0 if clips else None
        ),
    )


def _intervals(rows: Sequence[Row]) -> tuple[Target, ...]:
    inside = [row.inside for row in rows if row.inside is not None]
    share = float(np.mean(inside)) if inside else 0.0
    below = [
        name_of(own[0].id).lower()
        for own in by_id(rows)
        if own[0].kind is Kind.CHECKPOINT and _held(own, lambda share: share < 0.90)
    ]
    judged = sum(
        _held(own, lambda _share: True) for own in by_id(rows) if own[0].kind is Kind.CHECKPOINT
    )
    return (
        Target(
            "95 % intervals that hold the truth, readings and instants",
            "92 to 98 %",
            f"{share:.1%}",
            len(inside),
            0.92 <= share <= 0.98 if inside else None,
        ),
        Target(
            f"checkpoints whose intervals hold less than 90 %, of those with {FEWEST} cases",
            "none",
            f"{len(below)}" + (f" ({', '.join(below)})" if below else ""),
            judged,
            not below if judged else None,
        ),
    )


def _withheld(clips: Sequence[ClipRow], rows: Sequence[Row]) -> tuple[Target, ...]:
    good = {
        clip.clip
        for clip in clips
        if clip.frame_rate >= GOOD_FPS
        and clip.exposure_s <= GOOD_EXPOSURE_S
        and abs(clip.azimuth_deg) <= GOOD_DEG
    }
    own = [
        row
        for row in rows
        if row.kind is Kind.CHECKPOINT and (row.error is not None or row.status is Status.WITHHELD)
    ]
    of_good = [row.status is Status.WITHHELD for row in own if row.clip in good]
    of_all = [row.status is Status.WITHHELD for row in own]
    kept_back = float(np.mean(of_good)) if of_good else 0.0
    return (
        Target(
            f"readings withheld on good clips ({GOOD_FPS + 1:.0f} a second and more, exposed for 1/{1 / GOOD_EXPOSURE_S:.0f} s "
            f"at most, camera within {GOOD_DEG:.0f} degrees of its line)",
            "at most 10 %",
            f"{kept_back:.1%}" if of_good else "-",
            len(of_good),
            kept_back <= 0.10 if of_good else None,
        ),
        Target(
            "readings withheld, good and bad clips together",
            "no target",
            f"{float(np.mean(of_all)):.1%}" if of_all else "-",
            len(of_all),
            None,
        ),
    )


def _held(own: Sequence[Row], rule: Callable[[float], bool]) -> bool:
    flags = [row.inside for row in own if row.inside is not None]
    return len(flags) >= FEWEST and rule(float(np.mean(flags)))


def _patterns(rows: Sequence[Row]) -> tuple[Target, ...]:
    told = tally_patterns(rows)
    clear = sum(one.clear for one in told.patterns)
    named = sum(one.named for one in told.patterns)
    kinds = sum(one.clear > 0 for one in told.patterns)
    accused = told.accused / told.neutral if told.neutral else 0.0
    clear_ones = _at_least(
        "patterns beyond their limits by twice sigma that were named",
        [True] * named + [False] * (clear - named),
        0.90,
    )
    return (
        replace(
            clear_ones,
            reached=f"{clear_ones.reached} (of {kinds} of the {len(told.patterns)} kinds; the others had no such case)",
        )
        if clear
        else clear_ones,
        Target(
            "swings without a pattern that got one, sure or too close to call",
            "at most 5 %",
            f"{accused:.1%} ({told.surely_accused} surely)" if told.neutral else "-",
            told.neutral,
            accused <= 0.05 if told.neutral else None,
        ),
    )

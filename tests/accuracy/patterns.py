"""Patterns named against patterns that are there: what a finding says, not how far off its numbers are.

What is there is what the same rules (``api.domain.findings``) say of the true numbers. It is *clear* when the true
numbers lie beyond their limits by twice the sigma of the readings; only of those can a measurement be asked to
name nearly all. A finding on a swing that has not that pattern is a false one, and worst when it is sure.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.findings import FINDINGS, PATTERNS, FindingCode, Limit, Pattern, find
from api.domain.measurement import Missing, Reading
from api.domain.names import Band
from tests.accuracy.content import Block, Table, Words
from tests.accuracy.rows import Kind, Row

CLEAR_SIGMAS = 2.0
"""Beyond its limit by so many sigmas a pattern must be named."""

Readings = Mapping[CheckpointId, Reading | Missing]
_NOT_GIVEN = Missing("Not given.")


@dataclass(frozen=True, slots=True)
class PatternScore:
    """One pattern over all swings seen from the side it is read from.

    ``there``: swings that have it; ``clear``: clearly; of these ``named`` and ``surely``. ``absent``: swings that have
    it not; of these ``wrongly`` named at all and ``surely_wrong``.
    """

    code: FindingCode
    there: int
    clear: int
    named: int
    surely: int
    absent: int
    wrongly: int
    surely_wrong: int


@dataclass(frozen=True, slots=True)
class PatternTally:
    """All patterns, and the swings that have none of them: ``neutral``; of these with a finding all the
    same: ``accused``, and with a sure one: ``surely_accused``.
    """

    patterns: tuple[PatternScore, ...]
    neutral: int
    accused: int
    surely_accused: int


def tally_patterns(rows: Sequence[Row]) -> PatternTally:
    """Score every pattern on every true swing, missed ones too, and on every invented one."""
    swings = _swings(rows)
    usual = _usual_sigmas(rows)
    true = [{finding.code for finding in find(_true(one))} for one in swings]
    told = [{finding.code: finding.sure for finding in find(_told(one))} for one in swings]
    scores = [
        _score(pattern, swings, usual, true, told)
        for pattern in PATTERNS
        if any(_read(pattern, one) for one in swings)
    ]
    neutral = [found for there, found in zip(true, told, strict=True) if not there]
    return PatternTally(
        tuple(scores),
        neutral=len(neutral),
        accused=sum(bool(found) for found in neutral),
        surely_accused=sum(any(found.values()) for found in neutral),
    )


def _score(
    pattern: Pattern,
    swings: Sequence[Mapping[CheckpointId, Row]],
    usual: Mapping[CheckpointId, float],
    true: Sequence[set[str]],
    told: Sequence[Mapping[str, bool]],
) -> PatternScore:
    code = pattern.code.value
    cases = [
        (
            one,
            code in there,
            code in found,
            found.get(code, False),
        )
        for one, there, found in zip(swings, true, told, strict=True)
        if _read(pattern, one)
    ]
    clear = [
        (named, sure)
        for one, there, named, sure in cases
        if there and _is_clear(pattern, one, usual)
    ]
    absent = [(named, sure) for _, there, named, sure in cases if not there]
    return PatternScore(
        pattern.code,
        there=sum(there for _, there, _, _ in cases),
        clear=len(clear),
        named=sum(named for named, _ in clear),
        surely=sum(sure for _, sure in clear),
        absent=len(absent),
        wrongly=sum(named for named, _ in absent),
        surely_wrong=sum(sure for _, sure in absent),
    )


def _swings(rows: Iterable[Row]) -> list[dict[CheckpointId, Row]]:
    swings: dict[str, dict[CheckpointId, Row]] = {}
    known = {checkpoint.value for checkpoint in CheckpointId}
    for row in rows:
        if row.kind is Kind.CHECKPOINT and row.id in known:
            swings.setdefault(row.key, {})[CheckpointId(row.id)] = row
    return list(swings.values())


def _read(pattern: Pattern, swing: Mapping[CheckpointId, Row]) -> bool:
    """Whether the clip's view shows what the pattern rests on first."""
    return all(limit.checkpoint in swing for limit in pattern.leads)


def _usual_sigmas(rows: Iterable[Row]) -> dict[CheckpointId, float]:
    """The median sigma of each checkpoint: of what was withheld nobody knows another."""
    sigmas: dict[CheckpointId, list[float]] = {}
    for swing in _swings(rows):
        for checkpoint, row in swing.items():
            if row.value is not None and row.sigma is not None:
                sigmas.setdefault(checkpoint, []).append(row.sigma)
    return {checkpoint: median(found) for checkpoint, found in sigmas.items()}


def _true(swing: Mapping[CheckpointId, Row]) -> Readings:
    return {
        checkpoint: _NOT_GIVEN if row.ideal is None else _reading(checkpoint, row.ideal)
        for checkpoint, row in swing.items()
    }


def _told(swing: Mapping[CheckpointId, Row]) -> Readings:
    return {
        checkpoint: (
            Missing(row.reason or _NOT_GIVEN.reason)
            if row.value is None
            else _reading(checkpoint, row.value, row.sigma or 0.0, row.low, row.high)
        )
        for checkpoint, row in swing.items()
    }


def _is_clear(
    pattern: Pattern, swing: Mapping[CheckpointId, Row], usual: Mapping[CheckpointId, float]
) -> bool:
    """Whether it is still there when each of its numbers is moved back by ``CLEAR_SIGMAS``."""
    moved = dict(_true(swing))
    for limit in (*pattern.leads, *pattern.supports):
        reading = moved.get(limit.checkpoint)
        if isinstance(reading, Reading):
            back = CLEAR_SIGMAS * _sigma(limit, swing, usual)
            value = reading.value + (back if limit.below else -back)
            moved[limit.checkpoint] = _reading(limit.checkpoint, value)
    return pattern.code.value in {finding.code for finding in find(moved)}


def _sigma(
    limit: Limit, swing: Mapping[CheckpointId, Row], usual: Mapping[CheckpointId, float]
) -> float:
    parts = [limit.checkpoint] if limit.less is None else [limit.checkpoint, limit.less]
    return math.hypot(*(_own_or_usual(part, swing, usual) for part in parts))


def _own_or_usual(
    checkpoint: CheckpointId,
    swing: Mapping[CheckpointId, Row],
    usual: Mapping[CheckpointId, float],
) -> float:
    row = swing.get(checkpoint)
    if row is not None and row.value is not None and row.sigma is not None:
        return row.sigma
    return usual.get(checkpoint, math.inf)


def _reading(
    checkpoint: CheckpointId,
    value: float,
    sigma: float = 0.0,
    low: float | None = None,
    high: float | None = None,
) -> Reading:
    ends = (value if low is None else low, value if high is None else high)
    # Findings ask for the interval and not for the band.
    return Reading(value, sigma, *ends, CHECKPOINTS[checkpoint].unit, Band.TOO_CLOSE, 0, {})


def pattern_blocks(rows: Sequence[Row]) -> list[Block]:
    """The report's section."""
    tally = tally_patterns(rows)
    if not tally.patterns:
        return [Words("No reading that a pattern rests on has a truth here.")]
    clear = sum(score.clear for score in tally.patterns)
    named = sum(score.named for score in tally.patterns)
    surely = sum(score.surely for score in tally.patterns)
    return [
        Words(
            f"Of {clear} patterns that are clearly there {named} were named, {surely} of them surely. Of "
            f"{tally.neutral} swings without any pattern {tally.accused} got one all the same, "
            f"{tally.surely_accused} a sure one.",
            strong=True,
        ),
        Table(
            "Patterns",
            (
                "Pattern",
                "Swings that have it",
                "Clearly",
                "Of these named",
                "Named surely",
                "Swings without it",
                "Named all the same",
                "Surely",
            ),
            tuple(
                (
                    FINDINGS[score.code].name,
                    *map(
                        str,
                        (
                            score.there,
                            score.clear,
                            score.named,
                            score.surely,
                            score.absent,
                            score.wrongly,
                            score.surely_wrong,
                        ),
                    ),
                )
                for score in tally.patterns
            ),
            "What a swing has is what the rules of findings say of its true numbers. Clearly: beyond the limits by "
            "twice the readings' sigma (the usual one where a reading was withheld). A finding that is not sure "
            "is shown as too close to call.",
        ),
    ]

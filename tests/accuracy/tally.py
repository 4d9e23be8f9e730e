"""What came of each instant and each checkpoint over a set of clips: counts, errors, coverage."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId
from tests.accuracy.correct_events import OWN_TOLERANCE_MS
from tests.accuracy.rows import LOST, NOT_LOOKED_FOR_YET, Kind, Row, Status
from tests.accuracy.summary import ErrorSummary, Share, middle, spread, summarise, wilson

_ORDER = [*(key.value for key in KeyframeId), *(checkpoint.value for checkpoint in CheckpointId)]


@dataclass(frozen=True, slots=True)
class Tally:
    """One instant or checkpoint. ``true``: true values there are, given or not.

    ``errors`` and ``inside`` are against the ideal camera, ``*_actual`` against the one that filmed.
    ``half_width``: median half-width of the 95 % interval. ``without_sigma``: given without one.
    ``z``: mean and standard deviation of error over sigma. ``correct``: the published share of
    correct events, where withheld and missed ones count as not correct; ``correct_of_given`` leaves
    them out; ``own`` is the same with our own tolerance in milliseconds. ``None`` for checkpoints.
    """

    kind: Kind
    id: str
    unit: str
    true: int
    given: int
    counts: dict[Status, int]
    sure_wrong: int
    errors: ErrorSummary | None
    errors_actual: ErrorSummary | None
    inside: Share
    inside_actual: Share
    z: tuple[float, float] | None
    half_width: float | None
    without_sigma: int
    correct: Share | None = None
    correct_of_given: Share | None = None
    own: Share | None = None
    own_of_given: Share | None = None


def tally_all(rows: Sequence[Row]) -> list[Tally]:
    """A tally of everything that is looked for and that truth knows, in the trade's order."""
    return [tally(own) for own in by_id(rows) if looked_for(own) and _known(own)]


def by_id(rows: Iterable[Row]) -> list[list[Row]]:
    """Rows of each instant, then of each checkpoint."""
    groups: dict[tuple[Kind, str], list[Row]] = {}
    for row in rows:
        groups.setdefault((row.kind, row.id), []).append(row)
    return [groups[key] for key in sorted(groups, key=_place)]


def _place(key: tuple[Kind, str]) -> tuple[bool, int, str]:
    kind, name = key
    place = _ORDER.index(name) if name in _ORDER else len(_ORDER)
    return kind is Kind.CHECKPOINT, place, name


def looked_for(rows: Iterable[Row]) -> bool:
    """Whether these count: lost on every clip does, unless it is of ``NOT_LOOKED_FOR_YET``."""
    return any(
        row.status is not Status.NOT_LOOKED_FOR
        and not (row.id in NOT_LOOKED_FOR_YET and row.status in LOST)
        for row in rows
    )


def _known(rows: Iterable[Row]) -> bool:
    return any(row.status is not Status.NO_TRUTH for row in rows)


def tally(rows: Sequence[Row]) -> Tally:
    """Tally rows of one id."""
    first = rows[0]
    counts = {status: sum(row.status is status for row in rows) for status in Status}
    given = [row for row in rows if row.error is not None]
    zs = [row.z for row in given if row.z is not None]
    basic = Tally(
        kind=first.kind,
        id=first.id,
        unit=first.unit,
        true=len(given) + sum(counts[status] for status in LOST),
        given=len(given),
        counts=counts,
        sure_wrong=sum(row.sure_wrong for row in rows),
        errors=summarise([row.error for row in given if row.error is not None]),
        errors_actual=summarise([e for row in given if (e := row.error_actual) is not None]),
        inside=_share(row.inside for row in given),
        inside_actual=_share(row.inside_actual for row in given),
        z=spread(zs),
        half_width=middle([width for row in given if (width := row.half_width) is not None]),
        without_sigma=sum(row.without_sigma for row in rows),
    )
    return _with_events(basic, rows) if first.kind is Kind.INSTANT else basic


def _share(flags: Iterable[bool | None]) -> Share:
    known = [flag for flag in flags if flag is not None]
    return wilson(sum(known), len(known))


def _with_events(basic: Tally, rows: Sequence[Row]) -> Tally:
    published = [flag for row in rows if (flag := correct_event(row)) is not None]
    ours = [flag for row in rows if (flag := within_own_tolerance(row)) is not None]
    given = [row for row in rows if row.status is Status.GIVEN]
    return replace(
        basic,
        correct=_share(published),
        correct_of_given=_share(correct_event(row) for row in given),
        own=_share(ours),
        own_of_given=_share(within_own_tolerance(row) for row in given),
    )


SAME_AS_ADDRESS = KeyframeId.TAKEAWAY.value


def correct_event(row: Row) -> bool | None:
    """Whether an instant is correct by the published rule. ``None``: the rule does not apply.

    It does not where truth has no such instant, where the pipeline does not look for it, and in
    a swing without an impact, which has no length to take the tolerance from. Nor does it for the takeaway, which
    is by definition the moment at which address ends: counted beside it, one finding would count twice. Eight
    instants remain, as many as the published rule was made for.
    """
    if row.kind is not Kind.INSTANT or row.frames_allowed is None or row.id == SAME_AS_ADDRESS:
        return None
    if row.status in LOST:
        return False
    return None if row.frames_off is None else row.frames_off <= row.frames_allowed


def within_own_tolerance(row: Row) -> bool | None:
    """Whether an instant is within ``OWN_TOLERANCE_MS``. ``None`` where it does not apply."""
    if row.kind is not Kind.INSTANT:
        return None
    if row.status in LOST:
        return False
    return None if row.error is None else abs(row.error) <= OWN_TOLERANCE_MS[KeyframeId(row.id)]


def share_of_correct_events(rows: Sequence[Row]) -> tuple[Share, Share]:
    """Over all instants looked for: share of correct events of all true ones, and of those given."""
    tried = [row for own in by_id(rows) if looked_for(own) for row in own]
    given = [row for row in tried if row.status is Status.GIVEN]
    return _share(map(correct_event, tried)), _share(map(correct_event, given))

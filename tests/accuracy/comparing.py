"""What moved since another report, on the same clips, and whether by more than chance would.

Rendering and measuring repeat exactly, so every difference is real for these clips. What chance does
is choose the clips: the question asked is whether other clips drawn by the same dials would show it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.stats import binomtest

from api.domain.uncertainty import Z95
from tests.accuracy.outline import Outline, SetOutline, Value
from tests.accuracy.summary import Share, wilson
from tests.accuracy.words import name_of, number

DRAWS = 4000
SEED = 20260101
FEWEST_CLIPS = 6
"""With fewer clips no order of signs is rarer than 1 in 20 (two-sided, 2 to the minus 5 is 0.03)."""
RARE = 0.05
SIZE, BIAS = "mean size of the error", "mean error"
INSIDE, GIVEN = "share of truths inside the interval", "share given"
SHARES = (INSIDE, GIVEN)

Values = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Change:
    """A metric before and after. ``beyond_chance`` is ``None`` where too few clips can tell."""

    id: str
    metric: str
    before: float
    after: float
    cases: int
    low: float
    high: float
    beyond_chance: bool | None

    @property
    def moved(self) -> bool:
        """Whether anything differs at all."""
        return self.before != self.after or self.low != 0.0 or self.high != 0.0


@dataclass(frozen=True, slots=True)
class Count:
    """A plain number or share of each whole report, in words. No chance is reckoned."""

    what: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class Whole:
    """One instant or reading over all clips of one report; errors are ``None`` of none given."""

    given: Share
    mean: float | None
    median_size: float | None
    inside: Share


@dataclass(frozen=True, slots=True)
class Unpaired:
    """The same over two reports that share no clip; ``None`` for one that does not know it."""

    id: str
    unit: str
    before: Whole | None
    after: Whole | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """Two reports of one set. ``clips``: how many are the same file in both; ``counts`` are over
    all clips of each report, only those that differ. ``unpaired`` is there only where no clip is the
    same."""

    before: Mapping[str, str]
    clips: int
    clips_before: int
    clips_after: int
    changes: tuple[Change, ...]
    counts: tuple[Count, ...] = ()
    unpaired: tuple[Unpaired, ...] = ()


def compare(before: Outline, after: Outline, name: str) -> Comparison | None:
    """Compare one set, on clips that are the same in both; ``None`` when one report lacks it."""
    old, new = before.sets.get(name), after.sets.get(name)
    if old is None or new is None:
        return None
    same = {clip for clip, digest in new.clips.items() if old.clips.get(clip) == digest}
    changes: list[Change] = []
    for identifier in new.values:
        first, second = _of(old, identifier, same), _of(new, identifier, same)
        changes.extend(_changes(identifier, first, second))
    counts = _counts(old, new)
    return Comparison(
        before.made,
        len(same),
        len(old.clips),
        len(new.clips),
        tuple(changes),
        counts,
        () if same else _unpaired(old, new),
    )


def _unpaired(old: SetOutline, new: SetOutline) -> tuple[Unpaired, ...]:
    """Everything either report sums up, the new one's order first."""
    names = dict.fromkeys([*new.summary, *old.summary])
    return tuple(
        Unpaired(
            name,
            str((new.summary.get(name) or old.summary[name])["unit"]),
            _whole(old.summary.get(name)),
            _whole(new.summary.get(name)),
        )
        for name in names
    )


def _whole(summary: Mapping[str, Any] | None) -> Whole | None:
    """From an outline's summary, with Wilson intervals worked out again from the counts."""
    if summary is None:
        return None
    errors, inside = summary.get("errors", {}), summary["inside"]
    return Whole(
        wilson(summary["given"], summary["true"]),
        errors.get("mean"),
        errors.get("median_size"),
        wilson(inside["count"], inside["total"]),
    )


COUNTED = {
    "missed": "swings missed",
    "invented": "swings invented",
    "clips_refused": "clips refused",
    "clips_crashed": "clips crashed",
}
EVENTS = {"of_all": "correct events of all", "of_given": "correct events of those given"}


def _counts(old: SetOutline, new: SetOutline) -> tuple[Count, ...]:
    """Counts and shares of correct events that differ."""
    both = [(COUNTED[n], str(old.swings[n]), str(new.swings[n])) for n in COUNTED]
    for name, what in EVENTS.items():
        both.append((what, _events(old, name), _events(new, name)))
    return tuple(Count(what, a, b) for what, a, b in both if a != b)


def _events(one: SetOutline, name: str) -> str:
    share = one.correct_events[name]
    return f"{share['count']} of {share['total']}"


def _of(one: SetOutline, identifier: str, clips: set[str]) -> Values:
    values = one.values.get(identifier, {})
    return {key: value for key, value in values.items() if key.partition("#")[0] in clips}


def _changes(identifier: str, before: Values, after: Values) -> list[Change]:
    """Changes of the size of the error, of the bias, of what is given and of what is inside."""
    keys = sorted(set(before) & set(after))
    found: list[Change] = []
    both = [(key, a, b) for key in keys if (a := before[key]) and (b := after[key])]
    if both:
        clips = [key.partition("#")[0] for key, _, _ in both]
        old, new = (np.array([pair[side][0] for pair in both]) for side in (1, 2))
        found.append(_mean_change(identifier, SIZE, abs(old), abs(new), clips))
        found.append(_mean_change(identifier, BIAS, old, new, clips))
        sure = [(_inside(a), _inside(b)) for _, a, b in both]
        found.append(_share_change(identifier, INSIDE, sure))
    given = [(before[key] is not None, after[key] is not None) for key in keys]
    if given:
        found.append(_share_change(identifier, GIVEN, given))
    return found


def _inside(value: tuple[float, float | None]) -> bool:
    error, sigma = value
    return sigma is not None and abs(error) <= Z95 * sigma


def _mean_change(
    identifier: str,
    metric: str,
    before: np.ndarray[tuple[int], np.dtype[np.float64]],
    after: np.ndarray[tuple[int], np.dtype[np.float64]],
    clips: Sequence[str],
) -> Change:
    """Change of a mean, with the 95 % interval of the paired difference.

    Clips are drawn again with all their swings (bootstrap of clusters), because swings of one
    clip share its golfer, camera and light.
    """
    difference = after - before
    low, high = cluster_interval(difference, clips)
    moved = bool(np.any(difference != 0.0))
    enough = len(set(clips)) >= FEWEST_CLIPS
    return Change(
        identifier,
        metric,
        float(before.mean()),
        float(after.mean()),
        len(difference),
        low,
        high,
        (moved and (low > 0.0 or high < 0.0)) if enough else None,
    )


def cluster_interval(
    values: np.ndarray[tuple[int], np.dtype[np.float64]], clusters: Sequence[str]
) -> tuple[float, float]:
    """95 % interval of the mean of ``values`` when whole clusters are drawn again, same seed always."""
    names = sorted(set(clusters))
    place = {name: i for i, name in enumerate(names)}
    index = np.array([place[name] for name in clusters])
    sums = np.bincount(index, weights=values, minlength=len(names))
    counts = np.bincount(index, minlength=len(names))
    draws = np.random.default_rng(SEED).integers(0, len(names), (DRAWS, len(names)))
    means = sums[draws].sum(axis=1) / counts[draws].sum(axis=1)
    low, high = np.percentile(means, (2.5, 97.5))
    return float(low), float(high)


def _share_change(identifier: str, metric: str, pairs: Sequence[tuple[bool, bool]]) -> Change:
    """Change of a share: exact McNemar test, which looks only at the cases that changed sides."""
    gained = sum(not a and b for a, b in pairs)
    lost = sum(a and not b for a, b in pairs)
    changed = gained + lost
    p = 1.0 if changed == 0 else float(binomtest(gained, changed, 0.5).pvalue)
    share = [sum(pair[side] for pair in pairs) / len(pairs) for side in (0, 1)]
    beyond = p < RARE if len(pairs) >= FEWEST_CLIPS else None
    return Change(identifier, metric, share[0], share[1], len(pairs), -lost, gained, beyond)


def sentence(change: Change, unit: str) -> str:
    """One change in words, without a verdict."""
    name = f"{name_of(change.id)}: {change.metric}"
    moved = "rose" if change.after > change.before else "fell"
    if change.metric in SHARES:
        gained, lost = f"{change.high:.0f} gained", f"{-change.low:.0f} lost"
        before, after = f"{100.0 * change.before:.0f} %", f"{100.0 * change.after:.0f} %"
        moved = "stayed" if change.after == change.before else moved
        return f"{name} {moved} from {before} to {after} of {change.cases} ({gained}, {lost})."
    sign = change.metric == BIAS
    before, after = (number(value, unit, sign=sign) for value in (change.before, change.after))
    low, high = (number(value, unit, sign=True) for value in (change.low, change.high))
    return (
        f"{name} {moved} from {before} to {after} {unit} over {change.cases} "
        f"(difference, 95 %: {low} to {high})."
    )

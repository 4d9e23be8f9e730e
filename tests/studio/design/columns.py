"""Columns of a designed sample: every dial spread evenly over its range, both ends included, and
every member of an enumeration as often as its weight says, in an order drawn from a seed.

This is Latin hypercube sampling (McKay, Beckman & Conover 1979, Technometrics 21:239), with the
outermost strata moved to the ends of the range, and with couplings made by ranks (the idea of Iman
& Conover 1982, Commun. Stat. B 11:311): a column's values stay as they are, and ``by`` says which
rows get the larger ones.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Rows = NDArray[np.bool_]
"""Which rows: one flag each."""
T = TypeVar("T")


class Columns:
    """Draws columns of ``count`` rows. Columns drawn in the same order from the same seed are the
    same.
    """

    def __init__(self, seed: int | tuple[int, ...], count: int) -> None:
        self.count = count
        self._random = np.random.default_rng(seed)

    def noise(self) -> Array:
        """Standard normal numbers, to blur a coupling with."""
        return self._random.standard_normal(self.count)

    def spread(self, low: float, high: float, by: ArrayLike | None = None) -> Array:
        """One value from each of ``count`` equal strata, the outermost at ``low`` and ``high``."""
        shares = (np.arange(self.count) + self._random.uniform(0.0, 1.0, self.count)) / self.count
        shares[0], shares[-1] = 0.0, 1.0
        return (low + (high - low) * shares)[self._ranks(by)]

    def peaked(self, low: float, middle: float, high: float, by: ArrayLike | None = None) -> Array:
        """As ``spread``, but half of the values within a third of the way from ``middle`` to an end."""
        side = self.spread(-1.0, 1.0, by)
        reach = np.where(side < 0.0, middle - low, high - middle)
        return middle + reach * np.sign(side) * np.abs(side) ** 1.6

    def dealt(self, weights: Mapping[T, float], by: ArrayLike | None = None) -> list[T]:
        """Members in proportion to their weights, each at least once, in the order of ``weights``
        along ``by`` (the first go to the rows with the smallest).
        """
        deck = [member for member, n in self._counts(weights).items() for _ in range(n)]
        return [deck[rank] for rank in self._ranks(by)]

    def chosen(self, some: int, by: ArrayLike | None = None) -> Rows:
        """True in ``some`` rows: those with the smallest ``by``."""
        return self._ranks(by) < some

    def exclusive(self, first: int, second: int) -> tuple[Rows, Rows]:
        """Two groups of so many rows that share none."""
        ranks = self._ranks(None)
        return ranks < first, (ranks >= first) & (ranks < first + second)

    def among(self, rows: Rows, low: float, high: float, other: float = 0.0) -> Array:
        """Spread over the rows that are true, both ends included; ``other`` in the rest."""
        some = int(rows.sum())
        column = np.full(self.count, other)
        inner = Columns(int(self._random.integers(2**32)), some)
        column[rows] = inner.spread(low, high) if some > 1 else high
        return column

    def _ranks(self, by: ArrayLike | None) -> NDArray[np.int_]:
        score = self._random.uniform(size=self.count) if by is None else np.asarray(by, float)
        return np.argsort(np.argsort(score, kind="stable"), kind="stable")

    def _counts(self, weights: Mapping[T, float]) -> dict[T, int]:
        """Whole numbers that add up to ``count``, by largest remainders, none below 1."""
        total = sum(weights.values())
        wanted = {member: weight / total * self.count for member, weight in weights.items()}
        counts = {member: max(1, int(share)) for member, share in wanted.items()}
        while (left := self.count - sum(counts.values())) != 0:
            step = 1 if left > 0 else -1
            counts[_most_due(wanted, counts, step)] += step
        return counts


def _most_due(wanted: Mapping[T, float], counts: Mapping[T, int], step: int) -> T:
    able = [member for member in counts if step > 0 or counts[member] > 1]
    return max(able, key=lambda member: step * (wanted[member] - counts[member]))


def rows_of(make: Callable[..., T], **columns: Iterable[Any]) -> list[T]:
    """One value of ``make`` for each row, from columns by the names of its parameters. Numbers of
    numpy become Python's.
    """
    plain = {name: [_plain(cell) for cell in column] for name, column in columns.items()}
    cells = zip(*plain.values(), strict=True)
    return [make(**dict(zip(plain, row, strict=True))) for row in cells]


def _plain(cell: object) -> object:
    return cell.item() if isinstance(cell, np.generic) else cell

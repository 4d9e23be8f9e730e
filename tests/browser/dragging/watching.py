"""Drags a point by real pointer events and says, move by move, when the number beside it was painted anew."""

import itertools
import math
import statistics
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from playwright.sync_api import Page

from tests.browser.desk import DeskPage

_WATCH = (Path(__file__).parent / "watch.js").read_text()
_SETTLES_MS = 300
_FRAME = """() => new Promise(resolve => {
  const times = [];
  const next = at => { times.push(at); times.length < 62 ? requestAnimationFrame(next) : resolve(times); };
  requestAnimationFrame(next);
})"""


@dataclass(frozen=True, slots=True)
class Move:
    """One move of the pointer. Times in ms of the page's clock."""

    happened_ms: float
    """When the browser got it."""
    handed_out_ms: float
    """When the page's scripts got it."""
    changed_ms: float | None
    """When the number changed, None where it did not."""
    painted_ms: float
    """When the main thread was done with the next frame."""
    in_next_frame: bool | None
    """Whether that frame has the new number. None: the number is the same, as a small move may leave it."""

    @classmethod
    def read(cls, told: dict[str, Any]) -> Self:
        """From what ``watch.js`` noted."""
        by_then, later = told["atPaint"] != told["before"], told["later"] != told["before"]
        return cls(
            told["happenedAt"],
            told["handedOutAt"],
            told["changedAt"],
            told["paintedAt"],
            by_then if by_then or later else None,
        )

    @property
    def work_ms(self) -> float:
        """From the scripts' getting it to the end of its frame: longer than a frame, and the frame is late."""
        return self.painted_ms - self.handed_out_ms

    @property
    def wait_ms(self) -> float:
        """From the hand to the end of the frame, with the wait for that frame to begin."""
        return self.painted_ms - self.happened_ms


@dataclass(frozen=True, slots=True)
class Drag:
    """What was measured over one drag. ``frame_ms``: how long the display shows a frame."""

    frame_ms: float
    moves: Sequence[Move]

    @property
    def telling(self) -> list[Move]:
        """The moves that changed the number."""
        return [move for move in self.moves if move.in_next_frame is not None]

    @property
    def share_in_next_frame(self) -> float:
        """Of those, how many were in the frame painted next, however late it came."""
        return statistics.fmean(bool(move.in_next_frame) for move in self.telling)

    @property
    def share_within_a_frame(self) -> float:
        """How many were in it and had it ready within one display frame."""
        kept = (bool(one.in_next_frame) and one.work_ms <= self.frame_ms for one in self.telling)
        return statistics.fmean(kept)

    def spread(self, name: str) -> tuple[float, float, float]:
        """Median, 95 % and worst of ``work_ms`` or ``wait_ms`` over the telling moves, ms."""
        values = sorted(getattr(move, name) for move in self.telling)
        return values[len(values) // 2], values[math.ceil(len(values) * 0.95) - 1], values[-1]


def drag_clubhead(desk: DeskPage, *, moves: int) -> Drag:
    """On the frame on show of a coach's desk; the number is the one in the picture."""
    box = desk.point("Clubhead").bounding_box()
    assert box is not None
    middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    return drag(desk.page, middle, pane="main", number=".pane .figure", moves=moves)


def drag(page: Page, start: tuple[float, float], *, pane: str, number: str, moves: int) -> Drag:
    """Take what is at ``start`` (CSS px of the window) and lead it round in rings, ``moves`` times.

    ``pane`` and ``number`` are selectors: where the number may change, and the number itself.
    """
    frame_ms = _frame_ms(page)
    page.mouse.move(*start)
    page.mouse.down()
    page.evaluate(_WATCH, {"pane": pane, "number": number})
    for at in _rings(start, moves):
        page.mouse.move(*at)
    page.wait_for_timeout(_SETTLES_MS)
    told = page.evaluate("() => window.__dragWatch.end()")
    page.mouse.up()
    return Drag(frame_ms, [Move.read(one) for one in told if one["paintedAt"] is not None])


def _rings(start: tuple[float, float], moves: int) -> Iterator[tuple[float, float]]:
    """Growing and shrinking rings: every step is some pixels, and none is the one before."""
    for step in range(1, moves + 1):
        radius = 20 + 12 * math.sin(step / 17)
        turn = step * 0.35
        yield start[0] + radius * math.cos(turn), start[1] + radius * math.sin(turn)


def _frame_ms(page: Page) -> float:
    """How far apart frames come while nothing is done."""
    times: list[float] = page.evaluate(_FRAME)
    return statistics.median(after - before for before, after in itertools.pairwise(times))

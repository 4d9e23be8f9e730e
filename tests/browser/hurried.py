"""A hurried coach: three reviews of the demo from waiting to sent, by keyboard, by mouse and by touch, counted and timed.

``python -m tests.browser.hurried`` prints, for each review and in sum, the keys besides the words, clicks or taps, drags, how often the page
had to be scrolled for the next thing to press, the letters typed, and the seconds that the machine took; and writes them to
``var/bench/hurried.json``. The coach looks at the picture, by mouse and by touch moves a point, gives the first drill that fits, writes one
main thing and sends. Nobody thinks: a person is slower. All three begin with the same academy, measured once.
"""

import json
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

from playwright.sync_api import (
    Browser,
    BrowserContext,
    Locator,
    Page,
    StorageState,
    ViewportSize,
    expect,
)
from rich.console import Console
from rich.table import Table

from tests.browser.conftest import DESK
from tests.browser.demo_house import open_demo, sign_in, wait_until_waiting
from tests.browser.desk import DeskPage
from tests.browser.house import House, open_house, waits_for
from tests.chromium import open_chromium

REVIEWS = 3
WORDS = "Let the chest carry the arms a little longer."
KEPT = Path("var/bench/hurried.json")
TABLET: ViewportSize = {"width": 1024, "height": 768}
_MOST_TABS = 150
_OPENS_WITHIN_MS = 60_000
_DRAGGED_PX = (9.0, 6.0)
_DRAG_STEPS = 6


@dataclass(slots=True)
class Steps:
    """What one review took, step by step: keys, presses and machine seconds by the step's name."""

    keys: dict[str, int] = field(default_factory=dict)
    presses: dict[str, int] = field(default_factory=dict)
    """Clicks, or taps."""
    seconds: dict[str, float] = field(default_factory=dict)
    letters: int = 0
    drags: int = 0
    scrolls: int = 0
    """How often what was to be pressed next lay outside the window."""


class Hand:
    """Presses keys and counts them under the step in hand."""

    def __init__(self, page: Page) -> None:
        self.page, self.steps, self._step = page, Steps(), ""

    def step(self, name: str, do: Callable[[], None]) -> None:
        """Do a step, counted and timed."""
        self._step = name
        self.steps.keys.setdefault(name, 0)
        self.steps.presses.setdefault(name, 0)
        began = time.perf_counter()
        do()
        spent = self.steps.seconds.get(name, 0.0)
        self.steps.seconds[name] = spent + time.perf_counter() - began

    def press(self, *keys: str) -> None:
        """Keys that are no words."""
        for key in keys:
            self.page.keyboard.press(key)
            self.steps.keys[self._step] += 1

    def write(self, words: str) -> None:
        """Words, counted by letters."""
        self.page.keyboard.type(words)
        self.steps.letters += len(words)

    def reach(self, target: Locator) -> None:
        """By Tab, as often as it takes; nothing where the focus is there already."""
        expect(target).to_be_visible()
        for _ in range(_MOST_TABS):
            if target.evaluate("element => element === document.activeElement"):
                return
            self.press("Tab")
        raise AssertionError(f"{target} is not reached by Tab")


class Pointer(Hand):
    """A hand with a mouse, or a finger on the screen."""

    def __init__(self, page: Page, *, touch: bool) -> None:
        super().__init__(page)
        self.touch = touch

    def press_on(self, target: Locator) -> None:
        """A click, or a tap; scrolled to first where it is not on the screen."""
        self._bring(target)
        if self.touch:
            target.tap()
        else:
            target.click()
        self.steps.presses[self._step] += 1

    def choose_first(self, target: Locator) -> None:
        """The first of a list that unfolds: one press opens it, one takes it."""
        self._bring(target)
        target.select_option(index=1)
        self.steps.presses[self._step] += 2

    def drag(self, target: Locator) -> None:
        """Some pixels, by real events of a mouse or of a finger."""
        self._bring(target)
        box = target.bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        way = [
            (x + _DRAGGED_PX[0] * step / _DRAG_STEPS, y + _DRAGGED_PX[1] * step / _DRAG_STEPS)
            for step in range(_DRAG_STEPS + 1)
        ]
        if self.touch:
            self._pull(way)
        else:
            self.page.mouse.move(*way[0])
            self.page.mouse.down()
            for at in way[1:]:
                self.page.mouse.move(*at)
            self.page.mouse.up()
        self.steps.drags += 1

    def _pull(self, way: Sequence[tuple[float, float]]) -> None:
        finger = self.page.context.new_cdp_session(self.page)
        for index, (x, y) in enumerate(way):
            kind = "touchMove" if index else "touchStart"
            finger.send(
                "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y}]}
            )
        finger.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        finger.detach()

    def _bring(self, target: Locator) -> None:
        expect(target).to_be_visible()
        box, window = target.bounding_box(), self.page.viewport_size
        assert box is not None
        assert window is not None
        if box["y"] < 0 or box["y"] + box["height"] > window["height"]:
            target.scroll_into_view_if_needed()
            self.steps.scrolls += 1


def main() -> int:
    """Review, count, print: each way on a copy of the same academy."""
    console = Console()
    found: dict[str, list[Steps]] = {}
    with tempfile.TemporaryDirectory(prefix="fl-hurried-") as folder, open_chromium() as browser:
        measured = Path(folder) / "house"
        with open_demo(measured) as (house, links):
            context, page = sign_in(browser, links["coach"], DESK)
            _let_all_wait(page, house)
            coach = context.storage_state()
            context.close()
        for way in ("keyboard", "mouse", "touch"):
            copy = Path(folder) / way
            shutil.copytree(measured, copy)
            with open_house(copy) as house:
                found[way] = _three(browser, house, coach, way)
            console.print(_table(way, found[way]))
    KEPT.parent.mkdir(parents=True, exist_ok=True)
    KEPT.write_text(json.dumps({way: list(map(asdict, done)) for way, done in found.items()}))
    return 0


def _three(browser: Browser, house: House, coach: StorageState, way: str) -> list[Steps]:
    context = _window(browser, coach, touch=way == "touch")
    page = context.new_page()
    page.goto(f"{house.base_url}/desk/")
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
    # A house that has just started is slow at its first page.
    expect(page.locator("[data-id]")).to_have_count(REVIEWS, timeout=_OPENS_WITHIN_MS)
    done = []
    for number in range(REVIEWS):
        hand = Hand(page) if way == "keyboard" else Pointer(page, touch=way == "touch")
        hand.step("take", lambda: _take(hand, first=number == 0))  # noqa: B023 - called at once
        _review(hand, DeskPage(page, house))
        done.append(hand.steps)
    context.close()
    return done


def _window(browser: Browser, coach: StorageState, *, touch: bool) -> BrowserContext:
    """Cookies are of the machine, whatever the port: the coach is signed in at each copy."""
    size = TABLET if touch else DESK
    return browser.new_context(viewport=size, has_touch=touch, storage_state=coach)


def _let_all_wait(page: Page, house: House) -> None:
    """The demo's coach hands back what they hold, so that three wait."""
    csrf = page.request.get(f"{house.base_url}/api/v1/me").json()["csrf_token"]
    held = page.request.get(f"{house.base_url}/api/v1/reviews?state=mine").json()["items"]
    for one in held:
        url = f"{house.base_url}/api/v1/reviews/{one['id']}/release"
        assert page.request.post(url, headers={"X-CSRF-Token": csrf}).ok
    wait_until_waiting(page, house, REVIEWS)


def _take(hand: Hand, *, first: bool) -> None:
    after = hand.page.get_by_role("button", name="Take the next one")
    if isinstance(hand, Pointer):
        hand.press_on(after)
        expect(after).to_have_count(0)
        return
    if first:
        hand.press("n")
        return
    hand.reach(after)
    hand.press("Enter")
    expect(after).to_have_count(0)


def _review(hand: Hand, desk: DeskPage) -> None:
    page = hand.page
    hand.step("open", desk.wait_for_picture)
    if isinstance(hand, Pointer):
        hand.step("point", lambda: _move_a_point(hand, desk))
    hand.step("drill", lambda: _give_a_drill(hand))
    hand.step("words", lambda: _write(hand, desk))
    hand.step("send", lambda: _send(hand))
    hand.step(
        "sent", lambda: expect(page.get_by_role("status").filter(has_text="Sent,")).to_be_visible()
    )
    assert desk.server()["submission"]["answer"]["text"].startswith(WORDS)
    assert desk.server()["submission"]["answer"]["drills"]


def _move_a_point(hand: Pointer, desk: DeskPage) -> None:
    """A point that is not quite right is put right; the number follows."""
    figure = hand.page.locator(".pane .figure")
    before, placed = figure.inner_text(), len(desk.server()["draft"]["points"])
    hand.drag(desk.point("Clubhead"))
    expect(figure).not_to_have_text(before)
    assert waits_for(lambda: len(desk.server()["draft"]["points"]) == placed + 1, 10)


def _give_a_drill(hand: Hand) -> None:
    page = hand.page
    given = page.locator("[data-part=drills] [role=group]")
    if given.count() > 0:  # the draft has one
        return
    fitting = page.get_by_role("list", name="Drills that fit the findings")
    if isinstance(hand, Pointer):
        if fitting.count() > 0:
            hand.press_on(fitting.get_by_role("button").first)
        else:
            hand.choose_first(page.get_by_label("Drill", exact=True))
            hand.press_on(page.locator("[data-part=drills]").get_by_role("button", name="Add"))
        expect(given).to_have_count(1)
        return
    hand.press("d")
    if fitting.count() > 0:
        hand.reach(fitting.get_by_role("button").first)
        hand.press("Enter")
    else:
        hand.reach(page.get_by_label("Drill", exact=True))
        hand.write("Feet")
        hand.reach(page.locator("[data-part=drills]").get_by_role("button", name="Add"))
        hand.press("Enter")
    expect(given).to_have_count(1)


def _write(hand: Hand, desk: DeskPage) -> None:
    if isinstance(hand, Pointer):
        hand.press_on(hand.page.get_by_role("textbox", name="Your answer"))
    else:
        hand.press("w")
    field_of_words = hand.page.get_by_role("textbox", name="Your answer")
    expect(field_of_words).to_be_focused()
    if field_of_words.input_value():  # what was begun is written over
        hand.press("Control+a")
    hand.write(WORDS)
    desk.saved()


def _send(hand: Hand) -> None:
    if isinstance(hand, Pointer):
        hand.press_on(hand.page.get_by_role("button", name="Send to"))
        return
    hand.press("Control+Enter")
    expect(hand.page.get_by_role("button", name="Send to")).to_be_focused()
    hand.press("Enter")


def _table(way: str, done: Sequence[Steps]) -> Table:
    table = Table(
        title=f"A hurried coach by {way}: keys besides the words + presses / machine seconds"
    )
    table.add_column("step")
    for number in range(1, len(done) + 1):
        table.add_column(f"review {number}")

    def cell(keys: int, presses: int, seconds: float) -> str:
        return f"{keys} + {presses} / {seconds:.1f}"

    def of(one: Mapping[str, int], name: str) -> int:
        return one.get(name, 0)

    for name in done[0].keys:
        cells = (
            cell(of(one.keys, name), of(one.presses, name), one.seconds.get(name, 0.0))
            for one in done
        )
        table.add_row(name, *cells)
    sums = (
        cell(sum(one.keys.values()), sum(one.presses.values()), sum(one.seconds.values()))
        for one in done
    )
    table.add_row("all", *sums)
    counts = (f"{one.letters}, {one.drags}, {one.scrolls}" for one in done)
    table.add_row("letters, drags, scrolls", *counts)
    return table


if __name__ == "__main__":
    sys.exit(main())

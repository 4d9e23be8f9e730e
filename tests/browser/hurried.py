"""A hurried coach at the keyboard: three reviews of the demo from waiting to sent, counted and timed.

``python -m tests.browser.hurried`` prints, for each review and in sum, the keys besides the words, the letters typed,
the clicks, and the seconds that the machine took; and writes them to ``var/bench/hurried.json``. The coach looks at the
picture, writes one main thing, gives the first drill that fits and sends. Nobody thinks: a person is slower.
"""

import json
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass, field
from pathlib import Path

from playwright.sync_api import Locator, Page, expect
from rich.console import Console
from rich.table import Table

from tests.browser.conftest import DESK
from tests.browser.demo_house import open_demo, sign_in, wait_until_waiting
from tests.browser.desk import DeskPage
from tests.browser.house import House
from tests.chromium import open_chromium

REVIEWS = 3
WORDS = "Let the chest carry the arms a little longer."
KEPT = Path("var/bench/hurried.json")
_MOST_TABS = 150


@dataclass(slots=True)
class Steps:
    """What one review took, step by step: keys and machine seconds by the step's name."""

    keys: dict[str, int] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)
    letters: int = 0
    clicks: int = 0


class Hand:
    """Presses keys and counts them under the step in hand."""

    def __init__(self, page: Page) -> None:
        self.page, self.steps, self._step = page, Steps(), ""

    def step(self, name: str, do: Callable[[], None]) -> None:
        """Do a step, counted and timed."""
        self._step = name
        self.steps.keys.setdefault(name, 0)
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


def main() -> int:
    """Review, count, print."""
    with (
        tempfile.TemporaryDirectory(prefix="fl-hurried-") as folder,
        open_demo(Path(folder) / "house") as (house, links),
        open_chromium() as browser,
    ):
        _, page = sign_in(browser, links["coach"], DESK)
        _let_all_wait(page, house)
        done = []
        for number in range(REVIEWS):
            hand = Hand(page)
            hand.step("take", lambda: _take(hand, first=number == 0))  # noqa: B023 - called at once
            _review(hand, DeskPage(page, house))
            done.append(hand.steps)
    Console().print(_table(done))
    KEPT.parent.mkdir(parents=True, exist_ok=True)
    KEPT.write_text(json.dumps([asdict(one) for one in done]))
    return 0


def _let_all_wait(page: Page, house: House) -> None:
    """The demo's coach hands back what they hold, so that three wait."""
    csrf = page.request.get(f"{house.base_url}/api/v1/me").json()["csrf_token"]
    held = page.request.get(f"{house.base_url}/api/v1/reviews?state=mine").json()["items"]
    for one in held:
        url = f"{house.base_url}/api/v1/reviews/{one['id']}/release"
        assert page.request.post(url, headers={"X-CSRF-Token": csrf}).ok
    wait_until_waiting(page, house, REVIEWS)
    page.reload()
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
    expect(page.locator("[data-id]")).to_have_count(REVIEWS)


def _take(hand: Hand, *, first: bool) -> None:
    if first:
        hand.press("n")
        return
    after = hand.page.get_by_role("button", name="Take the next one")
    hand.reach(after)
    hand.press("Enter")
    expect(after).to_have_count(0)


def _review(hand: Hand, desk: DeskPage) -> None:
    page = hand.page
    hand.step("open", desk.wait_for_picture)
    hand.step("drill", lambda: _give_a_drill(hand))
    hand.step("words", lambda: _write(hand, desk))
    hand.step("send", lambda: _send(hand))
    hand.step(
        "sent", lambda: expect(page.get_by_role("status").filter(has_text="Sent,")).to_be_visible()
    )
    assert desk.server()["submission"]["answer"]["text"].startswith(WORDS)
    assert desk.server()["submission"]["answer"]["drills"]


def _give_a_drill(hand: Hand) -> None:
    page = hand.page
    given = page.locator("[data-part=drills] [role=group]")
    if given.count() > 0:  # the draft has one
        return
    hand.press("d")
    fitting = page.get_by_role("list", name="Drills that fit the findings")
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
    hand.press("w")
    field_of_words = hand.page.get_by_role("textbox", name="Your answer")
    expect(field_of_words).to_be_focused()
    if field_of_words.input_value():  # what was begun is written over
        hand.press("Control+a")
    hand.write(WORDS)
    desk.saved()


def _send(hand: Hand) -> None:
    hand.press("Control+Enter")
    expect(hand.page.get_by_role("button", name="Send to")).to_be_focused()
    hand.press("Enter")


def _table(done: list[Steps]) -> Table:
    table = Table(title="A hurried coach: keys besides the words / machine seconds")
    table.add_column("step")
    for number in range(1, len(done) + 1):
        table.add_column(f"review {number}")
    for name in done[0].keys:
        cells = (f"{one.keys.get(name, 0)} / {one.seconds.get(name, 0.0):.1f}" for one in done)
        table.add_row(name, *cells)
    sums = (f"{sum(one.keys.values())} / {sum(one.seconds.values()):.1f}" for one in done)
    table.add_row("all", *sums)
    table.add_row("letters, clicks", *(f"{one.letters}, {one.clicks}" for one in done))
    return table


if __name__ == "__main__":
    sys.exit(main())

"""A coach answers two waiting reviews from the queue to sent, once by keyboard alone and once by touch alone.

Keys and taps are counted: a review that takes more than a hurried coach has patience for fails.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect

from api.http.deps import SESSION_COOKIE
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK
from tests.browser.desk import DeskPage
from tests.browser.house import House, open_house, waits_for
from tests.browser.numbered import Waiting, seed_waiting

pytestmark = [pytest.mark.browser, pytest.mark.slow]

TABLET: ViewportSize = {"width": 1024, "height": 768}
WORDS = "Let the chest carry the arms a little longer."
MOST_KEYS, MOST_TAPS = 38, 14
"""For one review, words typed apart: what they took when this was written, and a little more."""
MOST_TABS = 120


@pytest.fixture(scope="module")
def one_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    with open_house(tmp_path_factory.mktemp("house")) as house:
        yield house


@pytest.fixture
def waiting(one_house: House, tmp_path: Path) -> tuple[House, Waiting]:
    return one_house, seed_waiting(one_house, tmp_path, reviews=2)


class Keys:
    """A keyboard, and how often it was pressed."""

    def __init__(self, page: Page) -> None:
        self.page, self.pressed = page, 0

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1

    def tab_to(self, target: Locator, *, back: bool = False) -> None:
        """As somebody does who cannot see where the next Tab goes."""
        expect(target).to_be_visible()
        for _ in range(MOST_TABS):
            if target.evaluate("element => element === document.activeElement"):
                return
            self.press("Shift+Tab" if back else "Tab")
        raise AssertionError(f"{target} is not reached by Tab")


def test_by_keyboard_alone(browser: Browser, waiting: tuple[House, Waiting]) -> None:
    house, seeded = waiting
    with device(browser, DESK) as page:
        keys, desk = Keys(page), _open(page, house, seeded)
        keys.press("n")
        for left in (1, 0):
            _review_by_keys(keys, desk)
            if left:
                keys.tab_to(page.get_by_role("button", name="Take the next one"))
                keys.press("Enter")
                expect(page.get_by_role("button", name="Take the next one")).to_have_count(0)
        assert keys.pressed / 2 <= MOST_KEYS, keys.pressed


def _review_by_keys(keys: Keys, desk: DeskPage) -> None:
    page = keys.page
    desk.wait_for_picture()
    shown = desk.shown_value()
    keys.tab_to(desk.point("Clubhead"))
    keys.press("Shift+ArrowRight", "ArrowRight")
    desk.saved()
    assert desk.shown_value() != shown
    assert desk.reading()["source"] == "coach"
    keys.press("Control+z")
    assert waits_for(lambda: desk.shown_value() == shown, 10), "undo brings the number back"
    frame = desk.frame()
    keys.press(".", ".", ",")
    desk.expect_frame(frame + 1)
    keys.press("e")
    keys.tab_to(page.get_by_label("A finding of your own"))
    page.keyboard.type("Sway")
    keys.press("Tab", "Enter")
    finding = page.locator("[data-finding=sway]")
    expect(finding).to_have_attribute("data-judged", "accepted")
    # From the field that has the focus letters are typed: its list closes by leaving it.
    keys.tab_to(page.get_by_role("textbox", name="Your answer"))
    page.keyboard.type(WORDS)
    keys.tab_to(page.get_by_role("button", name="Feet together").first)
    keys.press("Enter")
    expect(page.get_by_role("group", name="Feet together")).to_be_visible()
    keys.press("Control+Enter")
    expect(page.get_by_role("button", name="Send to")).to_be_focused()
    keys.press("Enter")
    expect(page.get_by_role("status").filter(has_text="Sent,")).to_be_visible()
    answer = desk.server()["submission"]["answer"]
    assert (answer["text"], [one["code"] for one in answer["findings"]]) == (WORDS, ["sway"])
    assert [one["drill_id"] for one in answer["drills"]] == ["feet-together"]


def test_by_touch_alone(browser: Browser, waiting: tuple[House, Waiting]) -> None:
    house, seeded = waiting
    with device(browser, TABLET, phone=True) as page:
        desk = _open(page, house, seeded)
        taps = 0

        def tap(target: Locator) -> None:
            nonlocal taps
            target.tap()
            taps += 1

        tap(page.get_by_role("button", name="Take the next one"))
        for left in (1, 0):
            desk.wait_for_picture()
            shown = desk.shown_value()
            tap(desk.point("Clubhead"))
            box = page.locator(".pane").bounding_box()
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] * 0.5, box["y"] + box["height"] * 0.3)
            taps += 1
            desk.saved()
            assert desk.shown_value() != shown
            tap(page.get_by_role("button", name="Undo"))
            assert waits_for(lambda: desk.shown_value() == shown, 10)  # noqa: B023 - called here
            tap(page.get_by_label("A finding of your own"))
            page.get_by_label("A finding of your own").select_option("sway")
            tap(page.get_by_role("button", name="Add the finding"))
            tap(page.get_by_role("textbox", name="Your answer"))
            page.keyboard.type(WORDS)
            tap(page.get_by_role("button", name="Feet together").first)
            tap(page.get_by_role("button", name="Preview"))
            expect(page.get_by_role("heading", name="What stood out")).to_be_visible()
            assert_accessible(page, "preview")
            tap(page.get_by_role("button", name="Close").last)
            tap(page.get_by_role("button", name="Send to"))
            expect(page.get_by_role("status").filter(has_text="Sent,")).to_be_visible()
            if left:
                tap(page.get_by_role("button", name="Take the next one"))
                expect(page.get_by_role("button", name="Take the next one")).to_have_count(0)
        assert taps / 2 <= MOST_TAPS, taps


def _open(page: Page, house: House, seeded: Waiting) -> DeskPage:
    page.context.add_cookies(
        [{"name": SESSION_COOKIE, "value": seeded.cookie, "url": house.base_url}]
    )
    page.goto(f"{house.base_url}/desk/")
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
    return DeskPage(page, house)

"""A coach clears the queue with the keyboard alone: look, take the next one, hand it back."""

from uuid import UUID

import pytest
from playwright.sync_api import Browser, Page, expect

from api.db.models import Membership, Review
from tests.bench.queue_house import fill, rows_of, sign_in
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.house import House

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    # What the queue says of each database is tried without a browser.
    pytest.mark.parametrize("house", ["sqlite"], indirect=True),
]

WAITING = 400
MANY_MS = 15_000


def row_in_focus(page: Page) -> str:
    """The name of the student whose row has the focus."""
    return str(page.evaluate("document.activeElement?.querySelector('th')?.textContent ?? ''"))


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def test_the_queue_by_keyboard_alone(browser: Browser, house: House) -> None:
    filled = fill(house, WAITING)
    rosa, tom = filled.coaches[:2]
    with device(browser, DESK) as page, device(browser, PHONE) as other:
        sign_in(page, house, rosa)
        expect(page.get_by_text("Changes show at once.")).to_be_visible(timeout=MANY_MS)
        grid = page.get_by_role("grid", name="Reviews, by due time")
        expect(grid).to_have_attribute("aria-rowcount", str(WAITING + 1))
        assert grid.get_by_role("row").count() < 60, "only what is near the window is drawn"
        assert_accessible(page, "queue")
        _moves(page)
        _narrows_and_keeps_a_view(page)
        _sees_what_another_does(page, house, other, tom)
        _takes_and_hands_back(page)
        _is_told_of_a_lapse(page, house)
        _switches_letters_off(page)
        assert_accessible(other, "queue on a phone")


def _moves(page: Page) -> None:
    """Rows in focus are in view, and the focus is to be seen."""
    press(page, "j")
    first = row_in_focus(page)
    press(page, "ArrowDown", "ArrowDown", "ArrowUp", "ArrowUp")
    assert row_in_focus(page) == first
    press(page, "End")
    expect(page.locator("tr:focus")).to_have_attribute("aria-rowindex", "101")
    expect(page.locator("tr:focus")).to_be_in_viewport(ratio=0.9)
    # More came by itself, and what was on show did not move.
    expect(page.get_by_text(f"300 of {WAITING} are loaded")).to_be_attached()
    expect(page.locator("tr:focus")).to_be_in_viewport(ratio=0.9)
    press(page, "End")
    expect(page.locator("tr:focus")).to_have_attribute("aria-rowindex", "301")
    expect(page.get_by_text("are loaded; more come")).to_have_count(0)
    press(page, "End")
    expect(page.locator("tr:focus")).to_have_attribute("aria-rowindex", str(WAITING + 1))
    focused = page.locator("tr:focus")
    expect(focused).to_be_in_viewport(ratio=0.9)
    assert focused.evaluate("row => getComputedStyle(row).outlineStyle") == "solid"
    press(page, "Home")
    expect(page.locator("tr:focus")).to_have_attribute("aria-rowindex", "2")
    press(page, "Tab")
    expect(page.locator(":focus")).to_contain_text("Take this")
    press(page, "Shift+Tab")
    assert row_in_focus(page) == first


def _narrows_and_keeps_a_view(page: Page) -> None:
    press(page, "/")
    page.keyboard.type("driver")
    expect(page.get_by_text(f"of {WAITING}: “driver”")).to_be_visible()
    press(page, "Enter")
    expect(page.locator("tr:focus")).to_contain_text("Driver")
    press(page, "f")
    expect(page.get_by_label("Why", exact=True)).to_be_focused()
    page.keyboard.type("Late")
    expect(page.get_by_text(f"of {WAITING}: Late, “driver”")).to_be_visible()
    press(page, "Escape", "v", "Enter")
    page.keyboard.type("Late drivers")
    press(page, "Enter")
    kept = page.get_by_role("button", name="Late drivers", exact=True)
    expect(kept).to_have_attribute("aria-pressed", "true")
    press(page, "2")
    expect(page.get_by_role("button", name="With me 0")).to_have_attribute("aria-pressed", "true")
    press(page, "v", "Enter")
    expect(page.get_by_text(f"of {WAITING}: Late, “driver”")).to_be_visible()
    expect(kept).to_have_attribute("aria-pressed", "true")
    assert_accessible(page, "queue with filters and a view")
    page.get_by_role("button", name="Show all").focus()
    press(page, "Enter")
    expect(page.get_by_text(f"of {WAITING}: ")).to_have_count(0)


def _sees_what_another_does(page: Page, house: House, other: Page, tom: Membership) -> None:
    """Rows above the one in focus go; focus and scroll place stay."""
    press(page, "j", "End")
    expect(page.locator("tr:focus")).to_be_in_viewport()
    name = row_in_focus(page)
    box = page.locator("tr:focus").bounding_box()
    sign_in(other, house, tom)
    other.get_by_role("button", name="Take the next one").click()
    other.wait_for_url("**/reviews/**")
    expect(page.get_by_role("button", name=f"Waiting {WAITING - 1}")).to_be_visible(timeout=MANY_MS)
    assert row_in_focus(page) == name
    after = page.locator("tr:focus").bounding_box()
    assert box is not None
    assert after is not None
    assert abs(after["y"] - box["y"]) < 2
    press(page, "3")
    expect(page.get_by_role("row").filter(has_text="until")).to_have_count(1)
    other.goto(f"{house.base_url}/desk/")
    expect(other.get_by_role("heading", name="With you now")).to_be_visible()
    press(page, "1")


def _takes_and_hands_back(page: Page) -> None:
    press(page, "n")
    page.wait_for_url("**/reviews/**")
    page.go_back()
    expect(page.get_by_role("heading", name="With you now")).to_be_visible()
    press(page, "2")
    expect(page.get_by_role("row").filter(has_text="You")).to_have_count(1)
    press(page, "j")
    expect(page.locator("tr:focus")).to_contain_text("You")
    press(page, "h")
    expect(page.get_by_text("You hold nothing.")).to_be_visible()
    expect(page.get_by_role("button", name=f"Waiting {WAITING - 1}")).to_be_visible()
    expect(page.locator(":focus")).to_have_text("With me 0")
    press(page, "1")


def _is_told_of_a_lapse(page: Page, house: House) -> None:
    with page.expect_response("**/renew"):  # opening a review renews its claim
        press(page, "n")
    review_id = page.url.rsplit("/", 1)[1]
    page.go_back()
    expect(page.get_by_role("heading", name="With you now")).to_be_visible()
    with rows_of(house) as factory, factory.begin() as session:
        review = session.get_one(Review, UUID(review_id))
        review.lease_ends_at = review.created_at
    expect(page.get_by_text("Your claim on")).to_be_visible(timeout=MANY_MS)
    assert_accessible(page, "a claim that ran out")
    page.get_by_role("button", name="All right").focus()
    press(page, "Enter")
    expect(page.get_by_text("Your claim on")).to_have_count(0)


def _switches_letters_off(page: Page) -> None:
    press(page, "?")
    switch = page.get_by_role("checkbox", name="Single letters are keys")
    expect(switch).to_be_focused()
    assert_accessible(page, "keys")
    press(page, "Space", "Escape", "n", "2")
    expect(page.get_by_role("heading", name="Queue")).to_be_visible()
    expect(page.get_by_role("button", name="Waiting")).to_have_attribute("aria-pressed", "true")

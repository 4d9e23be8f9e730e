"""A coach asks a colleague, who answers; the answer goes out; a third coach reads it blindly; the office sees figures."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from api.http.deps import SESSION_COOKIE
from tests.browser.accessible import assert_accessible
from tests.browser.acts import device
from tests.browser.conftest import DESK, PHONE
from tests.browser.desk import DeskPage
from tests.browser.house import House, open_house
from tests.browser.numbered import Colleagues, seed_colleagues

pytestmark = [pytest.mark.browser, pytest.mark.slow]

QUESTION = "Set too early, or only the angle of the camera?"
HIS = "The camera stands low. I would leave the set alone."
HERS = "Let the chest carry the arms a little longer."

Look = Callable[[Page, str], None]
"""Called with a page and what it shows."""


@pytest.fixture
def place(tmp_path: Path) -> Iterator[tuple[House, Colleagues]]:
    with open_house(tmp_path / "house") as house:
        yield house, seed_colleagues(house, tmp_path)


def test_asked_answered_sent_and_read_blindly(
    browser: Browser, place: tuple[House, Colleagues]
) -> None:
    house, people = place
    walk(browser, house, people, assert_accessible)


def walk(browser: Browser, house: House, people: Colleagues, look: Look) -> None:
    """The whole way; ``look`` is called wherever there is something to see."""
    with device(browser, DESK) as rosa, device(browser, PHONE, phone=True) as tom:
        main = _asks(rosa, house, people, look)
        _answers(tom, house, people, look)
        _reads_and_sends(rosa, people, look)
        with device(browser, PHONE, phone=True) as mira:
            _sign_in(mira, house, people.student)
            mira.goto(f"{house.base_url}/student/#/clips/{people.submission_id}")
            expect(mira.get_by_text(HERS)).to_be_visible()
            for secret in (QUESTION, HIS, people.colleague_name):
                expect(mira.get_by_text(secret)).to_have_count(0)
    with device(browser, DESK) as ivo:
        _reads_blindly(ivo, house, people, main, look)
    with device(browser, DESK) as office:
        _sees_figures(office, house, people, look)


def _sign_in(page: Page, house: House, cookie: str) -> None:
    page.context.add_cookies([{"name": SESSION_COOKIE, "value": cookie, "url": house.base_url}])


def _take(page: Page, house: House, cookie: str) -> DeskPage:
    """From the queue to the desk, by the only row."""
    _sign_in(page, house, cookie)
    page.goto(f"{house.base_url}/desk/")
    page.get_by_role("button", name="Take this").click()
    page.wait_for_url("**/reviews/**")
    desk = DeskPage(page, house)
    desk.wait_for_picture()
    return desk


def _asks(page: Page, house: House, people: Colleagues, look: Look) -> str:
    desk = _take(page, house, people.asker)
    page.get_by_role("textbox", name="Your answer").fill(HERS)
    desk.saved()
    page.get_by_role("button", name="Ask a colleague").click()
    form = page.get_by_role("form", name="Ask a colleague")
    form.get_by_label("Whom?").select_option(label=people.colleague_name)
    form.get_by_label("What do you want to know?").fill(QUESTION)
    form.scroll_into_view_if_needed()
    look(page, "asking a colleague")
    form.get_by_role("button", name="Ask", exact=True).click()
    expect(page.get_by_text(f"It waits in {people.colleague_name}’s queue.")).to_be_visible()  # noqa: RUF001 - as it is written
    # Sending does not wait for it.
    expect(page.get_by_role("button", name="Send to Mira Sand")).to_be_enabled()
    return desk.review_id


def _answers(page: Page, house: House, people: Colleagues, look: Look) -> None:
    _sign_in(page, house, people.colleague)
    page.goto(f"{house.base_url}/desk/")
    row = page.get_by_role("row").filter(has_text=f"{people.asker_name} asks for a second opinion")
    expect(row).to_contain_text(QUESTION)
    look(page, "a question in the queue")
    desk = _take(page, house, people.colleague)
    expect(page.locator("[data-part=question]")).to_contain_text(QUESTION)
    expect(page.get_by_text(HERS)).to_have_count(0)
    expect(page.get_by_role("button", name="Ask a colleague")).to_have_count(0)
    give = page.get_by_role("button", name=f"Give this to {people.asker_name}")
    expect(give).to_be_disabled()
    page.get_by_role("textbox", name="Your opinion").fill(HIS)
    desk.saved()
    look(page, "a second opinion")
    give.click()
    expect(page.get_by_text(f"Given to {people.asker_name}")).to_be_visible()
    link = page.get_by_role("link", name=f"Look at {people.asker_name}’s draft")  # noqa: RUF001 - as it is written
    link.click()
    expect(page.get_by_role("textbox", name="Your answer")).to_have_value(HERS)


def _reads_and_sends(page: Page, people: Colleagues, look: Look) -> None:
    """It comes by itself."""
    card = page.get_by_role("article", name=f"Opinion of {people.colleague_name}")
    expect(card).to_contain_text(HIS, timeout=30_000)
    card.scroll_into_view_if_needed()
    look(page, "an opinion beside one's own")
    page.get_by_role("button", name="Send to Mira Sand").click()
    expect(page.get_by_text("You can call it back.")).to_be_visible()


def _reads_blindly(page: Page, house: House, people: Colleagues, main: str, look: Look) -> None:
    _sign_in(page, house, people.reader)
    page.goto(f"{house.base_url}/desk/")
    expect(page.get_by_role("row").filter(has_text="Blind double read")).to_be_visible()
    look(page, "a blind read in the queue")
    desk = _take(page, house, people.reader)
    expect(page.locator("[data-part=blind]")).to_contain_text("Blind double read.")
    for secret in (HERS, HIS, people.asker_name, people.colleague_name):
        expect(page.get_by_text(secret)).to_have_count(0)
    shown = desk.shown_value()
    desk.point("Clubhead").focus()
    page.keyboard.press("Shift+ArrowRight")
    expect(
        page.locator(f"[data-checkpoint=lead_arm_shaft_angle]:not([data-value='{shown}'])")
    ).to_be_visible()
    look(page, "a blind read")
    # The answer is not to be found from here.
    other = page.context.new_page()
    other.goto(f"{house.base_url}/desk/#/reviews/{main}")
    expect(other.get_by_text("There is no such review")).to_be_visible()
    other.close()
    page.get_by_role("button", name="Commit this read").click()
    expect(page.get_by_text("Nobody is shown this read")).to_be_visible()
    look(page, "a blind read committed")


def _sees_figures(page: Page, house: House, people: Colleagues, look: Look) -> None:
    _sign_in(page, house, people.admin)
    page.goto(f"{house.base_url}/office/#/agreement")
    expect(page.get_by_text("1 answer has been read twice; 0 reads wait")).to_be_visible()
    row = page.locator("[data-checkpoint=lead_arm_shaft_angle]")
    expect(row).to_contain_text("1 of the 30 pairs that it takes")
    share = page.get_by_label("How many of 100 answers are read again?")
    expect(share).to_have_value("100")
    share.fill("12.5")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("From now on 12.5 of 100 answers are read again.")).to_be_visible()
    look(page, "agreement in the office")
    page.reload()
    expect(share).to_have_value("12.5")

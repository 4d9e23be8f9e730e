"""What a person does with the pages, step by step: for the whole-path test and the screenshots.

Everything is found by its name or role, as a person or a screen reader finds it.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect

from tests.browser.house import House

CLIPS = Path(__file__).resolve().parents[1] / "clips"
MEASURED_WITHIN_MS = 180_000
"""A clip takes some 15 s on two quiet cores; a full test run shares them."""

_LINK = re.compile(r"https?://\S+")


def found_academy(house: House, *, name: str, admin: str, email: str, zone: str) -> str:
    """Found an academy; returns the link of its first admin's invitation."""
    said = house.run(
        "api.found", name, "--admin-name", admin, "--admin-email", email, "--time-zone", zone
    )
    found = _LINK.search(said)
    assert found, said
    return found[0]


@contextmanager
def device(
    browser: Browser, size: ViewportSize, *, phone: bool = False, routed: bool = False
) -> Iterator[Page]:
    """A browser of its own, as big as one device: own cookies, own storage.

    ``routed``: without service workers, past which a test that cuts single requests does not get.
    """
    context: BrowserContext = browser.new_context(
        viewport=size,
        has_touch=phone,
        device_scale_factor=2 if phone else 1,
        locale="en-GB",
        reduced_motion="reduce",
        service_workers="block" if routed else "allow",
    )
    context.set_default_timeout(20_000)
    try:
        yield context.new_page()
    finally:
        context.close()


def accept_invitation(page: Page, link: str) -> None:
    """Open an invitation's link and press the button."""
    page.goto(link)
    page.get_by_role("button", name="Accept and sign in").click()


def say_of_age_and_agree(page: Page) -> None:
    """The two steps of joining that a clip needs; the rest is left for later."""
    expect(page.get_by_role("heading", name="Your age")).to_be_visible()
    page.get_by_label("I am 18 or older").check()
    page.get_by_role("button", name="Go on").click()
    expect(page.get_by_role("heading", name="What happens with your clips")).to_be_visible()
    page.get_by_role("button", name="I agree", exact=True).click()
    expect(page.get_by_role("heading", name="How you play")).to_be_visible()
    page.get_by_role("link", name="Leave it for now").click()


def invite(admin: Page, name: str, email: str, role: str) -> None:
    """From the office page."""
    form = admin.get_by_role("form", name="Invite somebody")
    form.get_by_label("Name").fill(name)
    form.get_by_label("Mail address").fill(email)
    form.get_by_label("As").select_option(role)
    form.get_by_role("button", name="Send the invitation").click()
    expect(admin.get_by_text(f"{name} has been invited.")).to_be_visible()


def mailed_link(page: Page, house: House, email: str) -> str:
    """The link in the newest mail to an address, from the demo's outbox page."""
    page.goto(f"{house.base_url}/outbox/")
    letter = page.get_by_role("article").filter(has_text=f"To {email},").first
    link = letter.get_by_role("link").first.get_attribute("href")
    assert link, f"no mail with a link went to {email}"
    return link


def fill_new_clip(page: Page, *, view: str, clip: Path, note: str) -> None:
    """The form of a new clip, with a club added on the way."""
    page.get_by_role("link", name="Send a clip").first.click()
    expect(page.get_by_role("heading", name="Send a clip")).to_be_visible()
    page.get_by_label(f"{view} clip").set_input_files(clip)
    expect(page.get_by_label("Club", exact=True)).to_be_enabled()
    if page.get_by_role("group", name="Add a club").count() == 0:
        page.get_by_role("button", name="Add a club").click()
    page.get_by_label("Name", exact=True).fill("7-iron")
    page.get_by_label("Length, cm").fill("94")
    page.get_by_role("button", name="Keep this club").click()
    expect(page.get_by_role("group", name="Add a club")).to_have_count(0)
    page.get_by_label("What would you like to know?").fill(note)


def press_send(page: Page) -> None:
    """Hand the new clip to the page, which sends it."""
    page.get_by_role("button", name="Send to my coach").click()
    expect(page.get_by_role("heading", name="My clips")).to_be_visible()

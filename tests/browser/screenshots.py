"""Pictures of the pages for the README: ``python -m tests.browser.screenshots``.

Fills the invented academy on a throwaway house, with every clip measured for real, and looks at what
a student reads on a phone and what a coach works with.
"""

import json
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, ViewportSize, expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.house import House, open_house
from tests.chromium import open_chromium

WORDS = (
    "Let the chest carry the arms a little longer.\n\n"
    "Welcome, Leif. Your set-up is sound, so leave it alone. The angle is close enough: trust the"
)
PICTURES = Path(__file__).resolve().parents[2] / "web" / "pictures"


def main() -> int:
    """Write ``web/pictures/student.png`` and ``web/pictures/desk.png``."""
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory(prefix="fl-pictures-") as folder,
        open_house(Path(folder)) as house,
        open_chromium() as browser,
    ):
        links = _links(house)
        _student(browser, links["student"])
        _coach(browser, links["coach"])
    return 0


def _links(house: House) -> dict[str, str]:
    """Fill the invented academy; sign-in links by role."""
    lines = map(json.loads, house.run("api.demo", "--json").splitlines())
    return {line["role"]: line["link"] for line in lines}


def _student(browser: Browser, link: str) -> None:
    tall: ViewportSize = {"width": PHONE["width"], "height": 1400}  # scrolled a little, in one
    page = browser.new_context(viewport=tall, device_scale_factor=1.25).new_page()
    _sign_in(page, link)
    page.get_by_role("link", name="Answered").first.click()
    expect(page.get_by_role("heading", name="Your one main thing")).to_be_visible()
    page.wait_for_function("() => [...document.images].slice(0, 2).every(image => image.complete)")
    _keep(page, "student")


def _coach(browser: Browser, link: str) -> None:
    page = browser.new_context(viewport=DESK).new_page()
    _sign_in(page, link)
    page.get_by_role("button", name="Take this").first.click()
    expect(page.get_by_role("button", name="Clubhead, ")).to_be_visible()
    page.get_by_role("textbox", name="Your answer").fill(WORDS)
    expect(page.get_by_role("status").filter(has_text="Saved ")).to_be_visible()
    # The server's sharp picture of the frame lies over the paused video.
    expect(page.locator(".picture img.ready")).to_be_visible()
    _keep(page, "desk")


def _sign_in(page: Page, link: str) -> None:
    page.goto(link)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in" not in url)


def _keep(page: Page, name: str) -> None:
    page.wait_for_load_state("networkidle")
    page.screenshot(path=PICTURES / f"{name}.png")
    sys.stdout.write(f"{(PICTURES / name).with_suffix('.png')}\n")


if __name__ == "__main__":
    raise SystemExit(main())

"""Pictures of the pages for the README: ``python -m tests.browser.screenshots``.

Fills the invented academy on a throwaway house, with every clip measured for real, and looks at what
a student reads on a phone and what a coach works with.
"""

import json
import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import CHROMIUM_ARGUMENTS, DESK, PHONE
from tests.browser.house import House, open_house

PICTURES = Path(__file__).resolve().parents[2] / "web" / "pictures"


def main() -> int:
    """Write ``web/pictures/student.png`` and ``web/pictures/desk.png``."""
    PICTURES.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory(prefix="fl-pictures-") as folder,
        open_house(Path(folder)) as house,
        sync_playwright() as playwright,
    ):
        links = _links(house)
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=list(CHROMIUM_ARGUMENTS)
        )
        _student(browser, links["student"])
        _coach(browser, links["coach"])
        browser.close()
    return 0


def _links(house: House) -> dict[str, str]:
    """Fill the invented academy; sign-in links by role."""
    lines = map(json.loads, house.run("api.demo", "--json").splitlines())
    return {line["role"]: line["link"] for line in lines}


def _student(browser: Browser, link: str) -> None:
    page = browser.new_context(viewport=PHONE, device_scale_factor=2).new_page()
    _sign_in(page, link)
    page.get_by_role("link", name="Answered").first.click()
    _keep(page, "student")


def _coach(browser: Browser, link: str) -> None:
    page = browser.new_context(viewport=DESK).new_page()
    _sign_in(page, link)
    page.get_by_role("button", name="Take this").first.click()
    page.get_by_role("group", name="Frames").wait_for()
    _keep(page, "desk")


def _sign_in(page: Page, link: str) -> None:
    page.goto(link)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in" not in url)


def _keep(page: Page, name: str) -> None:
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(1_000)  # the frame asked for is on the screen, the still over it
    page.screenshot(path=PICTURES / f"{name}.png")
    sys.stdout.write(f"{PICTURES / name}.png\n")


if __name__ == "__main__":
    raise SystemExit(main())

"""Whether a page can be used by everybody, as far as a program can tell."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def assert_accessible(page: Page, where: str) -> None:
    """Fail on any breach of WCAG 2.2 A or AA that axe finds on the page as it stands."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": WCAG}})
    assert found.violations_count == 0, f"{where}:\n{found.generate_report()}"

"""Whether a page can be used by everybody, as far as a program can tell."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


def assert_accessible(page: Page, where: str) -> None:
    """Fail on any breach of WCAG 2.2 A or AA that axe finds on the page as it stands."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": WCAG}})
    assert found.violations_count == 0, f"{where}:\n{found.generate_report()}"


def assert_readable_enlarged(page: Page, where: str) -> None:
    """Fail where text of twice its size is cut off at the side, or squeezed until it has a letter to a line (WCAG 1.4.4)."""
    page.evaluate("document.documentElement.style.fontSize = '212.5%'")
    beyond = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    squeezed = page.evaluate(
        """() => [...document.querySelectorAll('main p, main h2, main h3, main li')]
            .filter((one) => one.checkVisibility() && one.innerText.length > 20)
            .filter((one) => !one.matches('.unseen') && !one.querySelector('.unseen'))
            .filter((one) => one.clientWidth < 3 * parseFloat(getComputedStyle(one).fontSize))
            .map((one) => one.innerText.slice(0, 40))"""
    )
    page.evaluate("document.documentElement.style.fontSize = ''")
    assert beyond <= 0, f"{where}: {beyond} px wider than the window in large type"
    assert squeezed == [], f"{where}: squeezed in large type: {squeezed}"

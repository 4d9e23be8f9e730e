"""The invented academy on a throwaway house, every clip measured for real, and the way into it."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

from tests.browser.house import House, open_house, waits_for

_MEASURED_WITHIN_S = 300.0


@contextmanager
def open_demo(folder: Path) -> Iterator[tuple[House, dict[str, str]]]:
    """A house with the demo in it, and its sign-in links by role."""
    with open_house(folder) as house:
        lines = map(json.loads, house.run("api.demo", "--json").splitlines())
        yield house, {line["role"]: line["link"] for line in lines}


def sign_in(browser: Browser, link: str, size: ViewportSize) -> tuple[BrowserContext, Page]:
    """A window of somebody who came in by their link."""
    context = browser.new_context(viewport=size)
    page = context.new_page()
    page.goto(link)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url(lambda url: "/sign-in" not in url)
    return context, page


def wait_until_waiting(page: Page, house: House, count: int) -> None:
    """Until so many reviews wait: the last clip of the demo is measured behind its opening."""

    def there() -> bool:
        answer = page.request.get(f"{house.base_url}/api/v1/reviews")
        return bool(answer.json()["counts"]["waiting"] >= count)

    if not waits_for(there, _MEASURED_WITHIN_S):
        raise TimeoutError(f"{count} reviews should wait by now:\n{house.log('worker-1')}")

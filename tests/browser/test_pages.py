"""Every page that needs no sign-in loads, is complete in itself and can be used by everybody."""

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Request, ViewportSize

from tests.browser.accessible import assert_accessible
from tests.browser.conftest import DESK, PHONE
from tests.browser.house import House

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("house", ["sqlite"], indirect=True)
@pytest.mark.parametrize("path", ["/", "/sign-in", "/outbox/"])
def test_a_page_loads_alone_and_is_accessible(
    browser: Browser, house: House, path: str, size: ViewportSize
) -> None:
    page = browser.new_context(viewport=size).new_page()
    said: list[str] = []
    asked: list[str] = []

    def note_message(message: ConsoleMessage) -> None:
        # A 401 of "who am I" is how a page learns that nobody is signed in.
        if message.type in {"error", "warning"} and "401" not in message.text:
            said.append(message.text)

    def note_request(request: Request) -> None:
        asked.append(request.url)

    page.on("console", note_message)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", note_request)
    page.goto(house.base_url + path, wait_until="networkidle")
    assert page.get_by_role("heading", level=1).count() == 1
    assert said == []
    assert [url for url in asked if not url.startswith((house.base_url, "data:", "blob:"))] == []
    assert_accessible(page, path)
    page.emulate_media(color_scheme="dark")
    assert_accessible(page, f"{path} in the dark")

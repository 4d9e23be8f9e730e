"""Debian's Chromium, which speaks to this machine only."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Browser, BrowserType, sync_playwright

# Chromium asks its makers for updates and the like unless told not to. It may run as root in CI,
# where its sandbox cannot.
_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # Every name but this machine's leads nowhere: a page that reaches out fails at once.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
]


class ChromiumMissing(Exception):
    """Chromium is not installed on this machine."""


@contextmanager
def open_chromium() -> Iterator[Browser]:
    """Run Chromium without a window. Raises ``ChromiumMissing``.

    Never two at once in a process, and no asyncio meanwhile: Playwright's loop runs in the thread.
    """
    with sync_playwright() as playwright:
        browser = launch(playwright.chromium)
        try:
            yield browser
        finally:
            browser.close()


def launch(kind: BrowserType, *more: str) -> Browser:
    """Start one, with ``more`` of Chromium's switches: another beside a running one by its ``browser_type``."""
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        raise ChromiumMissing("Chromium is not installed; on Debian: apt-get install chromium")
    return kind.launch(executable_path=program, args=[*_ARGUMENTS, *more])

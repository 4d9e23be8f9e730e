"""Windows of two sizes, and the whole service to look at."""

import sys
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, ViewportSize

from tests.browser.house import WEB_DIST, House, open_house
from tests.services import new_postgres_database

PHONE: ViewportSize = {"width": 390, "height": 844}
DESK: ViewportSize = {"width": 1440, "height": 900}


_FAILED = pytest.StashKey[bool]()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember whether the test failed, for the fixture below."""
    report = yield
    item.stash[_FAILED] = item.stash.get(_FAILED, False) or report.failed
    return report


@pytest.fixture(autouse=True)
def _leave_pictures(
    browser: Browser, request: pytest.FixtureRequest, tmp_path: Path
) -> Iterator[None]:
    """After a failure, show what everybody saw; in any case, close every browser window."""
    yield
    pages = [page for context in browser.contexts for page in context.pages]
    if request.node.stash.get(_FAILED, False):
        for number, page in enumerate(pages):
            picture = tmp_path / f"page-{number}.png"
            page.screenshot(path=picture)
            sys.stdout.write(f"{page.url} looked like {picture}\n")
    for context in browser.contexts:
        context.close()


@pytest.fixture(scope="module", params=["sqlite", "postgres-celery"])
def house(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[House]:
    """The whole service, once as on a laptop and once as in production."""
    assert (WEB_DIST / "index.html").exists(), "the pages are not built; run `make install`"
    folder: Path = tmp_path_factory.mktemp("house")
    if request.param == "sqlite":
        with open_house(folder) as house:
            yield house
        return
    server = str(request.getfixturevalue("postgres_url"))
    broker = str(request.getfixturevalue("redis_url"))
    database = new_postgres_database(server, f"house_{folder.name.replace('-', '_')}")
    with open_house(folder, database_url=database, broker_url=broker) as house:
        yield house

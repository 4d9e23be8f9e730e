"""What every test may ask for. Factories for rows are in ``tests/factories.py``."""

import os
import uuid
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser

from tests.chromium import ChromiumMissing, open_chromium
from tests.services import (
    ServiceMissing,
    new_postgres_database,
    throwaway_postgres,
    throwaway_redis,
)

_SERVICES = "FAIRLEAD_REQUIRE_SERVICES"
_BROWSER = "FAIRLEAD_REQUIRE_BROWSER"


def _missing(reason: Exception, required: str) -> None:
    """Skip, unless the environment promised the thing: there its absence is a failure."""
    if os.environ.get(required):
        pytest.fail(f"{reason}, and {required} is set", pytrace=False)
    pytest.skip(str(reason))


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A real, empty Redis of this test process's own."""
    try:
        with throwaway_redis() as url:
            yield url
    except ServiceMissing as missing:
        _missing(missing, _SERVICES)


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """A real PostgreSQL of this test process's own: the URL of an empty database."""
    try:
        with throwaway_postgres() as url:
            yield url
    except ServiceMissing as missing:
        _missing(missing, _SERVICES)


@pytest.fixture
def new_postgres_url(postgres_url: str) -> str:
    """An empty PostgreSQL database for one test alone."""
    return new_postgres_database(postgres_url, f"t{uuid.uuid4().hex}")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium without a window, for one file of tests; each makes contexts of its own in it."""
    try:
        with open_chromium() as browser:
            yield browser
    except ChromiumMissing as missing:
        _missing(missing, _BROWSER)

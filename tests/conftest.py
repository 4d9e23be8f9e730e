"""What every test may ask for. Factories for rows are in ``tests/factories.py``."""

import os
import uuid
from collections.abc import Iterator

import pytest

from tests.services import (
    ServiceMissing,
    new_postgres_database,
    throwaway_postgres,
    throwaway_redis,
)


def _missing(reason: ServiceMissing) -> None:
    """Skip, unless the environment promised the services: there absence is a failure."""
    if os.environ.get("FAIRLEAD_REQUIRE_SERVICES"):
        pytest.fail(f"{reason}, and FAIRLEAD_REQUIRE_SERVICES is set", pytrace=False)
    pytest.skip(f"{reason}; on Debian: apt-get install redis-server postgresql")


@pytest.fixture(scope="session")
def redis_url() -> Iterator[str]:
    """A real, empty Redis of this test process's own."""
    try:
        with throwaway_redis() as url:
            yield url
    except ServiceMissing as missing:
        _missing(missing)


@pytest.fixture(scope="session")
def postgres_url() -> Iterator[str]:
    """A real PostgreSQL of this test process's own: the URL of an empty database."""
    try:
        with throwaway_postgres() as url:
            yield url
    except ServiceMissing as missing:
        _missing(missing)


@pytest.fixture
def new_postgres_url(postgres_url: str) -> str:
    """An empty PostgreSQL database for one test alone."""
    return new_postgres_database(postgres_url, f"t{uuid.uuid4().hex}")

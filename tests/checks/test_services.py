"""The throwaway servers are what the other tests believe they are."""

from pathlib import Path

import psycopg
import pytest
import redis

from tests import services


@pytest.mark.services
def test_redis_is_empty_and_takes_writes(redis_url: str) -> None:
    with redis.Redis.from_url(redis_url) as client:
        client.flushall()
        client.set("key", "value")
        assert client.get("key") == b"value"
        client.flushall()


@pytest.mark.services
def test_each_test_may_have_an_empty_database(new_postgres_url: str) -> None:
    with psycopg.connect(new_postgres_url) as connection:
        row = connection.execute(
            "SELECT count(*) FROM information_schema.tables WHERE table_schema = 'public'"
        ).fetchone()
        encoding = connection.execute("SHOW server_encoding").fetchone()
    assert row == (0,)
    assert encoding == ("UTF8",)


@pytest.mark.services
@pytest.mark.usefixtures("redis_url")  # skips, or fails, where Redis is missing
def test_a_server_is_gone_with_its_block() -> None:
    with services.throwaway_redis() as url:
        pass
    with redis.Redis.from_url(url) as client, pytest.raises(redis.ConnectionError):
        client.ping()


def test_a_missing_program_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    with (
        pytest.raises(services.ServiceMissing, match="redis-server is not installed"),
        services.throwaway_redis(),
    ):
        pytest.fail("it cannot have started")

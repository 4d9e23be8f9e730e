"""Counting knocks: alone, shared over Redis, and when Redis is gone."""

import pytest
import redis
from limits import RateLimitItemPerHour

from api.domain.errors import TooManyRequests
from api.http.rate_limits import RateLimits
from tests.services import free_port

THREE = RateLimitItemPerHour(3)


def spend(limits: RateLimits, who: str = "10.0.0.1", purpose: str = "p") -> bool:
    try:
        limits.spend(THREE, purpose, who)
    except TooManyRequests:
        return False
    return True


def test_the_window_fills_and_says_when_it_opens() -> None:
    limits = RateLimits()
    assert [spend(limits) for _ in range(4)] == [True, True, True, False]
    with pytest.raises(TooManyRequests) as refusal:
        limits.spend(THREE, "p", "10.0.0.1")
    wait_s = refusal.value.details["retry_after_s"]
    assert isinstance(wait_s, int)
    assert 3500 <= wait_s <= 3600
    assert "60 minutes" in refusal.value.message


def test_callers_and_purposes_are_counted_apart() -> None:
    limits = RateLimits()
    for _ in range(3):
        spend(limits)
    assert not spend(limits)
    assert spend(limits, who="10.0.0.2")
    assert spend(limits, purpose="q")


def test_processes_share_the_count_over_redis(redis_url: str) -> None:
    first, second = RateLimits(redis_url), RateLimits(redis_url)
    answers = [spend(first), spend(second), spend(first), spend(second), spend(first)]
    assert answers == [True, True, True, False, False]


def test_no_address_lies_in_redis(redis_url: str) -> None:
    RateLimits(redis_url).spend(THREE, "p", "ana@example.org")
    with redis.Redis.from_url(redis_url) as client:
        keys = [key.decode() for key in client.scan_iter()]
    assert keys
    assert not any("ana" in key for key in keys)


def test_without_redis_the_process_counts_by_itself() -> None:
    limits = RateLimits(f"redis://127.0.0.1:{free_port()}/0")
    assert [spend(limits) for _ in range(4)] == [True, True, True, False]

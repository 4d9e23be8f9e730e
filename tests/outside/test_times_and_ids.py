"""Times in JSON against RFC 3339, ids against RFC 9562."""

import re
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta, timezone
from types import SimpleNamespace
from uuid import RFC_4122

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.ids import new_id
from api.http.schemas.mails import MailRead

# RFC 3339 section 5.6, date-time, with the offset as Z.
RFC3339_UTC = re.compile(
    r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])T([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d+)?Z"
)


def as_json(moment: datetime) -> str:
    mail = MailRead(
        id=new_id(),
        to="a",
        subject="s",
        body="b",
        created_at=moment,
        sent_at=None,
        held_until=None,
        left_out="",
    )
    return str(mail.model_dump(mode="json")["created_at"])


@given(st.datetimes(min_value=datetime(2020, 1, 1), max_value=datetime(2100, 1, 1)))  # noqa: DTZ001 - hypothesis wants naive limits
def test_times_are_rfc_3339_in_utc(naive: datetime) -> None:
    moment = naive.replace(tzinfo=UTC)
    written = as_json(moment)
    assert RFC3339_UTC.fullmatch(written)
    assert datetime.fromisoformat(written) == moment


def test_the_example_of_rfc_9562_appendix_a_6() -> None:
    # UUIDv7 of 2022-02-22 19:22:22.00 UTC: 017F22E2-79B0-7CC3-98C4-DC0C0C07398F.
    moment = datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5)))
    made = new_id(now_ms=int(moment.timestamp() * 1000))
    assert str(made)[:15] == "017f22e2-79b0-7"


@given(st.integers(min_value=0, max_value=2**48 - 1))
def test_ids_have_the_layout_of_section_5_7(now_ms: int) -> None:
    made = new_id(now_ms=now_ms)
    assert made.version == 7
    assert made.variant == RFC_4122  # the variant bits 10 that RFC 9562 section 4.1 keeps
    assert made.int >> 80 == now_ms


def test_ids_sort_by_time_of_making() -> None:
    made = [new_id(now_ms=number) for number in (1, 2, 1_000_000, 2**40)]
    assert made == sorted(made)
    assert [str(one) for one in made] == sorted(str(one) for one in made)


def test_ids_of_one_process_rise_in_the_order_they_were_made() -> None:
    # Section 6.2, method 3. Far more than one a millisecond, from several threads.
    with ThreadPoolExecutor(4) as pool:
        runs = list(pool.map(lambda _: [new_id() for _ in range(5_000)], range(4)))
    for run in runs:
        assert run == sorted(run)
    assert len(set().union(*runs)) == 20_000


def test_ids_tell_the_present_moment() -> None:
    before = time.time_ns() // 1_000_000
    made = new_id().int >> 80
    assert before <= made <= time.time_ns() // 1_000_000 + 5


def test_a_clock_set_back_does_not_put_new_ids_before_old_ones(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    first = new_id()
    monkeypatch.setattr("api.domain.ids.time", SimpleNamespace(time_ns=lambda: 0))
    assert new_id() > first


def test_ids_of_one_millisecond_differ() -> None:
    # 74 random bits (section 6.9 asks for unguessable ones): no two alike among many.
    assert len({new_id(now_ms=1) for _ in range(10_000)}) == 10_000


def test_the_random_bits_are_all_in_use() -> None:
    ones, zeros = 0, 0
    for _ in range(200):
        value = new_id(now_ms=0).int
        ones |= value
        zeros |= ~value
    random_bits = ((1 << 12) - 1) << 64 | ((1 << 62) - 1)
    assert ones & random_bits == random_bits
    assert zeros & random_bits == random_bits

"""Quiet hours by the clock on the wall, over nights in which the clocks are changed."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.quiet_hours import QuietHours

ZAGREB = "Europe/Zagreb"


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def hours(begins: str, ends: str, zone: str = ZAGREB) -> QuietHours:
    return QuietHours(time.fromisoformat(begins), time.fromisoformat(ends), zone)


@pytest.mark.parametrize(
    ("begins", "ends", "now", "over"),
    [
        # An ordinary winter night, one hour ahead of UTC.
        ("22:00", "07:00", "2026-12-01T20:59:59", None),
        ("22:00", "07:00", "2026-12-01T21:00:00", "2026-12-02T06:00:00"),
        ("22:00", "07:00", "2026-12-02T05:59:59", "2026-12-02T06:00:00"),
        ("22:00", "07:00", "2026-12-02T06:00:00", None),
        # Quiet at noon, of one day.
        ("12:00", "13:30", "2026-12-01T11:30:00", "2026-12-01T12:30:00"),
        ("12:00", "13:30", "2026-12-01T12:30:00", None),
        # 28 March 2027, 02:00 becomes 03:00: the night is an hour shorter.
        ("22:00", "07:00", "2027-03-27T23:00:00", "2027-03-28T05:00:00"),
        # It would end in the hour that is left out: it ends as the clocks leap.
        ("22:00", "02:30", "2027-03-28T00:59:59", "2027-03-28T01:00:00"),
        ("22:00", "02:30", "2027-03-28T01:00:00", None),
        # It would begin in that hour: it begins as they leap.
        ("02:30", "07:00", "2027-03-28T00:59:59", None),
        ("02:30", "07:00", "2027-03-28T01:00:00", "2027-03-28T05:00:00"),
        # 25 October 2026, 03:00 becomes 02:00: the night is an hour longer.
        ("22:00", "07:00", "2026-10-24T20:00:00", "2026-10-25T06:00:00"),
        # 02:30 comes twice: quiet from the first to the last of them, without a break.
        ("22:00", "02:30", "2026-10-25T00:45:00", "2026-10-25T01:30:00"),
        ("22:00", "02:30", "2026-10-25T01:29:59", "2026-10-25T01:30:00"),
        ("02:30", "07:00", "2026-10-25T00:30:00", "2026-10-25T06:00:00"),
        ("02:30", "07:00", "2026-10-25T01:10:00", "2026-10-25T06:00:00"),
    ],
)
def test_when_it_is_over(begins: str, ends: str, now: str, over: str | None) -> None:
    assert hours(begins, ends).over_at(at(now)) == (None if over is None else at(over))


def test_half_an_hour_of_a_leap_is_known_too() -> None:
    # Lord Howe Island puts its clocks on by half an hour: 4 October 2026, 02:00 becomes 02:30.
    lord_howe = hours("22:00", "02:10", "Australia/Lord_Howe")
    assert lord_howe.over_at(at("2026-10-03T15:00:00")) == at("2026-10-03T15:30:00")


def test_a_day_that_a_zone_left_out_has_no_end_of_its_own() -> None:
    # Samoa went over the date line: there was no 30 December 2011.
    samoa = hours("22:00", "07:00", "Pacific/Apia")
    over = samoa.over_at(at("2011-12-30T09:00:00"))
    assert over is not None
    assert at("2011-12-30T10:00:00") <= over <= at("2011-12-30T17:00:00")


CLOCKS = st.times(timezones=st.none()).map(lambda one: one.replace(second=0, microsecond=0))
SECONDS = st.integers(0, 10 * 366 * 86400)


@given(
    CLOCKS, CLOCKS, SECONDS, st.sampled_from([ZAGREB, "America/Santiago", "Australia/Lord_Howe"])
)
def test_what_waits_is_due_soon_and_by_a_clock_that_shows_the_end(
    begins: time, ends: time, seconds: int, zone: str
) -> None:
    now = at("2020-01-01T00:00:00") + timedelta(seconds=seconds)
    if begins == ends:
        return
    quiet = QuietHours(begins, ends, zone)
    over = quiet.over_at(now)
    if over is None:
        return
    assert now < over <= now + timedelta(hours=26)
    wall = over.astimezone(ZoneInfo(zone))
    before = (over - timedelta(minutes=1)).astimezone(ZoneInfo(zone))
    leapt = before.utcoffset() != wall.utcoffset()
    assert wall.time() == ends or leapt
    assert quiet.over_at(over) is None

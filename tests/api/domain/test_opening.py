"""Promises within opening hours, and months, in zones whose clocks are put forward and back."""

from datetime import UTC, date, datetime, time, timedelta
from types import MappingProxyType
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.errors import Invalid
from api.domain.opening import Month, OpeningHours, Stretch, always_open

HOUR = timedelta(hours=1)
OFFICE = MappingProxyType(
    {day: (Stretch(time(9), time(12)), Stretch(time(13), time(18))) for day in range(5)}
)
VIENNA = "Europe/Vienna"


def at(*when: int, zone: str = VIENNA, fold: int = 0) -> datetime:
    """A time by the wall clock."""
    year, month, day, hour, minute = when
    return datetime(year, month, day, hour, minute, tzinfo=ZoneInfo(zone), fold=fold)


@pytest.mark.parametrize(
    ("since", "hours", "due"),
    [
        (at(2026, 11, 2, 9, 0), 8, at(2026, 11, 2, 18, 0)),  # a whole Monday, lunch left out
        (at(2026, 11, 2, 11, 30), 1, at(2026, 11, 2, 13, 30)),  # over lunch
        (at(2026, 11, 6, 17, 0), 2, at(2026, 11, 9, 10, 0)),  # over the weekend
        (at(2026, 11, 7, 3, 0), 1, at(2026, 11, 9, 10, 0)),  # comes in while closed
        (
            at(2026, 12, 23, 17, 0),
            2,
            at(2026, 12, 28, 10, 0),
        ),  # closed on the 24th and 25th, then a weekend
    ],
)
def test_promises_run_while_the_academy_is_open(since: datetime, hours: int, due: datetime) -> None:
    """By hand from a calendar; 2 November 2026 is a Monday."""
    hours_of = OpeningHours(VIENNA, OFFICE, frozenset({date(2026, 12, 24), date(2026, 12, 25)}))
    assert hours_of.due_at(since, hours * HOUR) == due


def test_a_night_that_leaves_out_an_hour_has_one_less() -> None:
    """Vienna, 29 March 2026: at 2:00 it is 3:00; 25 October: at 3:00 it is 2:00 again."""
    night = MappingProxyType({6: (Stretch(time(1), time(5)),)})
    open_at = OpeningHours(VIENNA, night)
    assert open_at.open_between(at(2026, 3, 29, 0, 0), at(2026, 3, 29, 6, 0)) == 3 * HOUR
    assert open_at.open_between(at(2026, 10, 25, 0, 0), at(2026, 10, 25, 6, 0)) == 5 * HOUR
    assert open_at.due_at(at(2026, 3, 29, 0, 0), 2 * HOUR) == at(2026, 3, 29, 4, 0)


@given(
    st.datetimes(
        datetime.fromisoformat("2025-01-01"),
        datetime.fromisoformat("2027-12-31"),
        timezones=st.just(UTC),
    ),
    st.integers(0, 400),
    st.sampled_from([VIENNA, "America/New_York", "Australia/Lord_Howe", "Asia/Tokyo"]),
)
def test_what_is_due_lies_so_much_open_time_away(since: datetime, hours: int, zone: str) -> None:
    opening = OpeningHours(zone, OFFICE)
    due = opening.due_at(since, hours * HOUR)
    assert opening.open_between(since, due) == hours * HOUR
    assert always_open(zone).due_at(since, hours * HOUR) == since + hours * HOUR


@given(
    st.dates(date(2026, 1, 1), date(2027, 12, 1)),
    st.integers(1, 60),
    st.sets(st.integers(0, 700), max_size=20),
)
def test_whole_days_are_counted_as_numpy_counts_them(
    first: date, days: int, closed: set[int]
) -> None:
    """Against numpy.busday_offset, where the academy is open all day on weekdays and in a zone without leaps."""
    holidays = frozenset(date(2026, 1, 1) + timedelta(days=day) for day in closed)
    whole = MappingProxyType({day: (Stretch(time(0), time(0)),) for day in range(5)})
    opening = OpeningHours("UTC", whole, holidays)
    start = np.busday_offset(first, 0, roll="forward", holidays=sorted(holidays)).astype(date)
    due = opening.due_at(datetime.combine(start, time(0), UTC), days * 24 * HOUR)
    last = np.busday_offset(start, days - 1, holidays=sorted(holidays)).astype(date)
    assert due == datetime.combine(last + timedelta(days=1), time(0), UTC)


@pytest.mark.parametrize(
    "week",
    [
        {},
        {0: ()},
        {0: (Stretch(time(9), time(12)), Stretch(time(11), time(13)))},
        {0: (Stretch(time(9), time(0)), Stretch(time(10), time(11)))},
    ],
)
def test_weeks_that_cannot_be_are_refused(week: dict[int, tuple[Stretch, ...]]) -> None:
    with pytest.raises(Invalid):
        OpeningHours(VIENNA, week)


def test_what_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(Invalid, match="end after they begin"):
        Stretch(time(18), time(9))


def test_closed_for_a_year_is_said() -> None:
    days = frozenset(date(2026, 1, 1) + timedelta(days=day) for day in range(900))
    with pytest.raises(Invalid, match="whole year"):
        OpeningHours(VIENNA, OFFICE, days).due_at(at(2026, 3, 1, 9, 0), HOUR)


def test_a_month_ends_at_its_last_midnight_by_the_academys_clock() -> None:
    """A second before midnight of the last day belongs to the month, midnight to the next; UTC says otherwise."""
    last = datetime(2026, 10, 31, 23, 59, 59, tzinfo=ZoneInfo("America/New_York"))
    assert str(Month.of(last, "America/New_York")) == "2026-10"
    assert str(Month.of(last + timedelta(seconds=1), "America/New_York")) == "2026-11"
    assert str(Month.of(last, "UTC")) == "2026-11"


@given(
    st.datetimes(
        datetime.fromisoformat("2000-01-01"),
        datetime.fromisoformat("2040-12-31"),
        timezones=st.just(UTC),
    ),
    st.sampled_from([VIENNA, "America/Sao_Paulo", "Asia/Beirut", "Pacific/Apia"]),
)
def test_months_leave_no_gap_and_overlap_nowhere(moment: datetime, zone: str) -> None:
    """Also in zones whose clocks leap at midnight, and in Apia, which left out a day in 2011."""
    month = Month.of(moment, zone)
    begins, ends = month.span(zone)
    assert begins <= moment < ends
    assert month.following.span(zone)[0] == ends
    assert Month.of(ends, zone) == month.following


def test_december_is_followed_by_january() -> None:
    assert Month(2026, 12).following == Month(2027, 1)
    with pytest.raises(ValueError, match="month"):
        Month(2026, 13)

"""Weeks of practice: kept up by full weeks, broken by none that is still under way."""

from datetime import date, timedelta

import pytest

from api.domain.errors import Invalid
from api.domain.practice import Week, check_day, monday_of, this_week, weeks_kept_up

WEDNESDAY = date(2026, 3, 4)


def days(*back: int) -> set[date]:
    """Days so long before Wednesday."""
    return {WEDNESDAY - timedelta(days=one) for one in back}


def test_weeks_begin_on_monday_as_iso_8601_has_it() -> None:
    assert monday_of(WEDNESDAY) == date.fromisocalendar(*WEDNESDAY.isocalendar()[:2], 1)
    assert monday_of(date(2026, 3, 1)) == date(2026, 2, 23), "a Sunday ends its week"


def test_a_week_counts_its_own_days_up_to_today() -> None:
    done = days(0, 2, 3) | {WEDNESDAY + timedelta(days=1)}
    assert this_week(done, WEDNESDAY, 4) == Week(2, 4)


@pytest.mark.parametrize(
    ("done", "kept_up"),
    [
        ((), 0),
        ((0, 1), 1),  # this week is full already
        ((1, 3, 9), 1),  # last week was full, this one is under way
        ((0, 1, 3, 9, 10, 16), 3),
        ((0, 1, 10, 16), 1),  # a week between was not full
        ((9, 3, 4, 5, 6), 1),  # more days than asked are still one week
    ],
)
def test_full_weeks_in_a_row(done: tuple[int, ...], kept_up: int) -> None:
    assert weeks_kept_up(days(*done), WEDNESDAY, 2) == kept_up


@pytest.mark.parametrize("off", [-3, 2])
def test_a_day_that_cannot_have_been_practised_is_refused(off: int) -> None:
    given = WEDNESDAY - timedelta(days=1)
    with pytest.raises(Invalid):
        check_day(WEDNESDAY + timedelta(days=off), given=given, today=WEDNESDAY)


@pytest.mark.parametrize("off", [-2, -1, 0, 1])
def test_a_student_may_be_a_day_ahead_or_behind_of_the_academy(off: int) -> None:
    given = WEDNESDAY - timedelta(days=1)
    check_day(WEDNESDAY + timedelta(days=off), given=given, today=WEDNESDAY)

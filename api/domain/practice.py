"""A student's practice between two answers: what is asked a week, what was done, and how many weeks it was kept up.

Weeks count, not days: a drill is given for so many days a week, so a day of rest breaks nothing. Weeks begin on Monday
(ISO 8601). A week that is under way counts once it is full and is never held against anybody.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta

from api.domain.errors import Invalid

MOST_SETS = 40
"""Of one drill on one day; more is a slip of the finger."""
MOST_NOTE = 300


@dataclass(frozen=True, slots=True)
class Practised:
    """One drill on one day: how many sets, and whether it hurt."""

    day: date
    sets_done: int
    hurt: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True)
class Week:
    """Days of this week on which a drill was done, of those asked for."""

    done: int
    asked: int


def monday_of(day: date) -> date:
    """The first day of its week."""
    return day - timedelta(days=day.weekday())


def this_week(done: Collection[date], today: date, days_per_week: int) -> Week:
    """How far this week has come."""
    monday = monday_of(today)
    return Week(sum(monday <= day <= today for day in done), days_per_week)


def weeks_kept_up(done: Collection[date], today: date, days_per_week: int) -> int:
    """Full weeks in a row up to now: this one if it is full already, then those right before it."""
    monday = monday_of(today)
    count = 1 if _in_week(done, monday) >= days_per_week else 0
    monday -= timedelta(weeks=1)
    while _in_week(done, monday) >= days_per_week:
        count += 1
        monday -= timedelta(weeks=1)
    return count


def _in_week(done: Collection[date], monday: date) -> int:
    return sum(monday <= day < monday + timedelta(weeks=1) for day in done)


def check_day(day: date, *, given: date, today: date) -> None:
    """Refuse a day before the drill was given or after tomorrow: where the student is it may be a day later."""
    if day < given - timedelta(days=1):
        raise Invalid(
            f"This drill was given on {given.isoformat()}: there was nothing to tick before."
        )
    if day > today + timedelta(days=1):
        raise Invalid("That day has not come yet.")

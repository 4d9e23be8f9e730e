"""Who counts as a child at an academy, and since when not any more. Days are the academy's own."""

from datetime import date, datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

USUAL_AGE_LIMIT = 18
"""Whoever is younger has a guardian who consents. Local law may say otherwise: an academy's own setting."""
LOWEST_AGE_LIMIT, HIGHEST_AGE_LIMIT = 13, 21
YOUNGEST = 4
OLDEST = 110


class Age(StrEnum):
    """What an academy knows of a student's age."""

    UNKNOWN = "unknown"
    CHILD = "child"
    ADULT = "adult"


def today_in(time_zone: str, now: datetime) -> date:
    """The day it is in a zone (an IANA name) at the moment ``now``."""
    return now.astimezone(ZoneInfo(time_zone)).date()


def years_old(born_on: date, today: date) -> int:
    """Whole years. Who was born on 29 February grows older on 1 March of other years."""
    had_birthday = (today.month, today.day) >= (born_on.month, born_on.day)
    return today.year - born_on.year - (0 if had_birthday else 1)


def may_be_born_on(born_on: date, today: date) -> bool:
    """Whether a golfer can have been born then: a slip of the finger is asked about, not kept."""
    return YOUNGEST <= years_old(born_on, today) <= OLDEST


def age_of(
    *, born_on: date | None, said_adult: bool, called_child: bool, limit: int, today: date
) -> Age:
    """Child or adult, the stricter word first: the academy's, then a date of birth, then one's own.

    ``called_child``: the academy says that this is a child, whatever was declared. ``said_adult``: "I am of
    age", without a date; nobody is asked for more than is needed.
    """
    if called_child:
        return Age.CHILD
    if born_on is not None:
        return Age.CHILD if years_old(born_on, today) < limit else Age.ADULT
    return Age.ADULT if said_adult else Age.UNKNOWN

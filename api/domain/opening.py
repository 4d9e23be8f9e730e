"""Opening hours of an academy, and when what was promised within so many of them is due.

Hours are counted as they pass, not as the clock on the wall is put: a night in which an hour is left out has one
less. Where the wall clock leaves out the time of opening or closing, the moment of the leap counts; where it comes twice,
opening is the first and closing the second (``api.domain.clocks``).
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from types import MappingProxyType
from zoneinfo import ZoneInfo

from api.domain.clocks import wall_moment
from api.domain.errors import Invalid

_A_DAY = timedelta(days=1)
LONGEST_CLOSED_DAYS = 370
"""An academy that opens nowhere within a year keeps no promise by its opening hours."""
MIDNIGHT = time(0)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Open from ``begins`` to ``ends`` by the wall clock; ``ends`` at midnight is the day's end."""

    begins: time
    ends: time

    def __post_init__(self) -> None:
        """Refuse what ends before it begins: a night's hours are two stretches of two days."""
        if self.ends != MIDNIGHT and self.ends <= self.begins:
            raise Invalid("Opening hours end after they begin.", code="opening_hours_invalid")


@dataclass(frozen=True, slots=True)
class OpeningHours:
    """``week``: stretches by weekday, Monday 0; ``closed``: days on which nobody works, whatever the weekday.

    ``time_zone``: an IANA name.
    """

    time_zone: str
    week: Mapping[int, tuple[Stretch, ...]]
    closed: frozenset[date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        """Refuse stretches of one day that overlap, and weeks without any."""
        for stretches in self.week.values():
            ends = MIDNIGHT
            for at, stretch in enumerate(sorted(stretches, key=_begins)):
                if at and (ends == MIDNIGHT or stretch.begins < ends):
                    raise Invalid("Opening hours of one day overlap.", code="opening_hours_invalid")
                ends = stretch.ends
        if not any(self.week.values()):
            raise Invalid("The academy is never open.", code="opening_hours_invalid")

    def due_at(self, since: datetime, promised: timedelta) -> datetime:
        """The moment, in UTC, at which ``promised`` open time has passed since ``since``.

        Raises ``Invalid`` where the academy stays closed for a year.
        """
        left = promised
        for begins, ends in self._spans(since):
            here = ends - max(begins, since)
            if here <= timedelta(0):
                continue
            if left <= here:
                return max(begins, since) + left
            left -= here
        raise Invalid(
            "The academy is closed for the whole year to come.", code="opening_hours_invalid"
        )

    def open_between(self, since: datetime, until: datetime) -> timedelta:
        """How much open time passes from ``since`` to ``until``."""
        passed = timedelta(0)
        for begins, ends in self._spans(since):
            if begins >= until:
                break
            passed += max(min(ends, until) - max(begins, since), timedelta(0))
        return passed

    def _spans(self, since: datetime) -> Iterator[tuple[datetime, datetime]]:
        """Open spans in UTC, in order, from the day before ``since`` on until a year passes without one."""
        zone = ZoneInfo(self.time_zone)
        day = since.astimezone(zone).date() - _A_DAY
        closed = 0
        while closed <= LONGEST_CLOSED_DAYS:
            stretches = () if day in self.closed else self.week.get(day.weekday(), ())
            closed = 0 if stretches else closed + 1
            for stretch in sorted(stretches, key=_begins):
                last = day + _A_DAY if stretch.ends == MIDNIGHT else day
                fold = 0 if stretch.ends == MIDNIGHT else 1
                begins = wall_moment(day, stretch.begins, zone, fold=0)
                yield begins, wall_moment(last, stretch.ends, zone, fold=fold)
            day += _A_DAY


def always_open(time_zone: str) -> OpeningHours:
    """Every hour counts: promises in hours by the clock."""
    whole = (Stretch(MIDNIGHT, MIDNIGHT),)
    return OpeningHours(time_zone, MappingProxyType(dict.fromkeys(range(7), whole)))


@dataclass(frozen=True, slots=True, order=True)
class Month:
    """A calendar month in an academy's zone: from its first moment to the first of the next, which is not in it."""

    year: int
    number: int

    def __post_init__(self) -> None:
        """Refuse months that no calendar has."""
        date(self.year, self.number, 1)

    @classmethod
    def of(cls, moment: datetime, time_zone: str) -> "Month":
        """The month in which ``moment`` lies by the clock of the zone."""
        day = moment.astimezone(ZoneInfo(time_zone)).date()
        return cls(day.year, day.month)

    @property
    def following(self) -> "Month":
        """The next one."""
        last = 12
        return Month(self.year + 1, 1) if self.number == last else Month(self.year, self.number + 1)

    def span(self, time_zone: str) -> tuple[datetime, datetime]:
        """First moment and the one after the last, in UTC."""
        zone = ZoneInfo(time_zone)
        first, after = (
            date(self.year, self.number, 1),
            date(self.following.year, self.following.number, 1),
        )
        return wall_moment(first, MIDNIGHT, zone, fold=0), wall_moment(
            after, MIDNIGHT, zone, fold=0
        )

    def __str__(self) -> str:
        """ISO 8601, as 2026-11."""
        return f"{self.year:04d}-{self.number:02d}"


def _begins(stretch: Stretch) -> time:
    return stretch.begins

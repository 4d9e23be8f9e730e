"""Quiet hours: when notices wait, by the clock on somebody's wall.

They are one unbroken span of real time each night, whatever the clocks do in it. It begins with the first moment at
which the wall clock has reached ``begins`` and ends with the last at which it shows ``ends``: where an hour comes
twice, the second counts for the end; where the time is left out, the moment of the leap does.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_A_DAY = timedelta(days=1)
_STEP = timedelta(seconds=1)


@dataclass(frozen=True, slots=True)
class QuietHours:
    """From ``begins`` to ``ends`` in ``time_zone`` (an IANA name); past midnight where ``ends`` is the earlier.

    The two must differ: a whole day without notices is what switching them off is for.
    """

    begins: time
    ends: time
    time_zone: str

    def over_at(self, now: datetime) -> datetime | None:
        """When the quiet is over in which ``now`` lies, in UTC; ``None`` where it is not quiet."""
        today = now.astimezone(ZoneInfo(self.time_zone)).date()
        for day in (today - _A_DAY, today):
            begins, ends = self._span(day)
            if begins <= now < ends:
                return ends
        return None

    def _span(self, day: date) -> tuple[datetime, datetime]:
        """The quiet that begins on ``day``, in UTC."""
        last = day if self.begins < self.ends else day + _A_DAY
        zone = ZoneInfo(self.time_zone)
        return _moment(day, self.begins, zone, fold=0), _moment(last, self.ends, zone, fold=1)


def _moment(day: date, clock: time, zone: ZoneInfo, *, fold: int) -> datetime:
    """When a wall clock shows a time on a day. ``fold``: the first (0) or second (1) where it does so twice."""
    wall = datetime.combine(day, clock)
    moment = wall.replace(tzinfo=zone, fold=fold).astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) == wall:
        return moment
    return _leap(wall, zone)


def _leap(wall: datetime, zone: ZoneInfo) -> datetime:
    """The moment at which clocks are put past ``wall``, a time that they leave out: found by halving, to the second."""
    early = wall.replace(tzinfo=zone, fold=1).astimezone(UTC)
    late = wall.replace(tzinfo=zone, fold=0).astimezone(UTC)
    before = early.astimezone(zone).utcoffset()
    while late - early > _STEP:
        middle = early + (late - early) / 2
        if middle.astimezone(zone).utcoffset() == before:
            early = middle
        else:
            late = middle
    return late.replace(microsecond=0)

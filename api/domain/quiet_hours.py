"""Quiet hours: when notices wait, by the clock on somebody's wall.

They are one unbroken span of real time each night, whatever the clocks do in it. It begins with the first moment at
which the wall clock has reached ``begins`` and ends with the last at which it shows ``ends``: where an hour comes
twice, the second counts for the end; where the time is left out, the moment of the leap does.
"""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from api.domain.clocks import wall_moment

_A_DAY = timedelta(days=1)


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
        return wall_moment(day, self.begins, zone, fold=0), wall_moment(
            last, self.ends, zone, fold=1
        )

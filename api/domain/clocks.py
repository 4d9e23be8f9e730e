"""When a clock on somebody's wall shows a time: also on the days on which it is put forward or back."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

_STEP = timedelta(seconds=1)


def wall_moment(day: date, clock: time, zone: ZoneInfo, *, fold: int) -> datetime:
    """When a wall clock shows a time on a day, in UTC. ``fold``: the first (0) or second (1) where it does so twice.

    Where it leaves the time out, the moment of the leap.
    """
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

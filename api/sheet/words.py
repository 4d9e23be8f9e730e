"""Words for the ids of the trade and for dates, as the pages have them (``web/src/words``, ``web/src/answer``)."""

from collections.abc import Mapping
from datetime import date, datetime
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from api.sheet.amounts import FEW, written
from api.sheet.reader import reader

VIEWS: Mapping[str, str] = MappingProxyType(
    {"face-on": "Face-on", "down-the-line": "Down-the-line"}
)
PURPOSES: Mapping[str, str] = MappingProxyType(
    {
        "full": "full swing",
        "rehearsal": "rehearsal",
        "pause": "with a pause",
        "slow": "slow swing",
    }
)
BANDS: Mapping[str, str] = MappingProxyType(
    {
        "good": "On target",
        "watch": "Just off target",
        "outside": "Off target",
        "too_close": "Too close to call",
        "no_target": "No target",
    }
)
EYE_ITEMS: Mapping[str, str] = MappingProxyType(
    {"face": "Clubface", "lead_wrist": "Lead wrist", "grip": "Grip"}
)
_COMING_DOWN = "lead_arm_parallel_down"
_EVERY_DAY = 7


def spoken(name: str) -> str:
    """An id as words."""
    words = name.replace("_", " ")
    return words[:1].upper() + words[1:]


def keyframe(name: str) -> str:
    """An instant of the swing: "Lead arm parallel"."""
    return "Lead arm parallel, coming down" if name == _COMING_DOWN else spoken(name)


def view(name: str) -> str:
    """A camera's place, in a sentence."""
    return VIEWS[name].lower()


def counted(count: int, one: str, many: str) -> str:
    """As "1 set", "3 sets"."""
    return f"{written(count, 0)} {one if count == 1 else many}"


def day(when: datetime | date, zone: ZoneInfo | None = None) -> str:
    """As "27 November 2026", in ``zone``, as the reader writes it."""
    if isinstance(when, datetime):
        when = when.astimezone(zone)
    return reader().day(when)


def day_and_time(when: datetime, zone: ZoneInfo) -> str:
    """As "27 November 2026, 16:00", in ``zone``."""
    local = when.astimezone(zone)
    return f"{day(local, zone)}, {reader().clock(local)}"


def dose(chosen: Mapping[str, Any]) -> str:
    """As "3 sets of 8, 2 s pause, 4 days a week, without a ball, until 9 December"."""
    parts = [f"{counted(chosen['sets'], 'set', 'sets')} of {written(chosen['reps'], 0)}"]
    if chosen.get("pause_s"):
        parts.append(f"{written(chosen['pause_s'], FEW, trimmed=True)} s pause")
    days = chosen["days_per_week"]
    parts.append("every day" if days == _EVERY_DAY else f"{counted(days, 'day', 'days')} a week")
    if chosen.get("ball") is not None:
        parts.append("with a ball" if chosen["ball"] else "without a ball")
    parts += [
        f"{word} {reader().day_and_month(date.fromisoformat(chosen[end]))}"
        for word, end in (("from", "start"), ("until", "until"))
        if chosen.get(end)
    ]
    return ", ".join(parts)

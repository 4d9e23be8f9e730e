"""The numbers of an answer, each with its bar: target, value and interval as shares of the bar's width."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from api.domain.bands import Bands
from api.sheet import amounts, words
from api.sheet.checkpoints import Told, bands_of
from api.sheet.groups import GROUPS, OTHERS, PLACE, group_of
from api.sheet.notes import Reading, notes, own_target
from api.sheet.reader import reader
from api.sheet.source import Source
from api.sheet.texts import first_sentence

MOST_CELLS = 60
"""More numbers than this, of many swings, and only those of each clip's first swing are printed."""

Shown = dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Number:
    told: Told
    bands: Bands | None
    reading: Reading
    where: str

    @property
    def measured(self) -> bool:
        return self.reading["value"] is not None


def numbers(source: Source) -> Shown:
    """``main`` numbers, measured or not; ``groups`` of the others that were measured; ``left_out``: how many were not printed."""
    found = list(_numbers(source))
    main = [_shown(one, whole=True) for one in found if one.told.main]
    others = [one for one in found if not one.told.main and one.measured]
    printed = others
    if len(others) > MOST_CELLS:
        printed = [one for one in others if one.reading["swing"] == 0]
    printed.sort(key=lambda one: PLACE.get(one.told.id, len(PLACE)))
    groups = [
        {
            "name": name,
            "items": _told_once([one for one in printed if group_of(one.told.id) == name]),
        }
        for name in (*GROUPS, OTHERS)
    ]
    return {
        "main": main,
        "groups": [group for group in groups if group["items"]],
        "left_out": len(others) - len(printed),
    }


def _told_once(items: Sequence[_Number]) -> list[Shown]:
    """Of several swings' readings of one number, the first says what it means."""
    shown, said = [], set()
    for one in items:
        shown.append(_shown(one, whole=False) | ({"meaning": ""} if one.told.id in said else {}))
        said.add(one.told.id)
    return shown


def _numbers(source: Source) -> Iterator[_Number]:
    """Only numbers that the clip's view can give: what the other view would show is no news."""
    readings = source.content["readings"]
    for reading in readings:
        told, view = source.checkpoint(reading["checkpoint"]), source.view_of(reading["clip_id"])
        if told is None or view not in told.views:
            continue
        alike = [
            other
            for other in readings
            if other["checkpoint"] == told.id and other["value"] is not None
        ]
        where = []
        if any(other["clip_id"] != reading["clip_id"] for other in alike):
            where.append(words.view(view))
        if any(other["swing"] != reading["swing"] for other in alike):
            where.append(f"swing {amounts.written(reading['swing'] + 1, 0)}")
        bands = bands_of(reading.get("own_bands")) or told.bands
        yield _Number(told, bands, reading, ", ".join(where))


def _shown(one: _Number, *, whole: bool) -> Shown:
    told, reading = one.told, one.reading
    shown: Shown = {
        "name": told.name,
        "where": one.where,
        "meaning": told.meaning if whole else first_sentence(told.meaning),
        "own": own_target(told, reading),
        "notes": list(notes(told, reading)),
        "value": None,
        "missing": "",
        "bar": None,
    }
    if not one.measured:
        return shown | {"missing": reader().with_numbers(reading["missing"] or "")}
    value, low, high = reading["value"], reading["low"], reading["high"]
    return shown | {
        "value": amounts.amount_with_doubt(value, low, high, told.saying),
        "band": reading["band"],
        "band_words": words.BANDS[reading["band"]],
        "bar": None if one.bands is None else bar(told, one.bands, value, low, high),
    }


def bar(told: Told, bands: Bands, value: float, low: float, high: float) -> Shown:
    """Places on a bar of width 1, and what it shows in words. Twin of ``web/src/answer/scale.ts``.

    The watch limits with a quarter of their span on both sides, so that "off target" has room, stretched to hold
    the whole interval: a value drawn at the end would look like that value.
    """
    room = (bands.watch_high - bands.watch_low) / 4.0
    start, end = min(bands.watch_low - room, low), max(bands.watch_high + room, high)

    def at(place: float) -> float:
        return min(1.0, max(0.0, (place - start) / (end - start)))

    saying = told.saying
    asked = amounts.target(bands.good_low, bands.good_high, saying)
    return {
        "watch": [at(bands.watch_low), at(bands.watch_high)],
        "good": [at(bands.good_low), at(bands.good_high)],
        "doubt": [at(low), at(high)],
        "value": at(value),
        "ends": [amounts.bound(bands.good_low, saying), amounts.bound(bands.good_high, saying)],
        "alt": (
            f"Target {asked}. Measured {amounts.amount(value, saying)}, "
            f"95 percent sure between {amounts.span(low, high, saying)}."
        ),
    }

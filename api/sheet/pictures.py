"""The stills of an answer and what lies over them. Twin of ``web/src/answer/pictures.ts``."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from api.sheet import amounts, words
from api.sheet.checkpoints import Told
from api.sheet.fonts import FAMILIES
from api.sheet.overlay import overlay
from api.sheet.source import ClipOf, Source

FIRST, MORE = 2, 12
"""Pictures on the first page, and on those after it: paper is for what the answer is about."""
MOST_BYTES = 24_000_000
"""Of all pictures together."""

_START, _END_OF_HEADERS = b"\xff\xd8", 0xDA
_SIZES = frozenset({*range(0xC0, 0xD0)} - {0xC4, 0xC8, 0xCC})
_BARE = frozenset({0x01, *range(0xD0, 0xD8)})


@dataclass(frozen=True, slots=True)
class _Still:
    picture: Mapping[str, Any]
    clip: ClipOf
    reading: Mapping[str, Any] | None
    told: Told | None
    drawings: Sequence[Mapping[str, Any]]

    @property
    def matters(self) -> bool:
        """Whether a number was read on it or the coach drew on it."""
        measured = self.reading is not None and self.reading["value"] is not None
        return measured or bool(self.drawings)


@dataclass(slots=True)
class Stills:
    """What the sheet shows, and the files that it takes. ``left_out``: pictures that are on the page alone."""

    first: list[dict[str, Any]]
    more: list[dict[str, Any]]
    left_out: int
    files: dict[str, bytes]


def stills(source: Source) -> Stills:
    """First the moments a number was read at or the coach drew on; without any, the first ones."""
    every = list(_every(source))
    matter = [one for one in every if one.matters]
    order = matter + [one for one in every if not one.matters]
    found = Stills([], [], 0, {})
    room = MOST_BYTES
    for one in order:
        shown = (
            found.first if len(found.first) < FIRST and (one.matters or not matter) else found.more
        )
        data = source.read_picture(one.picture["key"]) if len(found.more) < MORE else None
        size = None if data is None or len(data) > room else jpeg_size(data)
        if data is None or size is None:
            found.left_out += 1
            continue
        room -= len(data)
        shown.append(_shown(one, data, size, found.files))
    return found


def _every(source: Source) -> Iterator[_Still]:
    clips = {clip.id: clip for clip in source.clips}
    for picture in source.content["pictures"]:
        clip = clips.get(picture["clip_id"])
        if clip is None:
            continue
        reading, told = _reading_on(picture, source)
        drawings = [
            one
            for one in source.content.get("drawings", [])
            if (one["clip_id"], one["frame"]) == (clip.id, picture["frame"])
        ]
        yield _Still(picture, clip, reading, told, drawings)


def _reading_on(
    picture: Mapping[str, Any], source: Source
) -> tuple[Mapping[str, Any], Told] | tuple[None, None]:
    """The main number that was read on this very frame."""
    for reading in source.content["readings"]:
        told = source.checkpoint(reading["checkpoint"])
        there = all(reading[name] == picture[name] for name in ("clip_id", "swing", "frame"))
        if there and told is not None and told.main and told.keyframe == picture["keyframe"]:
            return reading, told
    return None, None


def _shown(
    one: _Still, data: bytes, size: tuple[int, int], files: dict[str, bytes]
) -> dict[str, Any]:
    name = f"picture-{len(files)}"
    files[f"{name}.jpg"] = data
    lines = one.reading is not None and not one.picture["lines_drawn"]
    shown: dict[str, Any] = {
        "file": f"{name}.jpg",
        "overlay": None,
        "ratio": size[0] / size[1],
        "caption": _caption(one),
        "alt": _alt(one),
    }
    if one.clip.size is not None and (lines or one.drawings):
        points = one.reading["points"] if lines and one.reading is not None else {}
        shift = one.reading["inputs"].get("ground_row_shift_px", 0.0) if one.reading else 0.0
        svg = overlay(*one.clip.size, points, shift, one.drawings, FAMILIES)
        shown |= {"overlay": f"{name}.svg", "ratio": one.clip.size[0] / one.clip.size[1]}
        files[f"{name}.svg"] = svg.encode()
    return shown


def _caption(one: _Still) -> tuple[str, str, str]:
    """What stands before the view, the view, which is never broken in two, and what stands after it."""
    moment, view = words.keyframe(one.picture["keyframe"]), words.view(one.clip.view)
    if one.picture.get("off_moment", False):
        return f"Near {moment.lower()}, ", view, ": the frame your coach drew on"
    return f"{moment}, ", view, ""


def _alt(one: _Still) -> str:
    moment = words.keyframe(one.picture["keyframe"]).lower()
    drawn = " Your coach drew on it." if one.drawings else ""
    if one.picture.get("off_moment", False):
        return f"Your swing near {moment}.{drawn}"
    if one.reading is None or one.told is None or one.reading["value"] is None:
        return f"Your swing at {moment}.{drawn}"
    marked = ", ".join(words.spoken(name).lower() for name in one.reading["points"])
    value = amounts.amount(one.reading["value"], one.told.saying)
    return f"Your swing at {moment}, with lines through {marked}: {value}.{drawn}"


def jpeg_size(data: bytes) -> tuple[int, int] | None:
    """Width and height of a JPEG picture (ITU-T T.81, annex B.2.2), ``None`` for what is none."""
    if not data.startswith(_START):
        return None
    at = len(_START)
    while at + 4 <= len(data) and data[at] == 0xFF:  # noqa: PLR2004 - every marker begins so
        kind = data[at + 1]
        if kind == _END_OF_HEADERS:
            return None
        if kind in _BARE:
            at += 2
            continue
        if kind in _SIZES and at + 9 <= len(data):
            height, width = (
                int.from_bytes(data[at + offset : at + offset + 2]) for offset in (5, 7)
            )
            return (width, height) if width and height else None
        at += 2 + int.from_bytes(data[at + 2 : at + 4])
    return None

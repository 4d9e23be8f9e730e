"""Rows in groups by what may make a clip hard: its rate, exposure, camera and golfer."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from tests.accuracy.rows import ClipRow, Row


@dataclass(frozen=True, slots=True)
class Factor:
    """A way to group: ``label_of`` gives a clip's group and where it sorts."""

    name: str
    words: str
    label_of: Callable[[ClipRow], tuple[float | str, str]]


def _rate(clip: ClipRow) -> tuple[float, str]:
    return clip.frame_rate, f"{clip.frame_rate:.0f} a second"


_EXPOSURE_EDGES = (1 / 125, 1 / 250, 1 / 500, 1 / 1000)
_EXPOSURE_WORDS = (
    "longer than 1/125 s",
    "1/125 to 1/250",
    "1/250 to 1/500",
    "1/500 to 1/1000",
    "shorter than 1/1000",
)


def _exposure(clip: ClipRow) -> tuple[float, str]:
    place = sum(clip.exposure_s <= edge for edge in _EXPOSURE_EDGES)
    return float(place), _EXPOSURE_WORDS[place]


_AZIMUTH_EDGES = (-6.0, -2.0, 2.0, 6.0)
_AZIMUTH_WORDS = (
    "below \N{MINUS SIGN}6 degrees",
    "\N{MINUS SIGN}6 to \N{MINUS SIGN}2",
    "\N{MINUS SIGN}2 to 2",
    "2 to 6",
    "above 6",
)


def _azimuth(clip: ClipRow) -> tuple[float, str]:
    place = sum(clip.azimuth_deg > edge for edge in _AZIMUTH_EDGES)
    return float(place), _AZIMUTH_WORDS[place]


def _build(clip: ClipRow) -> tuple[str, str]:
    return clip.build, clip.build


_GIRTHS = ("slim", "middling", "broad")


def _girth(clip: ClipRow) -> tuple[float, str]:
    words = clip.dials.get("girth", "not told")
    return float(_GIRTHS.index(words)) if words in _GIRTHS else 9.0, words


FACTORS = (
    Factor("rate", "pictures a second", _rate),
    Factor("exposure", "exposure time", _exposure),
    Factor("azimuth", "camera off its ideal place", _azimuth),
    Factor("build", "body of the golfer", _build),
    Factor("girth", "girth of the golfer", _girth),
)


def grouped(
    rows: Iterable[Row], clips: Sequence[ClipRow], factor: Factor
) -> list[tuple[str, list[Row]]]:
    """Rows by the factor's group of their clip, in the factor's order."""
    by_name: Mapping[str, ClipRow] = {clip.clip: clip for clip in clips}
    groups: dict[tuple[float | str, str], list[Row]] = {}
    for row in rows:
        groups.setdefault(factor.label_of(by_name[row.clip]), []).append(row)
    return [
        (key[1], groups[key]) for key in sorted(groups, key=lambda key: (str(type(key[0])), key))
    ]

"""The files that the pages show: one SVG a picture, and a table of their words."""

from pathlib import Path

from tests.drill_pictures.paint import extent, svg
from tests.drill_pictures.pictures import Picture, pictures

FOLDER = Path(__file__).resolve().parents[2] / "web" / "src" / "drills"
WORDS = FOLDER / "pictures.json"


def drawings() -> dict[str, str]:
    """File name -> SVG. One drill's pictures share their size, so that the golfer keeps his."""
    drawn = {}
    for drill, shown in pictures().items():
        sizes = [extent(one.view, one.shapes) for one in shown]
        high = min(size[1] for size in sizes), max(size[3] for size in sizes)
        wide = max(size[2] - size[0] for size in sizes)
        for index, (one, size) in enumerate(zip(shown, sizes, strict=True)):
            middle = (size[0] + size[2]) / 2.0
            frame = middle - wide / 2.0, high[0], middle + wide / 2.0, high[1]
            drawn[_name(drill, index)] = svg(one.view, one.shapes, frame)
    return drawn


def words() -> dict[str, list[dict[str, str]]]:
    """Drill -> its pictures' files, captions and descriptions."""
    return {
        drill: [_words(drill, index, one) for index, one in enumerate(shown)]
        for drill, shown in pictures().items()
    }


def _words(drill: str, index: int, one: Picture) -> dict[str, str]:
    return {"file": _name(drill, index), "caption": one.caption, "alt": one.alt}


def _name(drill: str, index: int) -> str:
    return f"{drill}-{index + 1}.svg"

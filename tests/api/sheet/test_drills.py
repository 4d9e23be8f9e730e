"""The drawings of a drill on its sheet: there, as lines, for the right hand; and nothing in their place without."""

from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
from hatchling.builders.wheel import WheelBuilder

from api.domain.drill_library import DRILLS
from api.sheet.contents import contents
from api.sheet.drills import FOLDER, drawings_of
from api.sheet.render import render
from tests.api.sheet.papers import images_on, pages_of, pixels_of
from tests.api.sheet.sources import drill, source

ROOT = Path(__file__).resolve().parents[3]
TROUSERS, SHAFT = (0x8F, 0xA3, 0x97), (0x0B, 0x4A, 0x6F)
CAPTION = "Lead arm level, an upright L."


def places_of(page: npt.NDArray[np.uint8], colour: tuple[int, int, int]) -> npt.NDArray[np.intp]:
    """Columns of the pixels that have this colour, last digits apart; pages are drawn blue first."""
    near = np.abs(page[..., 2::-1].astype(int) - colour).max(axis=2) <= 1
    return np.nonzero(near)[1]


def own(**more: object) -> dict[str, Any]:
    """A drill that an academy made itself: nobody drew it."""
    return drill("stop-and-look", **more) | {"drill_id": "heron-gate"}


def paper(*drills: dict[str, Any], handed: str = "right") -> bytes:
    # No still and no number: what has colour on the drills' page is a drawing.
    return render(*contents(source(drills=drills, handed=handed, readings=[], pictures=[])))


def words_of(document: bytes) -> str:
    return " ".join(" ".join(pages_of(document)).split())


def test_every_drill_of_the_library_has_drawings_with_words() -> None:
    for name in DRILLS:
        drawn = drawings_of(name)
        assert drawn, name
        for one in drawn:
            assert one.svg == (FOLDER / one.file).read_bytes()
            assert 0.3 < one.ratio < 1.5
            assert one.caption
            assert one.alt


def test_a_drill_brings_its_own_drawings_and_no_others() -> None:
    page, files = contents(source(drills=[drill("stop-and-look"), drill("towel-hug")]))
    shown = [[one["file"] for one in each["pictures"]] for each in page["drills"]]
    assert shown == [["stop-and-look-1.svg"], ["towel-hug-1.svg", "towel-hug-2.svg"]]
    assert {name for name in files if not name.startswith("picture-")} == {*shown[0], *shown[1]}


def test_the_drawing_is_printed_as_lines_with_its_words() -> None:
    document = paper(drill("stop-and-look"))
    assert CAPTION in words_of(document)
    assert sum(len(places_of(page, TROUSERS)) for page in all_pages(document)) > 100
    assert images_on(document) == 0, "vectors stay vectors"


def test_a_drill_without_drawings_has_none_and_no_room_for_them() -> None:
    with_it, without = paper(drill("stop-and-look")), paper(own())
    assert CAPTION not in words_of(without)
    assert sum(len(places_of(page, TROUSERS)) for page in all_pages(without)) == 0
    # The card ends above the drawing's height: nothing is kept free for it.
    assert lowest_ink(without) < lowest_ink(with_it) - 40


def test_a_left_handers_golfer_is_the_mirror_image() -> None:
    """At lead arm level the shaft stands on the trail side: the picture's left for a right-hander."""
    for handed, side in (("right", -1), ("left", 1)):
        pages = all_pages(paper(drill("stop-and-look"), handed=handed))
        (page,) = [one for one in pages if len(places_of(one, TROUSERS))]
        shaft, trousers = places_of(page, SHAFT).mean(), places_of(page, TROUSERS).mean()
        assert np.sign(shaft - trousers) == side, handed


def test_the_first_page_keeps_to_what_is_needed_at_the_range() -> None:
    """Drawings stand with a drill's steps: the dose and the caution of page one stay together, and are not pushed off it."""
    document = render(
        *contents(source(drills=[drill("diagonal-hinge"), drill("slow-whole-swing")]))
    )
    first = pages_of(document)[0]
    for said in ("Let it set more.", "93.2°", "At the range", "3 sets of 8", "Take care."):
        assert said in first
    assert len(places_of(pixels_of(document), TROUSERS)) == 0


def test_an_installed_package_holds_the_drawings_and_not_what_pages_are_built_from() -> None:
    packed = {
        one.distribution_path for one in WheelBuilder(str(ROOT)).recurse_selected_project_files()
    }
    wanted = {f"web/src/drills/{path.name}" for path in FOLDER.iterdir()}
    built_from = {path for path in wanted if path.endswith((".ts", ".svelte"))}
    assert built_from
    assert {path for path in packed if path.startswith("web/")} == wanted - built_from
    assert {"api/sheet/drills.py", "api/sheet/sheet.typ", "worker/cli.py"} <= packed


def all_pages(document: bytes) -> list[npt.NDArray[np.uint8]]:
    return [pixels_of(document, index) for index in range(len(pages_of(document)))]


def lowest_ink(document: bytes) -> int:
    """How far down the last page is printed above its footer, counted over all pages; points."""
    pages = all_pages(document)
    body = pages[-1][:-60, :, :3]
    rows = np.nonzero((body < 200).any(axis=(1, 2)))[0]
    return int((len(pages) - 1) * pages[-1].shape[0] + rows.max())

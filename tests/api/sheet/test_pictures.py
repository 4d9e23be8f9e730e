"""Stills and what is drawn over them: the same lines as on the page."""

import xml.etree.ElementTree as ET
from typing import Any

import cv2
import numpy as np
import pytest

from api.sheet.overlay import barbs, lines_over, overlay, smooth, wrapped
from api.sheet.pictures import jpeg_size
from tests.api.domain import vector_files

POINTS = {
    "lead_shoulder": (500.0, 300.0),
    "lead_wrist": (300.0, 300.0),
    "butt": (300.0, 300.0),
    "clubhead": (300.0, 20.0),
    "ball": (320.0, 1000.0),
}


def jpeg(width: int, height: int) -> bytes:
    done, data = cv2.imencode(".jpg", np.full((height, width, 3), 120, np.uint8))
    assert done
    return data.tobytes()


def drawn(*drawings: dict[str, Any]) -> ET.Element:
    return ET.fromstring(overlay(720, 1280, {}, 0.0, drawings, ["Noto Sans"]))  # noqa: S314 - our own


def one(shape: str, *places: tuple[float, float], **more: object) -> dict[str, Any]:
    return {"shape": shape, "stroke": "full", "places": places, "label": ""} | more


def test_the_size_of_a_picture_is_read_from_its_head() -> None:
    assert jpeg_size(jpeg(72, 128)) == (72, 128)


@pytest.mark.parametrize(
    "data",
    [b"", b"still", b"\xff\xd8", b"\xff\xd8\xff", b"\xff\xd8\xff\xe0\x00", jpeg(72, 128)[:60]],
)
def test_what_is_no_picture_has_no_size(data: bytes) -> None:
    assert jpeg_size(data) is None


def test_lines_are_those_of_the_points_at_hand() -> None:
    assert [line[0] for line in lines_over(POINTS, 0.0)] == ["arm", "shaft", "prolonged", "ground"]
    kind, start, hit = lines_over(POINTS, 20.0)[2]
    assert (kind, start, hit) == ("prolonged", (300.0, 300.0), (300.0, 1020.0))
    arm = {name: POINTS[name] for name in ("lead_shoulder", "lead_wrist")}
    assert [line[0] for line in lines_over(arm, 0.0)] == ["arm"]
    assert lines_over({}, 0.0) == []


def test_every_line_is_light_over_dark() -> None:
    picture = ET.fromstring(overlay(720, 1280, POINTS, 0.0, [], ["Noto Sans"]))  # noqa: S314 - our own
    strokes = [path.attrib["stroke"] for path in picture]
    assert strokes[::2] == ["#0b1214"] * 4
    assert strokes[1::2] == ["#ffffff", "#ffd23f", "#ffd23f", "#7fe0ff"]
    assert ["stroke-dasharray" in path.attrib for path in picture][4:6] == [True, True]


def test_drawings_keep_their_shape_and_their_dashes() -> None:
    picture = drawn(
        one("line", (1, 2), (3, 40), stroke="broken"),
        one("circle", (100, 100), (100, 130)),
        one("arrow", (0, 0), (0, 100)),
        one("free", (0, 0), (30, 60), (90, 60)),
    )
    line, circle, arrow = picture[0], picture[2], picture[4]
    assert line.attrib["d"] == "M1.00 2.00L3.00 40.00"
    assert "stroke-dasharray" in line.attrib
    assert (circle.attrib["r"], "stroke-dasharray" in circle.attrib) == ("30.00", False)
    assert arrow.attrib["d"] == "M0.00 0.00L0.00 100.00"
    assert [one.attrib["d"] for one in picture[8:]] == [smooth([(0, 0), (30, 60), (90, 60)])] * 2
    assert len(picture) == 10, "each twice, dark below light, and the arrow's head"


@pytest.mark.parametrize("line", vector_files.read("desk")["free_lines"], ids=lambda one: one["id"])
def test_a_free_line_is_drawn_as_on_the_page(line: dict[str, Any]) -> None:
    assert smooth(line["places"]) == line["path"]


def test_barbs_are_shorter_on_a_short_arrow() -> None:
    for length, reach in ((200.0, 32.0), (10.0, 6.0)):
        for x, y in barbs((0.0, 0.0), (length, 0.0), 32.0):
            assert ((x - length) ** 2 + y**2) ** 0.5 == pytest.approx(reach)


def test_a_label_is_text_and_never_markup() -> None:
    picture = drawn(one("label", (10, 10), label='<image href="x"/> & "q"'))
    written = [element for element in picture if element.tag.endswith("text")]
    assert " ".join(element.text or "" for element in written[::2]) == '<image href="x"/> & "q"'
    assert not [element for element in picture if element.tag.endswith("image")]


def test_labels_lie_on_the_side_that_has_room() -> None:
    for x, anchor in ((10, "start"), (700, "end")):
        picture = drawn(one("label", (x, 10), label="hands"))
        assert picture[2].attrib["text-anchor"] == anchor


def test_a_label_is_wrapped_as_on_the_page() -> None:
    assert wrapped("Hands stay in front of you") == ["Hands stay in", "front of you"]
    assert wrapped("a" * 40) == ["a" * 18, "a" * 18, "a" * 4]

"""Drawings on stills: what may be drawn, where, and how much."""

from dataclasses import replace

import pytest

from api.domain.drawings import (
    LONGEST_LABEL,
    MOST_ON_A_STILL,
    MOST_PLACES,
    SHORTEST_PX,
    Drawing,
    Shape,
    StillsOf,
    Stroke,
    check_drawings,
)
from api.domain.errors import Invalid
from api.domain.ids import new_id
from api.domain.names import KeyframeId
from tests.api.domain import vector_files

CLIP = new_id()
STILLS = {CLIP: StillsOf(720, 1280, 1, {60, 61})}
LINE = Drawing(
    "a", CLIP, 0, KeyframeId.TOP, 60, Shape.LINE, Stroke.FULL, ((0.0, 0.0), (720.0, 1280.0))
)
FREE = replace(
    LINE,
    id="f",
    shape=Shape.FREE,
    places=tuple((10.0 * step, 20.0 * step) for step in range(MOST_PLACES)),
)
LABEL = replace(LINE, id="b", shape=Shape.LABEL, places=((10.0, 20.0),), label="Keep this")


def test_the_page_has_the_same_limits() -> None:
    shared = vector_files.read("desk")
    assert shared["most_on_a_still"] == MOST_ON_A_STILL
    assert shared["longest_label"] == LONGEST_LABEL
    assert shared["shortest_px"] == SHORTEST_PX
    assert shared["most_places"] == MOST_PLACES


@pytest.mark.parametrize("stroke", Stroke)
def test_from_corner_to_corner_in_either_stroke(stroke: Stroke) -> None:
    shapes = (Shape.LINE, Shape.ARROW, Shape.CIRCLE)
    lines = [replace(LINE, id=shape.value, shape=shape, stroke=stroke) for shape in shapes]
    check_drawings([*lines, replace(FREE, stroke=stroke), replace(LABEL, stroke=stroke)], STILLS)


@pytest.mark.parametrize(
    "drawing",
    [
        replace(LINE, places=((0.0, 0.0), (720.5, 10.0))),
        replace(LINE, places=((0.0, -1.0), (10.0, 10.0))),
        replace(LABEL, places=((10.0, 1281.0),)),
        replace(LINE, places=((10.0, 10.0),)),
        replace(LABEL, places=LINE.places),
        replace(LINE, places=(*LINE.places, (5.0, 5.0))),
        replace(FREE, places=FREE.places[:1]),
        replace(FREE, places=(*FREE.places, (5.0, 5.0))),
        replace(FREE, places=((10.0, 10.0), (12.0, 10.0), (10.0, 12.0))),
        replace(FREE, places=(*FREE.places[:3], (721.0, 5.0))),
        replace(FREE, label="A free line has none"),
        replace(LINE, label="A line has none"),
        replace(LABEL, label=""),
        replace(LINE, places=((10.0, 10.0), (10.0, 10.0 + SHORTEST_PX - 0.1))),
        replace(LINE, frame=62),
        replace(LINE, swing=1),
        replace(LINE, clip_id=new_id()),
    ],
)
def test_what_no_student_could_be_shown_is_refused(drawing: Drawing) -> None:
    with pytest.raises(Invalid):
        check_drawings([drawing], STILLS)


def test_twelve_on_a_still_and_as_many_on_the_next() -> None:
    full = [
        replace(LINE, id=f"{frame}-{number}", frame=frame)
        for frame in (60, 61)
        for number in range(MOST_ON_A_STILL)
    ]
    check_drawings(full, STILLS)
    with pytest.raises(Invalid, match="12 drawings at most"):
        check_drawings([*full, replace(LINE, id="more")], STILLS)


def test_the_same_drawing_is_not_there_twice() -> None:
    with pytest.raises(Invalid):
        check_drawings([LINE, replace(LINE, shape=Shape.ARROW)], STILLS)


def test_one_on_a_clip_that_was_replaced_does_not_stop_the_draft() -> None:
    check_drawings([LINE], {}, kept=[LINE])
    with pytest.raises(Invalid):
        check_drawings([replace(LINE, stroke=Stroke.BROKEN)], {}, kept=[LINE])


def test_a_drawing_survives_the_draft() -> None:
    for one in (LINE, FREE, LABEL):
        assert Drawing.from_json(one.to_json()) == one


def test_a_free_line_may_end_where_it_began() -> None:
    check_drawings([replace(FREE, places=(*FREE.places[:5], FREE.places[0]))], STILLS)

"""Annotated pictures: legible on light and dark, honest about doubt, words under every number."""

import math

import numpy as np
import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Keyframe, Missing, Point, Reading
from api.domain.names import Band, KeyframeId, PointName, Unit
from worker.picture import strokes
from worker.picture.annotate import Note, PlacedPoint, _Drawing, annotate
from worker.video.frames import Picture

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
BUTT_END = CheckpointId.BUTT_END_INSIDE
SHOULDER, WRIST = (500.0, 400.0), (250.0, 400.0)
BUTT, CLUBHEAD = (240.0, 410.0), (255.0, 100.0)
BALL = (400.0, 1000.0)


def plain(grey: int, width: int = 720, height: int = 1280) -> Picture:
    return np.full((height, width, 3), grey, dtype=np.uint8)


def placed(sigma_px: float = 3.0) -> dict[PointName, PlacedPoint]:
    return {
        PointName.LEAD_SHOULDER: PlacedPoint(*SHOULDER, sigma_px),
        PointName.LEAD_WRIST: PlacedPoint(*WRIST, sigma_px),
        PointName.BUTT: PlacedPoint(*BUTT, 3.0),
        PointName.CLUBHEAD: PlacedPoint(*CLUBHEAD, 3.0),
    }


def angle_reading() -> Reading:
    points: dict[PointName, Point] = {
        PointName.LEAD_SHOULDER: SHOULDER,
        PointName.LEAD_WRIST: WRIST,
        PointName.BUTT: BUTT,
        PointName.CLUBHEAD: CLUBHEAD,
    }
    return Reading(87.0, 3.0, 81.1, 92.9, Unit.DEGREES, Band.GOOD, 5, points)


def note(**values: object) -> Note:
    given = {
        "keyframe": KeyframeId.LEAD_ARM_PARALLEL,
        "instant": Keyframe(1.4, 0.005, 84),
        "points": placed(),
        "readings": {ANGLE: angle_reading()},
    } | values
    return Note(**given)  # type: ignore[arg-type]  # a test's shorthand


def grey_at(picture: Picture, x: float, y: float) -> float:
    return float(picture[round(y), round(x)].mean())


def grey_along(
    picture: Picture, start: Point, end: Point, shares: tuple[float, float]
) -> list[float]:
    steps = np.linspace(*shares, 60)
    return [
        grey_at(picture, start[0] + s * (end[0] - start[0]), start[1] + s * (end[1] - start[1]))
        for s in steps
    ]


class TestLines:
    @pytest.mark.parametrize("ground", [0, 120, 255])
    def test_a_line_stands_out_on_any_ground(self, ground: int) -> None:
        drawn = annotate(plain(ground), note())
        x = 0.6 * SHOULDER[0] + 0.4 * WRIST[0]
        column = [grey_at(drawn, x, SHOULDER[1] + dy) for dy in range(-8, 9)]
        assert max(column) - min(column) > 110  # light core beside dark edge
        assert min(column) < 40
        assert max(column) > 140

    def test_a_sure_line_is_whole_and_an_unsure_one_dashed(self) -> None:
        sure = annotate(plain(120), note(points=placed(3.0), readings={}))
        unsure = annotate(plain(120), note(points=placed(25.0), readings={}))
        shares = (0.2, 0.8)
        assert min(grey_along(sure, SHOULDER, WRIST, shares)) > 140
        gaps = [grey < 125 for grey in grey_along(unsure, SHOULDER, WRIST, shares)]
        assert 0.2 < sum(gaps) / len(gaps) < 0.8
        # The shaft's own ends are sure, so it stays whole.
        assert min(grey_along(unsure, BUTT, CLUBHEAD, (0.3, 0.8))) > 140

    def test_an_unsure_point_has_a_ring_as_wide_as_the_doubt(self) -> None:
        points = {PointName.BALL: PlacedPoint(300.0, 600.0, 30.0)}
        drawn = annotate(plain(120), note(points=points, readings={}))
        ring = [
            grey_at(drawn, 300 + 30 * math.cos(turn), 600 + 30 * math.sin(turn))
            for turn in np.linspace(0, 2 * math.pi, 90)
        ]
        bright = sum(grey > 200 for grey in ring) / len(ring)
        assert 0.3 < bright < 0.7

    def test_only_what_is_known_is_drawn(self) -> None:
        points = {name: placed()[name] for name in (PointName.BUTT, PointName.CLUBHEAD)}
        drawn = annotate(plain(120), note(points=points, readings={}))
        assert grey_at(drawn, 375, 400) == 120

    def test_the_grip_ends_line_reaches_the_ground(self) -> None:
        butt, clubhead = (380.0, 500.0), (340.0, 200.0)
        points: dict[PointName, Point] = {
            PointName.BUTT: butt,
            PointName.CLUBHEAD: clubhead,
            PointName.BALL: BALL,
        }
        reading = Reading(
            -0.8, 0.2, -1.2, -0.4, Unit.GRIP_LENGTHS, Band.WATCH, 5, points,
            {"ground_row_shift_px": 20.0},
        )  # fmt: skip
        placed_points = {name: PlacedPoint(x, y, 2.0) for name, (x, y) in points.items()}
        drawn = annotate(plain(120), note(points=placed_points, readings={BUTT_END: reading}))
        hit_x = 380 + (1020 - 500) * 40 / 300
        assert grey_at(drawn, hit_x, 1020) > 200
        assert grey_at(drawn, (hit_x + BALL[0]) / 2, 1020) > 200
        assert grey_at(drawn, BALL[0] - 12, 1020) == 120

    @pytest.mark.parametrize("lean", [-40.0, -10.0, 0.0, 25.0])
    def test_words_stand_beside_one_another_and_not_on_points(self, lean: float) -> None:
        """The angle's number ran into "lead arm", and the grip's ring stood on the number."""
        grip = (WRIST[0] - 12.0, WRIST[1] + 8.0)
        turn = math.radians(lean)
        head = (grip[0] + 250.0 * math.sin(turn), grip[1] - 250.0 * math.cos(turn))
        points: dict[PointName, Point] = {
            PointName.LEAD_SHOULDER: SHOULDER,
            PointName.LEAD_WRIST: WRIST,
            PointName.BUTT: grip,
            PointName.CLUBHEAD: head,
        }
        reading = Reading(85.0, 4.5, 76.0, 94.0, Unit.DEGREES, Band.TOO_CLOSE, 5, points)
        placed_points = {name: PlacedPoint(x, y, 2.0) for name, (x, y) in points.items()}
        drawing = _Drawing(plain(120), note(points=placed_points, readings={ANGLE: reading}))
        drawing.draw()
        points_taken, words_taken = drawing.taken[:4], drawing.taken[4:]
        assert len(words_taken) == 3  # the number, the arm, the shaft
        px = round(34 * drawing.unit)
        for number, box in enumerate(words_taken):
            left, top, right, bottom = box
            shrunk = (left + px / 2, top + px / 4, right - px / 2, bottom - px / 4)
            for other in [*points_taken, *words_taken[:number]]:
                beside = shrunk[2] <= other[0] or other[2] <= shrunk[0]
                assert beside or shrunk[3] <= other[1] or other[3] <= shrunk[1]


class TestCaption:
    def test_it_stands_below_and_the_given_picture_is_untouched(self) -> None:
        picture = plain(120)
        drawn = annotate(picture, note())
        assert (picture == 120).all()
        assert drawn.shape[0] > 1280
        assert drawn.shape[1] == 720
        strip = drawn[1282:]
        assert np.median(strip) < 40
        assert strip.max() > 240

    def test_a_missing_reading_has_its_reason_printed(self) -> None:
        bare = annotate(plain(120), note(readings={}))
        short = annotate(plain(120), note(readings={ANGLE: Missing("Not found: grip end.")}))
        longer = annotate(plain(120), note(readings={ANGLE: Missing("Not found. " * 20)}))
        assert bare.shape[0] < short.shape[0] < longer.shape[0]

    @pytest.mark.parametrize(
        ("width", "height"), [(240, 426), (1080, 1920), (1920, 1080), (4096, 2160)]
    )
    def test_any_size_of_picture(self, width: int, height: int) -> None:
        drawn = annotate(plain(90, width, height), note(points={}))
        assert drawn.shape[1] == width
        letters = drawn[height + 2 :].max(axis=2) > 200
        assert not letters[:, -3:].any(), "words run over the edge"

    def test_points_at_and_beyond_the_edge(self) -> None:
        points = {
            PointName.LEAD_SHOULDER: PlacedPoint(0.0, 0.0, 3.0),
            PointName.LEAD_WRIST: PlacedPoint(719.0, 1279.0, 3.0),
            PointName.BUTT: PlacedPoint(719.0, 1279.0, 3.0),
            PointName.CLUBHEAD: PlacedPoint(900.0, -300.0, 3.0),
        }
        assert annotate(plain(120), note(points=points)).shape[1] == 720


def test_bold_lines_of_a_caption_fit_too() -> None:
    """Bold letters are wider: "grip lengths" once ran out of the strip."""
    head = "Where the grip end points: \u22120.1 \u00b1 0.4 grip lengths"
    for width in range(500, 900, 20):
        lines = strokes.wrap(head, 27, width, bold=True)
        assert " ".join(lines) == head
        assert max(strokes.text_size(line, 27, bold=True)[0] for line in lines) <= width

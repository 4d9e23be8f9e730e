"""Keyframe pictures with the machine's lines, points and numbers on them.

Nothing is told by colour alone: lines carry their names, unsure points and lines are dashed, the
band is a sentence, and where there is no reading its reason is printed.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import cv2
import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.geometry import GroundHit, butt_ground_hit, direction, length_px, wrap180
from api.domain.measurement import Keyframe, Missing, Reading
from api.domain.names import KeyframeId, PointName
from api.domain.unsure import is_unsure
from worker.picture import strokes, words
from worker.picture.strokes import AMBER, INK, SKY, WHITE, Pen, Position
from worker.video.frames import Picture

SHOWN_POINTS = frozenset(
    {
        PointName.LEAD_SHOULDER,
        PointName.LEAD_WRIST,
        PointName.BUTT,
        PointName.CLUBHEAD,
        PointName.BALL,
    }
)
"""Points that a line or a reading hangs on; others would only clutter the picture."""

_NEARLY_LEVEL = 0.5
"""Sine of the slope (30 degrees) under which a line counts as level for its name's place."""

_LEAST_NAMED = 60.0
"""A line shorter than this (thousandths of the picture) has no room for its name beside it."""


_SEGMENTS = (
    (PointName.LEAD_SHOULDER, PointName.LEAD_WRIST, "lead arm", AMBER),
    (PointName.BUTT, PointName.CLUBHEAD, "shaft", SKY),
)

_STEPS = 9
"""So many half lines words may be moved up or down to a free place."""

Box = tuple[float, float, float, float]
"""Left, top, right and bottom, pixels."""


@dataclass(frozen=True, slots=True)
class PlacedPoint:
    """A point on the picture and one sigma of it, pixels on each axis."""

    x: float
    y: float
    sigma_px: float

    @property
    def position(self) -> Position:
        return self.x, self.y


@dataclass(frozen=True, slots=True)
class Note:
    """What to draw on one picture. Points are upright display pixels of the original."""

    keyframe: KeyframeId
    instant: Keyframe
    points: Mapping[PointName, PlacedPoint]
    readings: Mapping[CheckpointId, Reading | Missing] = field(default_factory=dict)


def annotate(picture: Picture, note: Note) -> Picture:
    """The picture with its lines, and a caption below it. The given picture stays as it is."""
    drawing = _Drawing(picture.copy(), note)
    drawing.draw()
    return np.vstack([drawing.picture, _caption(note, picture.shape[1], drawing.unit)])


@dataclass(slots=True)
class _Drawing:
    """One picture in the making.

    ``unit`` is a thousandth of the longer side, at least one pixel; ``taken``: where a point or words
    stand already.
    """

    picture: Picture
    note: Note
    taken: list[Box] = field(default_factory=list)

    @property
    def unit(self) -> float:
        return max(0.4, self._longer_side / 1000.0)

    @property
    def _longer_side(self) -> int:
        return int(max(self.picture.shape[:2]))

    def draw(self) -> None:
        points = self.note.points
        shown = SHOWN_POINTS & points.keys()
        self.taken.extend(self._around(points[name]) for name in sorted(shown))
        for start, end, _, colour in _SEGMENTS:
            self._segment(start, end, colour)
        # Numbers first: where there is little room, a line's name gives way to them.
        for reading in self.note.readings.values():
            if isinstance(reading, Reading):
                self._reading(reading)
        for start, end, name, _ in _SEGMENTS:
            self._segment_name(start, end, name)
        for each in sorted(shown):
            self._point(points[each])
        if PointName.BALL in points:
            self._label("ball", points[PointName.BALL].position, (1.0, -0.7))

    def _ends(self, start: PointName, end: PointName) -> tuple[PlacedPoint, PlacedPoint] | None:
        points = self.note.points
        return (points[start], points[end]) if start in points and end in points else None

    def _segment(self, start: PointName, end: PointName, colour: strokes.Colour) -> None:
        ends = self._ends(start, end)
        if ends is None or math.dist(ends[0].position, ends[1].position) < 1.0:
            return
        pen = self._pen(colour, dashed=any(self._unsure(point) for point in ends))
        strokes.line(self.picture, ends[0].position, ends[1].position, pen)

    def _segment_name(self, start: PointName, end: PointName, name: str) -> None:
        ends = self._ends(start, end)
        if ends is None:
            return
        first, last = ends[0].position, ends[1].position
        if math.dist(first, last) > _LEAST_NAMED * self.unit:
            self._label_beside(name, first, last)

    def _point(self, point: PlacedPoint) -> None:
        pen = Pen(WHITE, self._width(2.0), dashed=self._unsure(point))
        strokes.ring(self.picture, point.position, self._radius(point), pen)
        strokes.dot(self.picture, point.position, 2.5 * self.unit, WHITE)

    def _radius(self, point: PlacedPoint) -> float:
        radius = 9.0 * self.unit
        if self._unsure(point):  # the ring is as wide as the doubt, within reason
            radius = min(max(radius, point.sigma_px), 40.0 * self.unit)
        return radius

    def _around(self, point: PlacedPoint) -> Box:
        reach = self._radius(point) + self._width(2.0)
        return point.x - reach, point.y - reach, point.x + reach, point.y + reach

    def _reading(self, reading: Reading) -> None:
        if PointName.LEAD_SHOULDER in reading.points:
            self._angle(reading)
        elif PointName.BALL in reading.points:
            self._ground(reading)

    def _angle(self, reading: Reading) -> None:
        """The arc between arm and shaft around the wrist, and the number beside it."""
        shoulder, wrist = (
            reading.points[PointName.LEAD_SHOULDER],
            reading.points[PointName.LEAD_WRIST],
        )
        butt, clubhead = reading.points[PointName.BUTT], reading.points[PointName.CLUBHEAD]
        arm_deg, shaft_deg = direction(wrist, shoulder), direction(butt, clubhead)
        radius = 0.4 * min(length_px(wrist, shoulder), length_px(butt, clubhead))
        strokes.arc(self.picture, wrist, radius, arm_deg, shaft_deg, Pen(WHITE, self._width(2.5)))
        middle = math.radians(arm_deg + wrap180(shaft_deg - arm_deg) / 2.0)
        outwards = (math.cos(middle), -math.sin(middle))
        # Inside the angle is the golfer's head; the number stands on the wrist's other side.
        away = (-outwards[0], -outwards[1])
        self._label(words.value_words(reading), wrist, away, size=34, bold=True)

    def _ground(self, reading: Reading) -> None:
        """The shaft prolonged to the ground, and the distance from the ball's line."""
        ball = reading.points[PointName.BALL]
        shift = reading.inputs.get("ground_row_shift_px", 0.0)
        butt = reading.points[PointName.BUTT]
        hit = butt_ground_hit(butt, reading.points[PointName.CLUBHEAD], ball[1] + shift)
        if hit is None:
            return
        line_x = ball[0] + reading.inputs.get("baseline_slope", 0.0) * shift
        strokes.line(self.picture, butt, (hit.x, hit.row), self._pen(SKY, dashed=True))
        self._ruler(hit, line_x)
        middle = ((hit.x + line_x) / 2.0, hit.row)
        self._label(words.value_words(reading), middle, (0.0, 1.0), size=34, bold=True)

    def _ruler(self, hit: GroundHit, line_x: float) -> None:
        """A measuring line on the ground with upright ends: the hit, and the ball's line."""
        pen = Pen(WHITE, self._width(2.5))
        tick = 14.0 * self.unit
        strokes.line(self.picture, (hit.x, hit.row), (line_x, hit.row), pen)
        for x in (hit.x, line_x):
            strokes.line(self.picture, (x, hit.row - tick), (x, hit.row + tick), pen)

    def _label_beside(self, name: str, start: Position, end: Position) -> None:
        """The name of a line: beside its middle, away from the picture's centre; or below it."""
        along = math.radians(direction(start, end))
        across = (math.sin(along), math.cos(along))
        middle = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
        centre_x = self.picture.shape[1] / 2.0
        side = 1.0 if across[0] * (middle[0] - centre_x) >= 0 else -1.0
        if abs(across[0]) < _NEARLY_LEVEL:  # below: above a level arm stands the angle
            side = math.copysign(1.0, across[1])
        self._label(name, middle, (side * across[0], side * across[1]))

    def _label(
        self,
        name: str,
        at: Position,
        towards: Position,
        *,
        size: int = 24,
        bold: bool = False,
    ) -> None:
        """Words next to ``at``, moved off in the direction ``towards``, kept inside the picture.

        They give way, up or down, to what stands there already; where no place near is free they stand
        where they would alone.
        """
        px = max(11, round(size * self.unit))
        width, height = strokes.text_size(name, px, bold=bold)
        gap = 0.5 * px
        down = math.copysign(1.0, towards[1]) if towards[1] else 1.0
        places = []
        for aside in (down, -down):
            for step in range(_STEPS):
                x = at[0] + towards[0] * (gap + width / 2.0) - width / 2.0
                y = at[1] + towards[1] * (gap + height / 2.0) + height / 2.0 + aside * step * gap
                x = min(max(x, gap), self.picture.shape[1] - width - gap)
                y = min(max(y, height + gap), self.picture.shape[0] - gap)
                places.append((x, y))
        x, y = next((place for place in places if self._free(*place, width, height)), places[0])
        # The next words keep a letter's width away.
        room = gap / 2.0
        self.taken.append((x - gap, y - height - room, x + width + gap, y + room))
        strokes.write(self.picture, name, (x, y), px, bold=bold, halo=True)

    def _free(self, x: float, y: float, width: float, height: float) -> bool:
        return not any(
            x < right and left < x + width and y - height < bottom and top < y
            for left, top, right, bottom in self.taken
        )

    def _unsure(self, point: PlacedPoint) -> bool:
        height, width = self.picture.shape[:2]
        return is_unsure(point.sigma_px, width, height)

    def _pen(self, colour: strokes.Colour, *, dashed: bool) -> Pen:
        return Pen(colour, self._width(3.5), dashed=dashed)

    def _width(self, thousandths: float) -> int:
        return max(1, round(thousandths * self.unit))


def _caption(note: Note, width: int, unit: float) -> Picture:
    """A dark strip with the instant, each reading in words, and what dashes mean if any are there."""
    size = max(12, round(min(26.0 * unit, width / 26.0)))
    margin = size
    texts = [(_headline(note), True)]
    for checkpoint, reading in note.readings.items():
        head, *rest = words.sentences(checkpoint, reading)
        texts += [(head, True), *((sentence, False) for sentence in rest)]
    lines = [
        (line, bold)
        for text, bold in texts
        for line in strokes.wrap(text, size, width - 2 * margin, bold=bold)
    ]
    step = round(size * 1.45)
    strip = np.full((step * len(lines) + margin, width, 3), INK, dtype=np.uint8)
    for number, (line, bold) in enumerate(lines, start=1):
        strokes.write(strip, line, (margin, number * step), size, bold=bold)
    cv2.line(strip, (0, 0), (width, 0), WHITE, 1)
    return strip


def _headline(note: Note) -> str:
    return words.title(note.keyframe, note.instant)

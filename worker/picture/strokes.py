"""Lines, dots and letters that stay legible on any picture: light inside, dark around.

Everything is drawn in place on a BGR picture. Positions are pixels, x right, y down.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2

from worker.video.frames import Picture

Position = tuple[float, float]
Colour = tuple[int, int, int]

WHITE: Colour = (255, 255, 255)
INK: Colour = (24, 20, 16)
AMBER: Colour = (60, 200, 255)
SKY: Colour = (255, 214, 120)

_FONT = cv2.FontFace("sans")
_SHIFT = 4  # OpenCV draws to a sixteenth of a pixel
_REGULAR, _BOLD = 420, 650


@dataclass(frozen=True, slots=True)
class Pen:
    """A light line of ``width`` pixels with a dark edge half as wide on either side."""

    colour: Colour
    width: int
    dashed: bool = False

    @property
    def dash_px(self) -> float:
        return 4.0 * self.width


def line(picture: Picture, start: Position, end: Position, pen: Pen) -> None:
    """Draw a straight line, in dashes where the pen says so."""
    pieces = _dashes(start, end, pen.dash_px) if pen.dashed else [(start, end)]
    for colour, width in _edge_then_core(pen):
        for first, last in pieces:
            cv2.line(picture, _fixed(first), _fixed(last), colour, width, cv2.LINE_AA, _SHIFT)


def ring(picture: Picture, centre: Position, radius: float, pen: Pen) -> None:
    """Draw a circle; a dashed one says that the point inside it is unsure."""
    arcs = [(angle, angle + 30) for angle in range(0, 360, 60)] if pen.dashed else [(0, 360)]
    for start, end in arcs:
        _arc(picture, centre, radius, (float(start), float(end)), pen)


def dot(picture: Picture, centre: Position, radius: float, colour: Colour) -> None:
    """Draw a filled dot with a dark edge."""
    for size, shade in ((radius * 1.5, INK), (radius, colour)):
        fixed = round(size * (1 << _SHIFT))
        cv2.circle(picture, _fixed(centre), fixed, shade, -1, cv2.LINE_AA, _SHIFT)


def arc(
    picture: Picture, centre: Position, radius: float, from_deg: float, to_deg: float, pen: Pen
) -> None:
    """Draw the shorter arc between two directions (degrees, 0 right, 90 up) around ``centre``."""
    turn = (to_deg - from_deg + 180.0) % 360.0 - 180.0
    # OpenCV's angles grow clockwise, because its y points down.
    low, high = sorted((-from_deg, -(from_deg + turn)))
    _arc(picture, centre, radius, (low, high), pen)


def text_size(words: str, size: int, *, bold: bool = False) -> tuple[int, int]:
    """Width and height of ``words`` at ``size`` pixels."""
    box = cv2.getTextSize((1, 1), words, (0, 0), _FONT, size, _BOLD if bold else _REGULAR)
    return int(box[2]), int(box[3])


def write(
    picture: Picture, words: str, at: Position, size: int, *, bold: bool = False, halo: bool = False
) -> None:
    """Write ``words`` in white with the left end of their base line at ``at``.

    ``halo`` puts a dark edge around, for words on the picture itself.
    """
    x, y = round(at[0]), round(at[1])
    weight = _BOLD if bold else _REGULAR
    if halo:
        reach = max(2, size // 12)
        for turn in range(0, 360, 30):
            across = round(reach * math.cos(math.radians(turn)))
            down = round(reach * math.sin(math.radians(turn)))
            cv2.putText(picture, words, (x + across, y + down), INK, _FONT, size, weight)
    cv2.putText(picture, words, (x, y), WHITE, _FONT, size, weight)


def wrap(words: str, size: int, width: int, *, bold: bool = False) -> list[str]:
    """Break ``words`` into lines that fit ``width`` pixels; a longer single word stays whole."""
    lines: list[str] = []
    current = ""
    for word in words.split():
        longer = f"{current} {word}".strip()
        if current and text_size(longer, size, bold=bold)[0] > width:
            lines.append(current)
            current = word
        else:
            current = longer
    return [*lines, current] if current else lines


def _arc(
    picture: Picture, centre: Position, radius: float, angles: tuple[float, float], pen: Pen
) -> None:
    fixed = round(radius * (1 << _SHIFT))
    for colour, width in _edge_then_core(pen):
        cv2.ellipse(
            picture,
            _fixed(centre),
            (fixed, fixed),
            0.0,
            angles[0],
            angles[1],
            colour,
            width,
            cv2.LINE_AA,
            _SHIFT,
        )


def _edge_then_core(pen: Pen) -> Sequence[tuple[Colour, int]]:
    return (INK, 2 * pen.width + 1), (pen.colour, pen.width)


def _dashes(start: Position, end: Position, dash_px: float) -> list[tuple[Position, Position]]:
    length = math.dist(start, end)
    count = max(1, int(length // (2 * dash_px)))

    def along(share: float) -> Position:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    step = 1.0 / (2 * count - 1)
    return [(along(2 * i * step), along((2 * i + 1) * step)) for i in range(count)]


def _fixed(position: Position) -> tuple[int, int]:
    return round(position[0] * (1 << _SHIFT)), round(position[1] * (1 << _SHIFT))

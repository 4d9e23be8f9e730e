"""A club: sizes by kind, and a plain mesh in the club's own frame.

Club's frame: origin at the butt end, z along the shaft to the head, x out of the face, y towards
the toe (and up, as the club lies). Lengths: common lists of club makers, men's steel, to half an
inch (the Equipment Rules, Part 2, allow 0.457 to 1.219 m). Grip: 10.5 in, common practice.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.equipment import GRIP_LENGTH_M, INCH_M
from tests.studio.body import vertex_normals
from tests.studio.dials import ClubName
from tests.studio.pose import ClubPoint

CLUB_LENGTH_M = {
    ClubName.DRIVER: 45.0 * INCH_M,
    ClubName.IRON_5: 38.0 * INCH_M,
    ClubName.IRON_7: 37.0 * INCH_M,
    ClubName.WEDGE: 35.25 * INCH_M,
}
HOSEL_FROM_SOLE_M = 0.035
LIE_DEG = {
    ClubName.DRIVER: 57.0,
    ClubName.IRON_5: 61.0,
    ClubName.IRON_7: 62.5,
    ClubName.WEDGE: 64.0,
}
FACE_FROM_HOSEL_M = 0.042
GRIP_RADIUS_M = (0.0135, 0.0095)
SHAFT_RADIUS_M = (0.0076, 0.0047)

GRAPHITE = (46, 48, 54)
RUBBER, STEEL, HEAD, WOOD = (26, 26, 28), (176, 180, 186), (150, 154, 160), (32, 34, 42)


@dataclass(frozen=True, slots=True)
class Club:
    """``vertices`` and ``normals`` (n, 3), ``triangles`` (m, 3), ``colours`` (n, 3) sRGB 0 to 1, and
    ``points`` (3,) on its axis, metres, all in the club's frame.
    """

    name: ClubName
    length_m: float
    vertices: NDArray[np.float32]
    normals: NDArray[np.float32]
    triangles: NDArray[np.int32]
    colours: NDArray[np.float32]
    points: dict[ClubPoint, NDArray[np.float64]]


def load_club(name: ClubName, *, dark_shaft: bool = False) -> Club:
    """The club called ``name``, its shaft of bright steel or of dark graphite."""
    length = CLUB_LENGTH_M[name]
    hosel = np.array([0.0, 0.0, length - HOSEL_FROM_SOLE_M])
    lie = np.radians(LIE_DEG[name])
    toe = np.array([0.0, np.sin(lie), np.cos(lie)])
    down = np.array([0.0, -np.cos(lie), np.sin(lie)])
    shaft = GRAPHITE if dark_shaft else STEEL
    pieces = [
        _tube(0.0, GRIP_LENGTH_M, *GRIP_RADIUS_M, RUBBER),
        _tube(GRIP_LENGTH_M, float(hosel[2]) + 0.02, *SHAFT_RADIUS_M, shaft),
        _driver_head(hosel, toe, down) if name is ClubName.DRIVER else _blade(hosel, toe, down),
    ]
    vertices, triangles, colours = _joined(pieces)
    return Club(
        name=name,
        length_m=length,
        vertices=vertices.astype(np.float32),
        normals=vertex_normals(vertices, triangles).astype(np.float32),
        triangles=triangles,
        colours=(colours / 255.0).astype(np.float32),
        points={
            ClubPoint.BUTT: np.zeros(3),
            ClubPoint.GRIP_END: np.array([0.0, 0.0, GRIP_LENGTH_M]),
            ClubPoint.HOSEL: hosel,
            ClubPoint.FACE: hosel + FACE_FROM_HOSEL_M * toe + np.array([0.008, 0.0, 0.0]),
        },
    )


Piece = tuple[NDArray[np.float64], NDArray[np.int32], tuple[int, int, int]]


def _joined(
    pieces: list[Piece],
) -> tuple[NDArray[np.float64], NDArray[np.int32], NDArray[np.float64]]:
    vertices, triangles, colours, count = [], [], [], 0
    for points, corners, colour in pieces:
        vertices.append(points)
        triangles.append(corners + count)
        colours.append(np.tile(np.array(colour, np.float64), (len(points), 1)))
        count += len(points)
    return np.concatenate(vertices), np.concatenate(triangles), np.concatenate(colours)


def _tube(
    start: float, end: float, first_radius: float, last_radius: float, colour: tuple[int, int, int]
) -> Piece:
    """A closed cone frustum along z, twelve-sided."""
    sides = 12
    turn = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)
    ring = np.stack([np.cos(turn), np.sin(turn), np.zeros(sides)], axis=1)
    points = np.concatenate(
        [
            ring * first_radius + [0.0, 0.0, start],
            ring * last_radius + [0.0, 0.0, end],
            [[0.0, 0.0, start], [0.0, 0.0, end]],
        ]
    )
    corners = []
    for side in range(sides):
        after = (side + 1) % sides
        corners += [
            [side, after, sides + side],
            [after, sides + after, sides + side],
            [2 * sides, after, side],
            [2 * sides + 1, sides + side, sides + after],
        ]
    return points, np.array(corners, np.int32), colour


def _blade(
    hosel: NDArray[np.float64], toe: NDArray[np.float64], down: NDArray[np.float64]
) -> Piece:
    """An iron's head: a lofted slab 80 mm long, 30 mm high at the heel and 52 mm at the toe."""
    along, out = toe, np.array([1.0, 0.0, 0.0])
    corners = []
    for reach, height in ((-0.006, 0.030), (0.076, 0.052)):
        for rise, thick in ((0.0, 0.020), (1.0, 0.006)):
            base = hosel + reach * along + HOSEL_FROM_SOLE_M * 0.85 * down
            lofted = base - rise * height * down - 0.012 * rise * out
            corners += [lofted + out * 0.006, lofted + out * (0.006 - thick)]
    return np.array(corners), _box_triangles(), HEAD


def _box_triangles() -> NDArray[np.int32]:
    """Triangles of eight corners numbered by (end, rise, side)."""
    quads = [(0, 4, 6, 2), (1, 3, 7, 5), (0, 1, 5, 4), (2, 6, 7, 3), (0, 2, 3, 1), (4, 5, 7, 6)]
    return np.array([t for a, b, c, d in quads for t in ((a, c, b), (a, d, c))], np.int32)


def _driver_head(
    hosel: NDArray[np.float64], toe: NDArray[np.float64], down: NDArray[np.float64]
) -> Piece:
    """A driver's head: an ellipsoid 120 x 110 x 60 mm behind the face."""
    rings, sides = 8, 14
    centre = hosel + 0.045 * toe + 0.004 * down - np.array([0.042, 0.0, 0.0])
    points = []
    for ring in range(rings + 1):
        polar = np.pi * ring / rings
        for side in range(sides):
            turn = 2.0 * np.pi * side / sides
            points.append(
                centre
                + 0.060 * np.cos(polar) * toe
                + 0.050 * np.sin(polar) * np.cos(turn) * np.array([1.0, 0.0, 0.0])
                + 0.030 * np.sin(polar) * np.sin(turn) * down
            )
    corners = []
    for ring in range(rings):
        for side in range(sides):
            a, b = ring * sides + side, ring * sides + (side + 1) % sides
            corners += [[a, b, a + sides], [b, b + sides, a + sides]]
    return np.array(points), np.array(corners, np.int32), WOOD

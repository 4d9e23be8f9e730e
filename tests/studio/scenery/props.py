"""Small meshes of the studio's own: a ball, a bag of clubs; and folds in clothes."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from api.domain.equipment import BALL_DIAMETER_M
from tests.studio.body import Body, vertex_normals
from tests.studio.dials import Colour, GolferDials

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Prop:
    """``vertices`` and ``normals`` (n, 3) metres, ``triangles`` (m, 3), ``colours`` (n, 3) sRGB."""

    vertices: Floats
    normals: Floats
    triangles: NDArray[np.int32]
    colours: Floats


def ball_mesh() -> Prop:
    """A golf ball about the origin."""
    points, corners = _ball(12, 20)
    return Prop(
        vertices=(points * BALL_DIAMETER_M / 2.0).astype(np.float32),
        normals=points.astype(np.float32),
        triangles=corners,
        colours=np.full((len(points), 3), 0.95, np.float32),
    )


def bag_mesh(colour: Colour) -> Prop:
    """A stand bag with a few clubs, its foot at the origin, leaning back towards +Y, 1.25 m high."""
    lean = np.array([0.0, 0.30, 0.954])
    side = np.array([1.0, 0.0, 0.0])
    body, dark, steel = np.array(colour) / 255.0, np.array([0.10] * 3), np.array([0.66, 0.67, 0.70])
    parts = [
        _bar(np.zeros(3), lean * 0.86, 0.13, 0.145, body),
        _bar(lean * 0.80, lean * 0.875, 0.152, 0.152, dark),
        _bar(lean * 0.0, lean * 0.06, 0.137, 0.137, dark),
        _bar(
            lean * 0.16 - np.array([0.0, 0.10, 0.0]),
            lean * 0.52 - np.array([0.0, 0.11, 0.0]),
            0.075,
            0.085,
            body * 0.75,
        ),
        _bar(lean * 0.70 + side * 0.05, np.array([0.22, 0.62, 0.0]), 0.010, 0.010, dark),
        _bar(lean * 0.70 - side * 0.05, np.array([-0.22, 0.62, 0.0]), 0.010, 0.010, dark),
    ]
    for turn, rise in ((0.3, 0.22), (1.4, 0.28), (2.6, 0.19), (3.9, 0.25), (5.1, 0.34)):
        foot = lean * 0.80 + 0.085 * np.array([np.cos(turn), np.sin(turn), 0.0])
        head = foot + lean * rise + 0.03 * np.array([np.cos(turn), np.sin(turn), 0.0])
        parts += [_bar(foot, head, 0.006, 0.006, steel)]
        parts += [
            _bar(head, head + np.array([0.05, 0.02, 0.035]), 0.018, 0.028, steel * (0.4 + rise))
        ]
    return _together(parts)


def clothed(body: Body, dials: GolferDials) -> Body:
    """The body with soft folds in shirt and trousers: only normals change, so nothing that is
    measured does.
    """
    cloth = np.zeros(len(body.vertices), bool)
    for colour in (dials.shirt, dials.trousers):
        cloth |= np.abs(body.colours - np.array(colour) / 255.0).max(axis=1) < 0.01
    bend = sum(
        strength * _wave_slope(body.vertices.astype(np.float64), length, i)
        for i, (length, strength) in enumerate(((0.17, 0.20), (0.085, 0.10)))
    )
    normals = body.normals + np.where(cloth[:, None], bend, 0.0)
    length = np.linalg.norm(normals, axis=1, keepdims=True)  # 0 where no triangle meets
    normals /= np.maximum(length, 1e-9)
    return replace(body, normals=normals.astype(np.float32))


def _wave_slope(at: NDArray[np.float64], length_m: float, salt: int) -> NDArray[np.float64]:
    """Slope (n, 3) of a sum of plane waves of about that length, unit size."""
    random = np.random.default_rng([77, salt])
    ways = random.standard_normal((5, 3)) * np.array([1.0, 1.0, 0.6])
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    turn = 2.0 * np.pi / length_m * (at @ ways.T) + random.uniform(0.0, 6.28, 5)
    slope: NDArray[np.float64] = np.cos(turn) @ ways / 1.6
    return slope


Part = tuple[NDArray[np.float64], NDArray[np.int32], NDArray[np.float64]]


def _together(parts: list[Part]) -> Prop:
    vertices = np.concatenate([part[0] for part in parts])
    starts = np.cumsum([0, *(len(part[0]) for part in parts[:-1])])
    corners = np.concatenate([part[1] + start for part, start in zip(parts, starts, strict=True)])
    colours = np.concatenate([np.tile(part[2], (len(part[0]), 1)) for part in parts])
    return Prop(
        vertices=vertices.astype(np.float32),
        normals=vertex_normals(vertices, corners.astype(np.int32)).astype(np.float32),
        triangles=corners.astype(np.int32),
        colours=np.clip(colours, 0.0, 1.0).astype(np.float32),
    )


def _bar(
    start: NDArray[np.float64],
    end: NDArray[np.float64],
    first_m: float,
    last_m: float,
    colour: NDArray[np.float64],
) -> Part:
    """A closed round bar, sixteen-sided."""
    sides = 16
    along = (end - start) / np.linalg.norm(end - start)
    across = np.cross(along, [0.3, 0.9, 0.1])
    across /= np.linalg.norm(across)
    turn = np.linspace(0.0, 2.0 * np.pi, sides, endpoint=False)[:, None]
    ring = np.cos(turn) * across + np.sin(turn) * np.cross(along, across)
    points = np.concatenate([start + first_m * ring, end + last_m * ring, [start, end]])
    corners = []
    for i in range(sides):
        j = (i + 1) % sides
        corners += [[i, j, sides + i], [j, sides + j, sides + i]]
        corners += [[2 * sides, j, i], [2 * sides + 1, sides + i, sides + j]]
    return points, np.array(corners, np.int32), colour


def _ball(rings: int, sides: int) -> tuple[NDArray[np.float64], NDArray[np.int32]]:
    """Unit sphere, outward triangles."""
    polar, turn = np.meshgrid(
        np.linspace(0.0, np.pi, rings + 1), 2.0 * np.pi * np.arange(sides) / sides, indexing="ij"
    )
    points = np.stack(
        [np.sin(polar) * np.cos(turn), np.sin(polar) * np.sin(turn), np.cos(polar)], axis=-1
    ).reshape(-1, 3)
    corners = []
    for ring in range(rings):
        for side in range(sides):
            a, b = ring * sides + side, ring * sides + (side + 1) % sides
            corners += [[a, a + sides, b], [b, a + sides, b + sides]]
    return points, np.array(corners, np.int32)

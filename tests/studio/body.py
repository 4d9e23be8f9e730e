"""A dressed body: mesh, skeleton and skinning weights, scaled to a golfer's stature and build.

Meshes and their licence: ``tests/studio/bodies/README.md``. The rig's own joint centres are the
truth; where a body network places a shoulder is its own matter.
"""

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.studio.dials import BodyName, GolferDials, Headwear
from tests.studio.shoes import THICK_M, with_toe_caps

FILES = {
    BodyName.MAN: "human.npz",
    BodyName.WOMAN: "human_female.npz",
    BodyName.HEAVY_MAN: "human_heavy.npz",
}
FOLDER = Path(__file__).resolve().parent / "bodies"
PART_BODY, PART_SHIRT, PART_CAP = 0, 1, 3

SHOE = (216, 216, 221)
GLOVE = (242, 242, 242)
SKIN = (204, 147, 117)
CROPPED_HAIR = (25, 17, 12)
TROUSERS_PART = 2

SHOE_SOLE_M = 0.03
"""Thickness of the modelled sole: stature is measured barefoot."""

SLEEVE_M = 0.006
HAIR_M = 0.012
SHOE_SMOOTHINGS = 12

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]


@dataclass(frozen=True, slots=True)
class Body:
    """Rest mesh and skeleton, metres, z up, facing -y, the golfer's left at +x.

    ``vertices`` (n, 3), ``normals`` (n, 3) unit, ``triangles`` (m, 3), ``weights`` (n, 4) summing
    to 1 over bones ``bones`` (n, 4), ``colours`` (n, 3) sRGB 0 to 1; ``joints`` (b, 3) rest
    joint centres, ``names`` and ``parents`` (b). ``sole_z`` is the height of the ground in this frame.
    """

    vertices: Floats
    normals: Floats
    triangles: Ints
    weights: Floats
    bones: Ints
    colours: Floats
    joints: NDArray[np.float64]
    names: tuple[str, ...]
    parents: tuple[int, ...]
    sole_z: float
    stature_m: float

    def index(self, name: str) -> int:
        """Index of a bone; ``KeyError`` for an unknown name."""
        return _indices(self.names)[name]

    def joint(self, name: str) -> NDArray[np.float64]:
        """Rest place of a joint, (3,) metres."""
        place: NDArray[np.float64] = self.joints[self.index(name)]
        return place

    def length(self, start: str, end: str) -> float:
        """Distance between two rest joints, metres."""
        return float(np.linalg.norm(self.joint(end) - self.joint(start)))


@lru_cache(maxsize=8)
def _indices(names: tuple[str, ...]) -> dict[str, int]:
    return {name: index for index, name in enumerate(names)}


@lru_cache(maxsize=16)
def load_body(dials: GolferDials) -> Body:
    """The body of a golfer, dressed, scaled and ready to be posed."""
    with np.load(FOLDER / FILES[dials.body]) as stored:
        raw = {name: stored[name] for name in stored.files}
    names = tuple(str(name) for name in raw["names"])
    vertices = raw["V"].astype(np.float64)
    joints = raw["H"].astype(np.float64)
    weights = raw["W"].astype(np.float64) / 65535.0
    weights /= weights.sum(axis=1, keepdims=True)
    bones = raw["I"].astype(np.int32)
    parents = tuple(int(parent) for parent in raw["parents"])

    scale = dials.stature_m / _standing_height(raw, names)
    vertices, joints = vertices * scale, joints * scale
    vertices = _with_girth(vertices, joints, weights, bones, parents, dials.girth)
    triangles = raw["F"].astype(np.int32)
    if dials.headwear is not Headwear.CAP:
        triangles = triangles[(raw["part"][triangles] != PART_CAP).all(axis=1)]
    outward = vertex_normals(vertices, triangles)
    colours, swell = _dress(raw, vertices, joints, names, weights, bones, dials)
    vertices = vertices + outward * swell[:, None]
    shoe = (raw["C"] == SHOE).all(axis=1) & (raw["part"] == PART_BODY)
    vertices = _as_shoes(vertices, triangles, shoe)
    vertices, normals = with_toe_caps(vertices, vertex_normals(vertices, triangles), shoe)
    return Body(
        vertices=vertices.astype(np.float32),
        normals=normals.astype(np.float32),
        triangles=triangles,
        weights=weights.astype(np.float32),
        bones=bones,
        colours=colours.astype(np.float32),
        joints=joints,
        names=names,
        parents=parents,
        sole_z=float(vertices[:, 2].min()),
        stature_m=dials.stature_m,
    )


def vertex_normals(vertices: NDArray[np.float64], triangles: Ints) -> NDArray[np.float64]:
    """Unit normals (n, 3), each the area-weighted mean of its triangles'."""
    corners = vertices[triangles]
    facing = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    total = np.zeros_like(vertices)
    for corner in range(3):
        np.add.at(total, triangles[:, corner], facing)
    length = np.linalg.norm(total, axis=1, keepdims=True)
    unit: NDArray[np.float64] = total / np.maximum(length, 1e-12)
    return unit


def _standing_height(raw: dict[str, NDArray[np.float64]], names: tuple[str, ...]) -> float:
    """Barefoot height of the unscaled mesh with its legs straight under the hips, metres."""
    joints, vertices = raw["H"].astype(np.float64), raw["V"]
    hip, knee, ankle = (
        joints[names.index(name)] for name in ("upperleg01.L", "lowerleg01.L", "foot.L")
    )
    crown = float(vertices[raw["part"] != PART_CAP, 2].max())
    leg = float(np.linalg.norm(knee - hip) + np.linalg.norm(ankle - knee))
    below_ankle = float(ankle[2] - vertices[:, 2].min())
    return crown - float(hip[2]) + leg + below_ankle - SHOE_SOLE_M


def _with_girth(
    vertices: NDArray[np.float64],
    joints: NDArray[np.float64],
    weights: NDArray[np.float64],
    bones: Ints,
    parents: tuple[int, ...],
    girth: float,
) -> NDArray[np.float64]:
    """Mesh with every vertex moved away from (or to) the axes of its own bones."""
    if girth == 1.0:
        return vertices
    ends = joints.copy()
    for bone in range(len(parents)):
        children = [child for child, parent in enumerate(parents) if parent == bone]
        if children:
            ends[bone] = joints[children].mean(axis=0)
    moved = np.zeros_like(vertices)
    for slot in range(bones.shape[1]):
        start, end = joints[bones[:, slot]], ends[bones[:, slot]]
        axis = end - start
        long = np.maximum((axis**2).sum(axis=1), 1e-9)
        share = np.clip(((vertices - start) * axis).sum(axis=1) / long, 0.0, 1.0)
        nearest = start + share[:, None] * axis
        moved += weights[:, slot, None] * (nearest + girth * (vertices - nearest))
    return moved


def _as_shoes(
    vertices: NDArray[np.float64], triangles: Ints, shoe: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """The mesh has bare feet, painted: smooth them and give them a shoe's thickness.

    The sole stays where it was, so that the feet still stand on the ground.
    """
    edges = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    edges = edges[shoe[edges].all(axis=1)]
    moved = vertices.copy()
    for _ in range(SHOE_SMOOTHINGS):
        total, count = np.zeros_like(moved), np.zeros(len(moved))
        for one, other in (edges.T, edges.T[::-1]):
            np.add.at(total, one, moved[other])
            np.add.at(count, one, 1.0)
        some = count > 0
        moved[some] = total[some] / count[some, None]
    moved[shoe] += THICK_M * vertex_normals(moved, triangles)[shoe]
    sole = float(vertices[shoe, 2].min())
    depth = float(np.median(vertices[shoe, 2])) - sole
    low = shoe & (vertices[:, 2] < sole + 0.35 * depth)
    moved[low, 2] = np.minimum(moved[low, 2], vertices[low, 2])
    moved[shoe, 2] = np.maximum(moved[shoe, 2], sole)
    return moved


def _dress(
    raw: dict[str, NDArray[np.float64]],
    vertices: NDArray[np.float64],
    joints: NDArray[np.float64],
    names: tuple[str, ...],
    weights: NDArray[np.float64],
    bones: Ints,
    dials: GolferDials,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Colours (n, 3), sRGB 0 to 1, and how far each vertex swells along its normal, metres."""
    part, given = raw["part"], raw["C"]
    colours = given.astype(np.float64).copy()
    swell = np.zeros(len(vertices))
    for stored, wanted in (
        (SKIN, dials.skin),
        (SHOE, dials.shoes),
        (CROPPED_HAIR, dials.hair if dials.headwear is not Headwear.BALD else dials.skin),
        (GLOVE, GLOVE if dials.glove else dials.skin),
    ):
        colours[(given == stored).all(axis=1)] = wanted
    colours[part == PART_SHIRT] = dials.shirt
    colours[part == TROUSERS_PART] = dials.trousers

    def share_of(*prefixes: str) -> NDArray[np.float64]:
        wanted = np.array([name.startswith(prefixes) for name in names])
        total: NDArray[np.float64] = (weights * wanted[bones]).sum(axis=1)
        return total

    bare = part == PART_BODY
    if dials.long_sleeves:
        sleeve = bare & (share_of("upperarm", "shoulder", "lowerarm") > 0.5)
        colours[sleeve] = dials.shirt
        swell[sleeve] = SLEEVE_M
    if dials.headwear is Headwear.HAIR:
        eye = joints[names.index("eye.L")]
        head = joints[names.index("head")]
        behind = (vertices[:, 1] > head[1] + 0.01) & (vertices[:, 2] > eye[2] - 0.075)
        above = vertices[:, 2] > eye[2] + 0.055
        skull = bare & (share_of("head", "special", "temporalis") > 0.5) & (behind | above)
        colours[skull] = dials.hair
        swell[skull] = HAIR_M
    return colours / 255.0, swell

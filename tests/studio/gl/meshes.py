"""Meshes on the card: people that bend, and stiff things that are drawn many times at once."""

from typing import Protocol

import moderngl
import numpy as np
from numpy.typing import NDArray

from tests.studio.gl.context import program, put
from tests.studio.pose import Array, Joint, Pose

Floats = NDArray[np.float32]
Ints = NDArray[np.int32]

MOST_COPIES = 256
BONES = 152

ALWAYS = (-1e3, 1e3)
"""A cell of time that holds every exposure."""


class Skinned(Protocol):
    """A dressed body: see ``tests.studio.body.Body``."""

    @property
    def vertices(self) -> Floats: ...
    @property
    def normals(self) -> Floats: ...
    @property
    def triangles(self) -> Ints: ...
    @property
    def weights(self) -> Floats: ...
    @property
    def bones(self) -> Ints: ...
    @property
    def colours(self) -> Floats: ...


class Stiff(Protocol):
    """A mesh without bones: see ``tests.studio.club.Club``."""

    @property
    def vertices(self) -> Floats: ...
    @property
    def normals(self) -> Floats: ...
    @property
    def triangles(self) -> Ints: ...
    @property
    def colours(self) -> Floats: ...


class Figure:
    """A person. ``shaders``: those that draw it and its shadow, for setting lens and light."""

    def __init__(self, context: moderngl.Context, body: Skinned) -> None:
        self._skin = program(context, "gl/figure.vert.glsl", "gl/figure.frag.glsl")
        self._flat = program(context, "gl/figure_shadow.vert.glsl", "gl/shadow.frag.glsl")
        self.shaders = (self._skin, self._flat)
        self._bones = context.buffer(reserve=BONES * 48)
        for shader in self.shaders:
            block = shader["Bones"]
            if isinstance(block, moderngl.UniformBlock):
                block.binding = 0
        table = np.concatenate(
            [body.vertices, body.normals, body.colours, body.weights, body.bones], axis=1
        )
        points = context.buffer(table.astype("f4").tobytes())
        whole = context.buffer(body.triangles.astype("i4").tobytes())
        coarse = context.buffer(_coarse(body).tobytes())
        names = ("in_place", "in_normal", "in_colour", "in_weight", "in_bone")
        self._drawn = context.vertex_array(
            self._skin, [(points, "3f 3f 3f 4f 4f", *names)], index_buffer=whole
        )
        self._shadow = context.vertex_array(
            self._flat,
            [(points, "3f 6x4 4f 4f", "in_place", "in_weight", "in_bone")],
            index_buffer=coarse,
        )

    def pose(self, bones: NDArray[np.float32], limbs: Array) -> None:
        """Bend it. ``bones``: (152, 4, 4) rest to world; ``limbs``: (n, 2, 4) bars that stand in
        the light, end points and radius, n up to 12.
        """
        self._bones.write(np.ascontiguousarray(bones[:, :3], np.float32).tobytes())
        self._bones.bind_to_uniform_block(0)
        bars = np.ones((2, 12, 4), np.float32)
        bars[1, :, 2] = 2.0
        bars[:, : len(limbs)] = np.swapaxes(limbs, 0, 1)
        put(self._skin, "limb_from", bars[0])
        put(self._skin, "limb_to", bars[1])
        put(self._skin, "limbs", len(limbs))

    def draw(self) -> None:
        """Draw it as it was posed last."""
        self._drawn.render(moderngl.TRIANGLES)

    def draw_shadow(self, way: Array, dark: float, layer: float, cell: tuple[float, float]) -> None:
        """Darken the ground where the light from ``way`` does not reach it."""
        put(self._flat, "light_way", tuple(way))
        put(self._flat, "dark", dark)
        put(self._flat, "layer", layer)
        put(self._flat, "cell_now", cell)
        self._shadow.render(moderngl.TRIANGLES)


class Thing:
    """A club, a ball, a bag: a stiff mesh drawn once for every cell of time."""

    def __init__(self, context: moderngl.Context, mesh: Stiff, gloss: float) -> None:
        self._solid = program(context, "gl/thing.vert.glsl", "gl/thing.frag.glsl")
        self._flat = program(context, "gl/thing_shadow.vert.glsl", "gl/shadow.frag.glsl")
        self.shaders = (self._solid, self._flat)
        put(self._solid, "gloss", gloss)
        table = np.concatenate([mesh.vertices, mesh.normals, mesh.colours], axis=1)
        points = context.buffer(table.astype("f4").tobytes())
        corners = context.buffer(mesh.triangles.astype("i4").tobytes())
        self._copies = context.buffer(reserve=MOST_COPIES * 56)
        self.count = 0
        rows = ("in_row_x", "in_row_y", "in_row_z", "in_cell")
        copies = (self._copies, "4f 4f 4f 2f/i", *rows)
        self._drawn = context.vertex_array(
            self._solid,
            [(points, "3f 3f 3f", "in_place", "in_normal", "in_colour"), copies],
            index_buffer=corners,
        )
        self._shadow = context.vertex_array(
            self._flat, [(points, "3f 24x", "in_place"), copies], index_buffer=corners
        )

    def place(self, frames: Array, cells: Array) -> None:
        """Where it is: (n, 4, 4) to the world in each of (n, 2) cells of time, seconds."""
        self.count = len(frames)
        table = np.concatenate([np.reshape(frames[:, :3], (-1, 12)), cells], axis=1)
        self._copies.write(table.astype("f4").tobytes())

    def hold_still(self) -> None:
        """Keep only the first copy, for every exposure."""
        if self.count:
            self.count = 1
            self._copies.write(np.array(ALWAYS, "f4").tobytes(), offset=48)

    def draw(self) -> None:
        """Draw every copy."""
        if self.count:
            self._drawn.render(moderngl.TRIANGLES, instances=self.count)

    def draw_shadow(self, way: Array, dark: float, layer: float, layer_step: float) -> None:
        """Darken the ground once for every copy."""
        if self.count:
            put(self._flat, "light_way", tuple(way))
            put(self._flat, "dark", dark)
            put(self._flat, "layer", layer)
            put(self._flat, "layer_step", layer_step)
            self._shadow.render(moderngl.TRIANGLES, instances=self.count)


def limbs_of(pose: Pose, stature_m: float, girth: float) -> Array:
    """(10, 2, 4) bars for ``Figure.pose``: arms, forearms, thighs, shanks, trunk and head."""
    size = stature_m / 1.78
    at = pose.joints
    bars = []
    for side in ("LEAD", "TRAIL"):
        shoulder, elbow, wrist, hip, knee, ankle = (
            at[Joint[f"{side}_{name}"]]
            for name in ("SHOULDER", "ELBOW", "WRIST", "HIP", "KNEE", "ANKLE")
        )
        bars += [(shoulder, elbow, 0.052), (elbow, wrist, 0.040)]
        bars += [(hip, knee, 0.080), (knee, ankle, 0.055)]
    hips = (at[Joint.LEAD_HIP] + at[Joint.TRAIL_HIP]) / 2.0
    shoulders = (at[Joint.LEAD_SHOULDER] + at[Joint.TRAIL_SHOULDER]) / 2.0
    ears = (at[Joint.LEAD_EAR] + at[Joint.TRAIL_EAR]) / 2.0
    bars += [(hips, shoulders, 0.135), (ears, ears + np.array([0.0, 0.0, 0.03]), 0.095)]
    radius = np.array([bar[2] for bar in bars]) * size * girth
    ends = np.array([[bar[0], bar[1]] for bar in bars])
    return np.concatenate([ends, np.repeat(radius[:, None, None], 2, axis=1)], axis=2)


def _coarse(body: Skinned) -> Ints:
    """Triangles between one vertex of every 35 mm cube: plenty for a soft shadow."""
    cubes = np.floor(body.vertices / 0.035).astype(np.int64)
    _, first, group = np.unique(cubes, axis=0, return_index=True, return_inverse=True)
    corners = first[group.reshape(-1)][body.triangles]
    a, b, c = corners.T
    kept: Ints = corners[(a != b) & (b != c) & (a != c)].astype("i4")
    return kept

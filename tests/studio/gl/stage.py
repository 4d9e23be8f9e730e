"""Draws layers of a frame with the clip's lens and light: people and things, and their shadows."""

from collections.abc import Callable, Iterable

import moderngl
import numpy as np
from numpy.typing import NDArray

from tests.studio.camera import FAR_M, NEAR_M, StudioCamera
from tests.studio.gl.buffers import SHADOW_COARSE, Box, Buffers, Picture
from tests.studio.gl.context import program, put
from tests.studio.gl.meshes import ALWAYS, Figure, Thing
from tests.studio.pose import Array, Pose
from tests.studio.scenery.lights import Light
from tests.studio.shutter import Plan

_ALWAYS = np.array([ALWAYS])


class Stage:
    """One clip's lens and light on one context. ``limbs``: the bars that shade a pose."""

    def __init__(
        self,
        context: moderngl.Context,
        camera: StudioCamera,
        light: Light,
        limbs: Callable[[Pose], Array],
    ) -> None:
        self._context, self._camera, self._light, self._limbs = context, camera, light, limbs
        self._buffers = Buffers(context, camera.width, camera.height)
        self._gather = program(context, "gl/screen.glsl", "gl/gather.frag.glsl")
        self._over = context.vertex_array(self._gather, [])
        self._shaders: list[moderngl.Program] = []
        self.use([self._gather])
        put(self._gather, "person", 0)
        put(self._gather, "fast", 1)
        context.blend_func = moderngl.ONE, moderngl.ONE
        context.depth_func = "<"
        # The picture's rows run down the buffer, which turns every triangle round.
        context.front_face = "cw"

    def use(self, shaders: Iterable[moderngl.Program]) -> None:
        """Give shaders what does not change within a clip."""
        camera, light, film = self._camera, self._light, self._camera.dials.film
        for shader in shaders:
            self._shaders.append(shader)
            for name, value in (
                ("focal", camera.focal_px),
                ("k1", camera.k1),
                ("centre", camera.centre),
                ("size", (camera.width, camera.height)),
                ("depths", (NEAR_M, FAR_M)),
                ("eye", tuple(camera.position)),
                ("sun_way", tuple(light.sun_way)),
                ("sun_light", light.sun),
                ("sky_light", light.sky),
                ("ground_light", light.ground),
                ("exposure", film.exposure_s),
                ("rolling", film.rolling_shutter_s),
                ("last_row", camera.height - 1.0),
                ("coarse", float(SHADOW_COARSE)),
            ):
                put(shader, name, value)

    def swing(
        self, plan: Plan, golfer: Figure, club: Thing, ball: Thing, boxes: tuple[Box, Box]
    ) -> tuple[Picture, Picture]:
        """The golfer's frame. ``boxes``: of the person and of the shadow. Gives (h, w, 4) light and
        cover of the first, and of the second, coarse, (h, w) the share of ground light taken.
        """
        box, ground = boxes[0], boxes[1].coarse()
        self._clear(self._buffers.gathered, box)
        self._clear(self._buffers.shadow, ground)
        layers = _Layers(2 * len(plan.fast_cells) + 8 * len(plan.body_cells))
        middle = len(plan.body_cells) // 2
        for i, (pose, cell) in enumerate(zip(plan.body, plan.body_cells, strict=True)):
            shown, dark = (self._rows_of(cell, each) for each in boxes)
            if shown.empty and dark.empty and i != middle:
                continue
            part = slice(i * plan.fast_a_body, (i + 1) * plan.fast_a_body)
            self._look(plan.start_s + float(cell.mean()))
            golfer.pose(pose.bones, self._limbs(pose))
            if not shown.empty:
                self._draw_swing(plan, part, golfer, (club, ball), shown)
                self._add(shown, cell)
            _place(plan, part, club, ball, plan.fast_cells[part])
            self._draw_shadows(golfer, (club, ball), cell, dark.coarse(), layers)
            if i == middle:
                self._draw_soft_shadows(golfer, ball, ground, layers)
        return self._buffers.read(box), self._buffers.read_shadow(ground)

    def still(self, time_s: float, draw: Callable[[], None], box: Box) -> Picture:
        """(h, w, 4) light and cover of what ``draw`` draws, as at one instant."""
        self._clear(self._buffers.gathered, box)
        self._look(time_s)
        self._begin(self._buffers.person, box, clear=True)
        draw()
        self._clear(self._buffers.fast, box)
        self._add(box, _ALWAYS[0])
        return self._buffers.read(box)

    def shade(
        self, time_s: float, draw: Callable[[Array, float, float], None], box: Box
    ) -> Picture:
        """(h, w) coarse share of ground light taken by what ``draw(way, dark, layer)`` draws for
        each light.
        """
        ground = box.coarse()
        self._clear(self._buffers.shadow, ground)
        self._look(time_s)
        layers = _Layers(len(self._light.shadows))
        self._begin(self._buffers.shadow, ground, clear=True)
        self._context.enable(moderngl.BLEND)
        for way, dark in self._light.shadows:
            draw(way, dark, layers.next(1))
        self._context.disable(moderngl.BLEND)
        return self._buffers.read_shadow(ground)

    # ------------------------------------------------------------ steps

    def _look(self, time_s: float) -> None:
        view = self._camera.view(time_s).T
        for shader in self._shaders:
            put(shader, "view", view)

    def _draw_swing(
        self, plan: Plan, part: slice, golfer: Figure, things: tuple[Thing, Thing], box: Box
    ) -> None:
        """The person, and club and ball: one copy of them hides and is hidden like the person; many
        are summed over the person's depth.
        """
        single = part.stop - part.start == 1
        _place(plan, part, *things, _ALWAYS if single else plan.fast_cells[part])
        self._clear(self._buffers.fast, box)  # shares the person's depth: first
        self._begin(self._buffers.person, box, clear=True)
        golfer.draw()
        if single:
            for thing in things:
                thing.draw()
            return
        self._begin(self._buffers.fast, box, clear=False)
        self._context.enable(moderngl.BLEND | moderngl.CULL_FACE)
        self._buffers.fast.depth_mask = False
        for thing in things:
            thing.draw()
        self._buffers.fast.depth_mask = True
        self._context.disable(moderngl.BLEND | moderngl.CULL_FACE)

    def _draw_shadows(
        self,
        golfer: Figure,
        things: tuple[Thing, Thing],
        cell: NDArray[np.float64],
        ground: Box,
        layers: "_Layers",
    ) -> None:
        """What the strongest light throws in one cell of time."""
        if ground.empty:
            return
        self._begin(self._buffers.shadow, ground, clear=False)
        self._context.enable(moderngl.BLEND)
        way, dark = self._light.shadows[0]
        golfer.draw_shadow(way, dark, layers.next(1), (float(cell[0]), float(cell[1])))
        for thing in things:
            thing.draw_shadow(way, dark, layers.next(thing.count), layers.step)
        self._context.disable(moderngl.BLEND)

    def _draw_soft_shadows(
        self, golfer: Figure, ball: Thing, ground: Box, layers: "_Layers"
    ) -> None:
        """What the other lights throw: too soft for a shaft, and for one frame's movement."""
        if ground.empty:
            return
        self._begin(self._buffers.shadow, ground, clear=False)
        self._context.enable(moderngl.BLEND)
        ball.hold_still()
        for way, dark in self._light.shadows[1:]:
            golfer.draw_shadow(way, dark, layers.next(1), ALWAYS)
            ball.draw_shadow(way, dark, layers.next(ball.count), layers.step)
        self._context.disable(moderngl.BLEND)

    def _rows_of(self, cell: NDArray[np.float64], box: Box) -> Box:
        """The part of a box whose rows are exposed during a cell of time."""
        film = self._camera.dials.film
        if film.rolling_shutter_s == 0.0:
            return box
        rows_a_s = (self._camera.height - 1) / film.rolling_shutter_s
        first = int(max(0.0, (cell[0] - film.exposure_s) * rows_a_s)) // 2 * 2
        last = int(cell[1] * rows_a_s + 2.0) // 2 * 2 + 2
        return Box(box.left, max(box.top, first), box.right, min(box.bottom, last))

    def _add(self, box: Box, cell: NDArray[np.float64]) -> None:
        """Add person and fast things, weighted by the cell's share of each row, to the frame."""
        self._begin(self._buffers.gathered, box, clear=False)
        self._buffers.person_colour.use(0)
        self._buffers.fast_colour.use(1)
        put(self._gather, "cell", (float(cell[0]), float(cell[1])))
        self._context.disable(moderngl.DEPTH_TEST)
        self._context.enable(moderngl.BLEND)
        self._over.render(moderngl.TRIANGLES, vertices=3)
        self._context.disable(moderngl.BLEND)

    def _begin(self, target: moderngl.Framebuffer, box: Box, *, clear: bool) -> None:
        target.use()
        target.scissor = box.area
        self._context.enable(moderngl.DEPTH_TEST)
        if clear:
            self._clear(target, box)

    @staticmethod
    def _clear(target: moderngl.Framebuffer, box: Box) -> None:
        target.clear(viewport=box.area)


class _Layers:
    """Hands out depths from far to near, so that in one layer only the first fragment counts."""

    def __init__(self, count: int) -> None:
        self.step = 1.9 / (count + 2)
        self._next = 0.95

    def next(self, count: int) -> float:
        """The depth of the next of ``count`` layers that are taken together."""
        self._next -= self.step * max(1, count)
        return self._next + self.step * (max(1, count) - 1)


def _place(plan: Plan, part: slice, club: Thing, ball: Thing, cells: Array) -> None:
    club.place(plan.club_frames[part], cells)
    balls = plan.balls[part]
    there = np.isfinite(balls[:, 0])
    frames = np.tile(np.eye(4), (int(there.sum()), 1, 1))
    frames[:, :3, 3] = balls[there]
    ball.place(frames, cells if len(cells) != len(there) else cells[there])

"""The empty place, drawn once for a clip in linear light, and looked at through a shaking lens."""

import math

import cv2
import moderngl
import numpy as np
from numpy.typing import NDArray

from tests.studio.camera import StudioCamera
from tests.studio.dials import Background, ClipDials
from tests.studio.gl.context import program, put
from tests.studio.pose import Array
from tests.studio.scenery.lights import Light

Picture = NDArray[np.float32]

_KIND = {
    Background.GRASS: 0,
    Background.EVENING: 0,
    Background.NET_BAY: 1,
    Background.RANGE: 2,
    Background.INDOOR: 3,
}
# Four places inside a pixel, no two in one row or column: enough for edges that never move.
_INSIDE = ((-0.375, -0.125), (-0.125, 0.375), (0.125, -0.375), (0.375, 0.125))


class Plate:
    """The empty place as the still camera sees it. ``light``: (h, w, 3) float32, linear; as large as
    the picture for a still camera, larger and without distortion for a shaking one.
    """

    def __init__(self, context: moderngl.Context, camera: StudioCamera, light: Light) -> None:
        self.camera = camera
        self._margin = _margin(camera) if camera.shaken else (0, 0)
        self._steady = _steady_plane(camera) if camera.shaken else None
        self.light = self._drawn(context, light)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height, pixels."""
        across, down = self._margin
        return self.camera.width + 2 * across, self.camera.height + 2 * down

    @property
    def centre(self) -> tuple[float, float]:
        """Pixel of the plate that the still line of sight meets."""
        return self.camera.centre[0] + self._margin[0], self.camera.centre[1] + self._margin[1]

    def at(self, time_s: float, exposure_s: float, rolling_s: float) -> Picture:
        """(H, W, 3) float32: the place as filmed in a frame whose first row starts at ``time_s``. The
        hand's blur is the mean of as many looks as keep its steps under about a pixel.
        """
        if self._steady is None:
            return self.light.copy()
        looks = self._looks(time_s, exposure_s)
        total = np.zeros((self.camera.height, self.camera.width, 3), np.float32)
        for look in range(looks):
            since_s = exposure_s * (look + 0.5) / looks
            where = self._looked_up(time_s + since_s)
            if rolling_s > 0.0:
                last = self._looked_up(time_s + since_s + rolling_s)
                where += (last - where) * _down(self.camera.height)
            total += _looked(self.light, where)
        total /= np.float32(looks)
        return total

    def _looks(self, time_s: float, exposure_s: float) -> int:
        """Looks that one exposure needs: the lens's turn in it, in pixels, at most 8."""
        turn = self.camera.shake.angles(time_s + exposure_s) - self.camera.shake.angles(time_s)
        moved_px = float(np.abs(turn[:2]).max()) * self.camera.focal_px
        return min(8, max(1, math.ceil(moved_px)))

    def _looked_up(self, time_s: float) -> Picture:
        """(H, W, 2) plate pixel of every picture pixel: a homography, since only the lens turns."""
        if self._steady is None:
            raise RuntimeError("a still camera looks nothing up")
        back = self.camera.shake.rotation(time_s).T.astype(np.float32)
        turned = self._steady @ back.T
        focal = np.float32(self.camera.focal_px)
        return turned[..., :2] / turned[..., 2:] * focal + np.array(self.centre, np.float32)

    def _drawn(self, context: moderngl.Context, light: Light) -> Picture:
        kind = _KIND[self.camera.dials.scene.background]
        shader = program(context, "gl/screen.glsl", "scenery/plate.glsl", kind=kind)
        _set_place(shader, self.camera.dials, light)
        put(shader, "eye", tuple(self.camera.position))
        put(shader, "axes", tuple(self.camera.still_axes.flatten()))
        put(shader, "focal", self.camera.focal_px)
        put(shader, "centre", self.centre)
        put(shader, "k1", 0.0 if self.camera.shaken else self.camera.k1)
        put(shader, "share", 1.0 / len(_INSIDE))
        target = context.framebuffer(context.texture(self.size, 4, dtype="f4"))
        target.use()
        target.clear()
        context.disable(moderngl.DEPTH_TEST | moderngl.CULL_FACE)
        context.enable(moderngl.BLEND)
        context.blend_func = moderngl.ONE, moderngl.ONE
        empty = context.vertex_array(shader, [])
        for inside in _INSIDE:
            put(shader, "jitter", inside)
            empty.render(moderngl.TRIANGLES, vertices=3)
        context.disable(moderngl.BLEND)
        flat = np.frombuffer(target.read(components=3, dtype="f4"), np.float32)
        for part in (empty, target, shader):
            part.release()
        return flat.reshape(self.size[1], self.size[0], 3).copy()


def _looked(light: Picture, where: Picture) -> Picture:
    """``light`` at (H, W, 2) places between its pixels."""
    seen = cv2.remap(  # type: ignore[call-overload]  # one map holds both: the stub wants a second
        light, where, None, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(seen, np.float32)


def _down(rows: int) -> Picture:
    """(rows, 1, 1) from 0 at the first row to 1 at the last."""
    return np.linspace(0.0, 1.0, rows, dtype=np.float32)[:, None, None]


def _set_place(shader: moderngl.Program, dials: ClipDials, light: Light) -> None:
    put(shader, "seed", dials.seed & 0x7FFFFFFF)
    put(shader, "matted", dials.scene.mat)
    put(shader, "sun_way", tuple(light.sun_way))
    for name, value in (
        ("sun_light", light.sun),
        ("sky_light", light.sky),
        ("lamp_light", tuple(a + b for a, b in zip(light.sun, light.sky, strict=True))),
        ("sky_top", light.sky_top),
        ("sky_low", light.sky_low),
        ("cloudy", light.cloudy),
    ):
        put(shader, name, value)


def _steady_plane(camera: StudioCamera) -> Picture:
    """(H, W, 3) directions of every pixel in the lens's own axes, distortion undone."""
    rows, columns = np.mgrid[0 : camera.height, 0 : camera.width]
    plane = camera.to_plane(np.stack([columns, rows], axis=-1))
    return np.concatenate([plane, np.ones((*plane.shape[:2], 1))], axis=-1).astype(np.float32)


def _margin(camera: StudioCamera) -> tuple[int, int]:
    """Pixels that the plate must reach beyond each side, whatever the hand does."""
    yaw, pitch, roll = camera.shake.bound_rad
    corners = np.array([[0.0, 0.0], [camera.width - 1.0, camera.height - 1.0]])
    reach: Array = np.abs(camera.to_plane(corners)).max(axis=0)
    half = np.array([camera.width, camera.height]) / 2.0
    turned = np.array([reach[0] + roll * reach[1], reach[1] + roll * reach[0]])
    bent = np.tan(np.arctan(turned) + np.array([yaw, pitch])) * 1.02
    across, down = np.maximum(0.0, bent * camera.focal_px - half)
    return math.ceil(across) + 4, math.ceil(down) + 4

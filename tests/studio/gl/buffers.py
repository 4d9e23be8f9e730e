"""The frame buffers of one picture size, drawn into and read back by boxes."""

from dataclasses import dataclass

import moderngl
import numpy as np
from numpy.typing import NDArray

SHADOW_COARSE = 2
"""Pixels of the picture a pixel of the shadow."""

Picture = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Box:
    """Columns ``left`` to ``right`` and rows ``top`` to ``bottom`` of a picture, ends excluded."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def empty(self) -> bool:
        return self.right <= self.left or self.bottom <= self.top

    @property
    def area(self) -> tuple[int, int, int, int]:
        """Left, top, width, height, as GL wants it."""
        return self.left, self.top, self.right - self.left, self.bottom - self.top

    @property
    def slices(self) -> tuple[slice, slice]:
        """Index of a (rows, columns) array."""
        return slice(self.top, self.bottom), slice(self.left, self.right)

    def coarse(self) -> "Box":
        """The box in the shadow's pixels, rounded outwards."""
        return Box(
            self.left // SHADOW_COARSE,
            self.top // SHADOW_COARSE,
            -(-self.right // SHADOW_COARSE),
            -(-self.bottom // SHADOW_COARSE),
        )


def box_around(pixels: NDArray[np.float64], pad_px: float, width: int, height: int) -> Box:
    """The box of points (n, 2) with ``pad_px`` about them, cut to the picture and to even numbers;
    the whole picture where a point lies behind the lens.
    """
    if not np.isfinite(pixels).all():
        return Box(0, 0, width, height)
    low, high = pixels.min(axis=0) - pad_px, pixels.max(axis=0) + pad_px + 1.0
    left, top = (
        int(np.clip(v, 0, end)) // 2 * 2 for v, end in zip(low, (width, height), strict=True)
    )
    right, bottom = (
        int(np.clip(-(-v // 2) * 2, 0, end)) for v, end in zip(high, (width, height), strict=True)
    )
    return Box(left, top, right, bottom)


class Buffers:
    """``person``: colour and depth, four samples a pixel. ``fast``: what moves too quickly for one
    sample, over the same depth. ``gathered``: their sum over the exposure. ``shadow``: the share
    of the ground's light that is taken away, coarse.
    """

    def __init__(self, context: moderngl.Context, width: int, height: int) -> None:
        size = (width, height)
        self.person_colour = context.texture(size, 4, samples=4, dtype="f2")
        self.fast_colour = context.texture(size, 4, samples=4, dtype="f4")
        depth = context.depth_texture(size, samples=4)
        self.person = context.framebuffer(self.person_colour, depth)
        self.fast = context.framebuffer(self.fast_colour, depth)
        self.gathered = context.framebuffer(context.texture(size, 4, dtype="f4"))
        coarse = (-(-width // SHADOW_COARSE), -(-height // SHADOW_COARSE))
        self.shadow = context.framebuffer(
            context.texture(coarse, 1, dtype="f4"), context.depth_texture(coarse)
        )

    def read(self, box: Box) -> Picture:
        """(h, w, 4) float32 of ``gathered``: light that is already weighted by its cover."""
        return _read(self.gathered, box, 4)

    def read_shadow(self, box: Box) -> Picture:
        """(h, w) float32 of ``shadow``; the box is in its pixels."""
        return _read(self.shadow, box, 1)[..., 0]


def _read(source: moderngl.Framebuffer, box: Box, components: int) -> Picture:
    raw = source.read(viewport=box.area, components=components, dtype="f4")
    _, _, width, height = box.area
    return np.frombuffer(raw, np.float32).reshape(height, width, components)

"""Clips whose every frame carries its own number, as light and dark fields a program can read."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from worker.video.probe import probe_clip
from worker.video.proxy import write_proxy

WIDTH, HEIGHT = 720, 1280
BITS = 16
COLUMNS = 4
FIELD_PX = 80
"""Side of a field. Every bit has two, the second the opposite of the first: a blend of frames cannot pass."""
LEFT_PX, TOP_PX = 40, 40
CLOCK = Fraction(1, 90_000)


@dataclass(frozen=True, slots=True)
class Cadence:
    """How often a clip shows a new frame. ``gaps_s`` are taken in turn."""

    name: str
    frames: int
    gaps_s: tuple[float, ...]

    def ticks(self) -> list[int]:
        """When each frame shows, on ``CLOCK``."""
        at, ticks = 0.0, []
        for index in range(self.frames):
            ticks.append(round(at / float(CLOCK)))
            at += self.gaps_s[index % len(self.gaps_s)]
        return ticks


def _uneven(seed: int) -> tuple[float, ...]:
    """A phone that changes its mind: 240, 120, 60, 30 and 24 a second, in runs and singly."""
    random = np.random.default_rng(seed)
    gaps = [1 / 240, 1 / 120, 1 / 60, 1 / 30, 1 / 24]
    return tuple(float(random.choice(gaps)) for _ in range(97))


CADENCES = (
    Cadence("30 a second", 150, (1 / 30,)),
    Cadence("60 a second", 240, (1 / 60,)),
    Cadence("240 a second", 480, (1 / 240,)),
    Cadence("variable", 240, _uneven(5)),
)


def fields(number: int) -> list[tuple[int, int, bool]]:
    """Left, top and light of every field of a number."""
    placed = []
    for bit in range(BITS):
        light = bool(number >> bit & 1)
        for copy, shown in enumerate((light, not light)):
            row, column = divmod(bit, COLUMNS)
            left = LEFT_PX + (2 * column + copy) * FIELD_PX
            placed.append((left, TOP_PX + row * FIELD_PX, shown))
    return placed


def picture(number: int) -> NDArray[np.uint8]:
    """A frame: its number on top, and below something that moves, so that frames lean on each other."""
    drawn = np.full((HEIGHT, WIDTH, 3), 110, np.uint8)
    rows = np.arange(HEIGHT - 400)[:, None]
    columns = np.arange(WIDTH)[None, :]
    drawn[400:, :, 1] = (rows + 2 * columns + 7 * number) % 200 + 20
    drawn[400:, :, 2] = (3 * rows - columns + 5 * number) % 160 + 40
    for left, top, light in fields(number):
        drawn[top : top + FIELD_PX, left : left + FIELD_PX] = 235 if light else 20
    return drawn


def write_film(path: Path, cadence: Cadence) -> None:
    """As a phone would: seldom a key picture, and pictures that lean on later ones."""
    with av.open(str(path), "w", format="mp4") as container:
        stream = container.add_stream("libx264", rate=60)
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        stream.time_base = stream.codec_context.time_base = CLOCK
        stream.codec_context.gop_size = 60
        stream.codec_context.max_b_frames = 2
        stream.codec_context.options = {"preset": "ultrafast", "crf": "20"}
        for number, tick in enumerate(cadence.ticks()):
            frame = VideoFrame.from_ndarray(picture(number), format="bgr24")
            frame = frame.reformat(format="yuv420p")
            frame.pts, frame.time_base = tick, CLOCK
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def make_proxy(folder: Path, cadence: Cadence) -> tuple[Path, Sequence[float]]:
    """The film of a cadence through the worker's own transcoding: the proxy and its list of times."""
    stem = cadence.name.replace(" ", "-")
    film, proxy = folder / f"{stem}-film.mp4", folder / f"{stem}.mp4"
    write_film(film, cadence)
    written = write_proxy(film, probe_clip(film), proxy)
    assert len(written.times_s) == cadence.frames, (cadence.name, len(written.times_s))
    return proxy, written.times_s

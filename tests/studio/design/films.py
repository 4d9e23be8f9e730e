"""What the phone writes: rates, exposures, compression, sound, by the light of the place."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.studio.design.columns import Columns, Rows, rows_of
from tests.studio.design.light import HIGH_SPEED, Light
from tests.studio.design.swings import about_seconds
from tests.studio.dials import CameraDials, FilmDials, Sound, SwingDials

_SHORTEST_S, _LONGEST_S = 1 / 2000, 1 / 60
_LARGE, _ALL_ROWS_AT_ONCE, _VARIABLE = 3, 4, 7
_ROTATIONS = {90: 10, 270: 4, 0: 14, 180: 4}
"""Those of upright phones first."""
_SOUND = {Sound.NONE: 10, Sound.MONO: 12, Sound.STEREO: 10}


def films(
    columns: Columns,
    light: Light,
    swings: Sequence[SwingDials],
    cameras: Sequence[CameraDials],
    *,
    slowed_most: bool,
) -> list[FilmDials]:
    """``slowed_most``: which of the two ways this half slows its high-speed files."""
    fast = light.fps >= HIGH_SPEED
    dim = light.dark + 0.15 * columns.noise() - fast
    slowed = _slowed(light.fps, slowed_most=slowed_most)
    silent_first = columns.spread(0.0, 1.0) - 0.6 * (slowed > 1.0)
    return rows_of(
        FilmDials,
        short_side=np.where(_large(columns, light, swings), 1080, 720),
        fps=light.fps,
        exposure_s=_exposures_s(columns, light, dim),
        rolling_shutter_s=_rolling_s(columns, light),
        noise=columns.spread(0.0, 1.0, by=light.dark + 0.2 * columns.noise()),
        slow_motion=slowed,
        variable_rate=columns.chosen(_VARIABLE),
        rotation_deg=_rotations_deg(columns, cameras),
        crf=np.rint(columns.spread(16.0, 32.0)).astype(int),
        sound=columns.dealt(_SOUND, by=silent_first),
        range_noise=columns.spread(0.0, 1.0),
    )


def _rotations_deg(columns: Columns, cameras: Sequence[CameraDials]) -> list[int]:
    """A phone's sensor lies across: held upright it stores a lying picture and tags a quarter turn;
    held across it needs none, or a half turn when its other side is up. Re-written files have no
    tag.
    """
    across = np.array([not camera.portrait for camera in cameras])
    return columns.dealt(_ROTATIONS, by=across + columns.spread(0.0, 0.9))


def _exposures_s(columns: Columns, light: Light, dim: NDArray[np.float64]) -> NDArray[np.float64]:
    """1/2000 to 1/60 s in even steps of stops, the longer the dimmer, none longer than a gap."""
    exposure_s = np.exp(columns.spread(np.log(_SHORTEST_S), np.log(_LONGEST_S), by=dim))
    return np.minimum(exposure_s, light.gap_s)


def _rolling_s(columns: Columns, light: Light) -> NDArray[np.float64]:
    slow_read = columns.spread(0.004, 0.030, by=light.gap_s + 0.01 * columns.noise())
    at_once = columns.chosen(_ALL_ROWS_AT_ONCE, by=slow_read + 0.01 * columns.noise())
    return np.where(at_once, 0.0, np.minimum(slow_read, 0.95 * light.gap_s))


def _large(columns: Columns, light: Light, swings: Sequence[SwingDials]) -> Rows:
    """1080 where it costs little, mostly."""
    frames = light.fps * np.array([about_seconds(swing) for swing in swings])
    return columns.chosen(_LARGE, by=frames + 40.0 * np.abs(columns.noise()))


def _slowed(fps: NDArray[np.float64], *, slowed_most: bool) -> NDArray[np.float64]:
    """Of the four files of a block at 120 frames a second two play four times slower, one twice, one
    in real time; of the two at 240 one plays eight times slower, one in real time.
    """
    slowed = np.ones(len(fps))
    slowed[fps == HIGH_SPEED] = (4.0, 1.0) if slowed_most else (4.0, 2.0)
    slowed[fps > HIGH_SPEED] = 8.0 if slowed_most else 1.0
    return slowed

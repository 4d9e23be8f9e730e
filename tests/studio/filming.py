"""One clip onto film: the golfer's motion, the camera, the pictures, the sound, the file.

Everything that decides the bytes of a video is imported from here and nothing else is, so that the
cache knows when a video is stale (``tests.studio.sources``).
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.studio.camera import StudioCamera
from tests.studio.dials import ClipDials
from tests.studio.film import FrameTimes, Picture, frame_times, write_clip
from tests.studio.pose import Motion
from tests.studio.render import Studio
from tests.studio.sound import track
from tests.studio.swing.motion import make_motion


@dataclass(frozen=True, slots=True)
class Scene:
    """What a clip's film and truth are both made from."""

    dials: ClipDials
    motion: Motion
    camera: StudioCamera
    times: FrameTimes


def set_up(dials: ClipDials) -> Scene:
    """Motion, camera and frame times of a clip; quick. Raises ``ValueError`` for dials that no body
    or phone can follow.
    """
    motion = make_motion(dials)
    return Scene(dials, motion, StudioCamera(dials), frame_times(dials, motion.duration_s))


def film_clip(
    dials: ClipDials, path: Path, *, filmed: Callable[[int], None] = lambda _frames: None
) -> None:
    """Render, encode and write one clip to ``path``. ``filmed`` is told the number of frames done
    after each.
    """
    scene = set_up(dials)
    ball_m = float(np.linalg.norm(scene.camera.position))  # the world's origin is under the ball
    sound = track(dials, scene.motion.planned_impacts_s, ball_m, scene.times)
    with Studio(dials, scene.motion, scene.camera) as studio:
        write_clip(path, dials, _pictures(studio, scene, filmed), scene.times, sound)


def _pictures(studio: Studio, scene: Scene, filmed: Callable[[int], None]) -> Iterator[Picture]:
    for index, start_s in enumerate(scene.times.capture_s):
        yield studio.frame(float(start_s), index)
        filmed(index + 1)

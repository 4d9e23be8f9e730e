"""``compute_truth``: from dials, motion, camera and frame times to everything true of a clip."""

from typing import Protocol

import numpy as np

from api.domain.names import Hand, KeyframeId
from tests.studio.camera import StudioCamera
from tests.studio.club import load_club
from tests.studio.dials import ClipDials
from tests.studio.pose import Array, ClubPoint, Motion
from tests.studio.truth.contents import CameraFacts, ClipTruth, InstantTruth, SwingTruth, Triple
from tests.studio.truth.definitions import SwingFound, swings_of
from tests.studio.truth.frames import Shutter, frame_truths, mirrored
from tests.studio.truth.names import Moment
from tests.studio.truth.sights import Scene
from tests.studio.truth.track import Track
from tests.studio.truth.when import Absent, When


class Times(Protocol):
    """What a truth needs of ``tests.studio.times.FrameTimes``."""

    @property
    def capture_s(self) -> Array: ...
    @property
    def file_s(self) -> Array: ...
    @property
    def middle_s(self) -> Array: ...
    def to_file(self, life_s: float) -> float: ...


def compute_truth(
    dials: ClipDials, motion: Motion, camera: StudioCamera, times: Times, *, studio: str = ""
) -> ClipTruth:
    """Truth of a clip. Only what was filmed counts: from the first frame's middle to the last's.

    ``studio``: version of the code, carried along. Raises ``ValueError`` for fewer than two frames.
    """
    track = Track(motion, float(times.middle_s[0]), float(times.middle_s[-1]))
    scene = scene_of(dials, track, camera)
    shutter = Shutter.of(dials.film, camera.height)
    frames = frame_truths(track, camera, shutter, times.capture_s, times.file_s)
    left = dials.golfer.handed is Hand.LEFT
    return ClipTruth(
        studio=studio,
        name=dials.name,
        view=dials.camera.view,
        handed=dials.golfer.handed,
        width=camera.width,
        height=camera.height,
        club_length_m=load_club(dials.swing.club).length_m,
        grip_length_m=scene.grip_m,
        stature_m=dials.golfer.stature_m,
        dials=dials,
        camera=camera_facts(camera),
        ideal_camera=camera_facts(camera.ideal()),
        swings=tuple(_swing(found, times) for found in swings_of(scene)),
        frames=mirrored(frames, camera.width) if left else frames,
    )


def scene_of(dials: ClipDials, track: Track, camera: StudioCamera) -> Scene:
    """What the checkpoints need to know of a clip."""
    club = load_club(dials.swing.club).points
    return Scene(
        track=track,
        view=dials.camera.view,
        ideal=camera.ideal(),
        actual=camera,
        club_m=float(np.linalg.norm(club[ClubPoint.HOSEL] - club[ClubPoint.BUTT])),
        grip_m=float(np.linalg.norm(club[ClubPoint.GRIP_END] - club[ClubPoint.BUTT])),
        stature_m=dials.golfer.stature_m,
    )


def camera_facts(camera: StudioCamera) -> CameraFacts:
    """A camera at rest, before any mirror."""
    right, down, sight = (_triple(row) for row in camera.still_axes)
    return CameraFacts(
        position_m=_triple(camera.position),
        axes=(right, down, sight),
        focal_px=float(camera.focal_px),
        centre_px=camera.centre,
        k1=float(camera.k1),
        heading_deg=float(camera.heading_deg),
        down_deg=float(camera.down_deg),
        roll_deg=float(camera.roll_deg),
    )


def _triple(values: Array) -> Triple:
    return float(values[0]), float(values[1]), float(values[2])


def _swing(found: SwingFound, times: Times) -> SwingTruth:
    return SwingTruth(
        instants={key: _on_file(found.instants[key], times) for key in KeyframeId},
        moments={key: _on_file(found.instants[key], times) for key in Moment},
        checkpoints=found.checkpoints,
    )


def _on_file(when: When, times: Times) -> InstantTruth | Absent:
    if isinstance(when, Absent):
        return when
    file_s = (times.to_file(one) for one in (when.life_s, when.from_s, when.to_s))
    return InstantTruth(when.life_s, *file_s)

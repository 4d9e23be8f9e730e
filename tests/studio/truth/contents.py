"""What a truth file holds, in typed classes. Schema ``fairlead.truth/1``.

Two clocks, as in ``tests.studio.times``: life seconds and file seconds. Space: metres in the
right-hander's world, also for a left-hander. Pixels: upright display pixels of the film as it is
(a left-hander's are mirrored), each point where its own row saw it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from api.domain.names import Hand, KeyframeId, View
from tests.studio.dials import ClipDials
from tests.studio.pose import Array
from tests.studio.truth.names import Moment, TruthId
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.when import Absent

SCHEMA = "fairlead.truth/1"
BALL = "ball"
Triple = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class InstantTruth:
    """An instant on both clocks, seconds; ``from`` and ``to`` bound a stay in which any time would
    be as right, and equal the instant where nothing stops.
    """

    life_s: float
    file_s: float
    from_file_s: float
    to_file_s: float

    @property
    def stays(self) -> bool:
        """Whether the motion stops there."""
        return self.to_file_s > self.from_file_s


@dataclass(frozen=True, slots=True)
class SwingTruth:
    """One swing. Every keyframe, moment and checkpoint is there, with its reason where it is none."""

    instants: Mapping[KeyframeId, InstantTruth | Absent]
    moments: Mapping[Moment, InstantTruth | Absent]
    checkpoints: tuple[CheckpointTruth, ...]

    def checkpoint(
        self, id_: TruthId, at: KeyframeId | Moment | None = None, part: str = ""
    ) -> CheckpointTruth:
        """The one checkpoint of an id at an instant (``None``: the first of that id and part).

        Raises ``KeyError`` when there is no such checkpoint.
        """
        for found in self.checkpoints:
            if found.id is id_ and found.part == part and (at is None or at.value == found.at):
                return found
        raise KeyError(f"no {id_.value} at {at} {part}".rstrip())


@dataclass(frozen=True, slots=True)
class CameraFacts:
    """A camera at rest. ``axes``: unit rows picture right, picture down, line of sight, world frame.

    ``focal_px`` and ``centre_px`` as in ``api.domain.projection.Camera``; ``k1`` as OpenCV's.
    Before any mirror.
    """

    position_m: Triple
    axes: tuple[Triple, Triple, Triple]
    focal_px: float
    centre_px: tuple[float, float]
    k1: float
    heading_deg: float
    down_deg: float
    roll_deg: float


@dataclass(frozen=True, slots=True, eq=False)
class Frames:
    """Every frame of the film, ``n`` of them, and ``p`` points.

    ``points``: names of joints and club points, and ``ball`` where there is one. ``life_s`` and
    ``file_s`` (n,): middle of the exposure of the middle row. ``world_m`` (n, p, 3) at ``life_s``.
    ``pixels`` (n, p, 2) where each point is seen at its own row's mid-exposure; NaN behind the lens.
    ``blur_px`` (n,): way of the hosel through the picture while its row is exposed.
    """

    points: tuple[str, ...]
    life_s: Array
    file_s: Array
    world_m: Array
    pixels: Array
    blur_px: Array

    def index(self, point: str) -> int:
        """Which of the points; ``ValueError`` for an unknown name."""
        return self.points.index(point)

    def track(self, point: str) -> Array:
        """(n, 2) pixels of one point."""
        return np.asarray(self.pixels[:, self.index(point)])

    def nearest(self, file_s: float) -> int:
        """The frame nearest to a time of the file."""
        return int(np.argmin(np.abs(self.file_s - file_s)))


@dataclass(frozen=True, slots=True, eq=False)
class ClipTruth:
    """Everything true of one clip. ``studio``: version of the code that made it."""

    studio: str
    name: str
    view: View
    handed: Hand
    width: int
    height: int
    club_length_m: float
    grip_length_m: float
    stature_m: float
    dials: ClipDials
    camera: CameraFacts
    ideal_camera: CameraFacts
    swings: tuple[SwingTruth, ...]
    frames: Frames

"""The swing network's points as they would be if it never erred: from a kept clip's own truth.

What is read from them must be the truth, so a formula, a sign or a turn of the camera that is wrong shows.
"""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Estimate, Missing
from api.domain.names import Hand, KeyframeId
from tests.studio.camera import StudioCamera
from tests.studio.truth.names import Moment
from tests.studio.truth.schema import Absent, ClipTruth, load_truth
from worker.body.swing_track import SwingTrack
from worker.measure import rhythm
from worker.measure.ideal import Space, Stand
from worker.measure.looks import Looks, looks_of_points
from worker.measure.more_readings import Place
from worker.measure.readings import Frame
from worker.measure.setting import Setting
from worker.swing.instants import Instant
from worker.swing.steady import still

CLIPS = Path(__file__).parents[2] / "clips"
SIGMA_PX = 0.5


@dataclass(frozen=True, slots=True)
class Exact:
    """One kept clip seen by a camera of our choice, without an error."""

    truth: ClipTruth
    points: SwingTrack
    looks: Looks
    instants: dict[KeyframeId, Instant | Missing]
    moments: dict[CheckpointId, Instant | Missing]
    place: Place
    setting: Setting

    def stood(self) -> tuple[Space, Stand]:
        """The points in space, and how the camera stood."""
        if self.looks.space is None or self.looks.stand is None:
            raise TypeError("these looks were not made from the network's points")
        return self.looks.space, self.looks.stand


@cache
def exact(
    name: str, azimuth_deg: float = 0.0, roll_deg: float = 0.0, tilt_deg: float = 0.0
) -> Exact:
    """The clip ``name`` as a camera that many degrees off its place would show it to a perfect network."""
    truth = load_truth(CLIPS / f"{name}.json")
    dials = replace(
        truth.dials,
        camera=replace(
            truth.dials.camera,
            azimuth_deg=azimuth_deg,
            roll_deg=roll_deg,
            tilt_deg=tilt_deg,
            distortion=0.0,
            offset_m=0.0,
            shake_deg=0.0,
        ),
    )
    camera = StudioCamera(dials)
    world, times = truth.frames.world_m, truth.frames.life_s
    seen = (world - camera.position) @ camera.axes(0.0).T
    address = _instant(truth, KeyframeId.ADDRESS)
    at = np.abs(times - address.time_s) <= 0.05
    hips = [truth.frames.index("lead_hip"), truth.frames.index("trail_hip")]
    distance = float(np.median(seen[at][:, hips, 2]))
    from_lens = world[:, hips].mean(axis=1) - camera.position
    level_m = np.hypot(from_lens[:, 0], from_lens[:, 1])
    below_deg = np.degrees(np.arctan2(-from_lens[:, 2], level_m))
    points = _track(camera.project(world, 0.0), times, seen[..., 2] - distance, camera, below_deg)
    horizon = camera.centre[1] - camera.focal_px * np.tan(np.radians(camera.down_deg))
    setting = Setting(
        Estimate(camera.focal_px / distance, 1.0),
        Estimate(distance, 0.05),
        Estimate(float(horizon), 1.0),
        camera.focal_px,
    )
    rest_s = address.time_s - rhythm.FIRST_MOVES_S
    rest = (times >= rest_s - rhythm.CALM_S) & (times <= rest_s)
    looks = looks_of_points(
        points,
        setting,
        truth.view,
        (float(camera.centre[0]), float(camera.centre[1])),
        at,
        rest if rest.any() else at,
        stature_px=truth.stature_m * camera.focal_px / distance,
        until_s=float(times[-1]),
    )
    instants: dict[KeyframeId, Instant | Missing] = {}
    for key, when in truth.swings[0].instants.items():
        instants[key] = (
            Missing(when.reason) if isinstance(when, Absent) else Instant(when.life_s, 0.001)
        )
    half = truth.swings[0].moments[Moment.SHAFT_45_BACK]
    level = truth.swings[0].moments[Moment.SHAFT_LEVEL_BACK]
    moments: dict[CheckpointId, Instant | Missing] = {}
    if not isinstance(level, Absent):
        moments[CheckpointId.CLUBHEAD_INSIDE_EARLY] = Instant(level.life_s, 0.001)
    if not isinstance(half, Absent):
        moments[CheckpointId.HANDS_OVER_TRAIL_SHOULDER] = Instant(half.life_s, 0.001)
    width = camera.width
    place = Place(
        truth.view,
        Hand.RIGHT,
        width,
        lambda row: Frame(row, Hand.RIGHT, width, 1.0, still()),
    )
    return Exact(truth, points, looks, instants, moments, place, setting)


def _instant(truth: ClipTruth, key: KeyframeId) -> Instant:
    when = truth.swings[0].instants[key]
    if isinstance(when, Absent):
        raise TypeError(f"{truth.name} has no {key}")
    return Instant(when.life_s, 0.001)


def _track(
    pixels: NDArray[np.float64],
    times: NDArray[np.float64],
    depth_m: NDArray[np.float64],
    camera: StudioCamera,
    below_deg: NDArray[np.float64],
) -> SwingTrack:
    """Points in the network's order, which is the truth file's."""
    n = len(times)
    # A ball that has flown is nowhere the network would look for it.
    lost = np.asarray(np.isnan(pixels).any(axis=2))
    pixels = np.where(lost[..., np.newaxis], 0.0, pixels)
    stood = np.tile([camera.azimuth_deg, camera.roll_deg], (n, 1))
    return SwingTrack(
        frames=np.arange(n),
        times_s=times,
        xy=pixels,
        sigma_px=np.full(pixels.shape[:2], SIGMA_PX),
        depth_m=np.where(lost, 0.0, depth_m),
        depth_sigma_m=np.full(pixels.shape[:2], 0.01),
        camera_deg=np.column_stack([stood, below_deg]),
        camera_sigma_deg=np.full((n, 3), 1e-3),
    )

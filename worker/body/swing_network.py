"""Our own small network for this motion: joints, club and ball in one square picture.

Taught on rendered practice clips (``tests/training``; its card of limits is
``worker/body/SWING_NETWORK.md``) and run by ONNX Runtime. It knows where the lead shoulder is behind
the chin, and it sees the club; how far it can be believed on a real person is checked clip by clip
against the general body network (``worker.body.agreement``).
"""

import hashlib
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cache
from pathlib import Path

import numpy as np
import onnxruntime
from numpy.typing import NDArray

from worker.body.joints import Joint
from worker.body.square import SQUARE_SIDE, Square

Array = NDArray[np.float64]

NAME = "swing_points"
"""Under which a measurement names this network."""
WEIGHTS = Path(__file__).with_name("swing_points.onnx")
LOG_B, DEPTH_LOG_B, CAMERA_LOG_B = (-2.5, 4.0), (-5.0, 2.0), (-2.0, 4.0)
"""Bounds of the log spreads in teaching (``tests/training/train.py``): beyond them nothing was learnt."""
AXIS_OVER_B = 3.0**0.5
"""One sigma of each axis over b, for a density that falls as exp(-r / b) in two dimensions: E[r^2] is
6 b^2, half of it each axis."""


class SwingPoint(IntEnum):
    """Index of a point in the network's output, for the normalised right-hander."""

    NOSE = 0
    LEAD_EAR = 1
    TRAIL_EAR = 2
    LEAD_SHOULDER = 3
    TRAIL_SHOULDER = 4
    LEAD_ELBOW = 5
    TRAIL_ELBOW = 6
    LEAD_WRIST = 7
    TRAIL_WRIST = 8
    LEAD_HIP = 9
    TRAIL_HIP = 10
    LEAD_KNEE = 11
    TRAIL_KNEE = 12
    LEAD_ANKLE = 13
    TRAIL_ANKLE = 14
    LEAD_HEEL = 15
    TRAIL_HEEL = 16
    LEAD_TOE = 17
    TRAIL_TOE = 18
    BUTT = 19
    GRIP_END = 20
    HOSEL = 21
    FACE = 22
    BALL = 23


AS_JOINT = {Joint[point.name]: point for point in SwingPoint if point.name in Joint.__members__}
"""The body network's joints that the swing network finds too."""


@dataclass(frozen=True, slots=True)
class SwingPoints:
    """Points of one frame, picture pixels.

    ``xy`` (24, 2); ``sigma_px`` (24,) one sigma each axis, as the network itself judges it;
    ``depth_m`` (24,) along the line of sight from the middle of the
    hips, away from the lens positive, and its sigma; ``camera_deg`` (3,) azimuth, roll and how far below
    level the middle of the hips is seen from the lens, and their sigmas.
    """

    xy: Array
    sigma_px: Array
    depth_m: Array
    depth_sigma_m: Array
    camera_deg: Array
    camera_sigma_deg: Array

    def scaled(self, scale: float) -> "SwingPoints":
        """The places in a picture ``scale`` times larger; the spreads stay those of this one."""
        return replace(self, xy=(self.xy + 0.5) * scale - 0.5)


@cache
def weights_sha256() -> str:
    """SHA-256 of the weights, which names the network in every measurement."""
    return hashlib.sha256(WEIGHTS.read_bytes()).hexdigest()


class SwingNetwork:
    """Runs the network; ``find`` may be called from several threads at once."""

    def __init__(self, threads: int = 1) -> None:
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.inter_op_num_threads = 1
        options.log_severity_level = 3
        self._session = onnxruntime.InferenceSession(
            str(WEIGHTS), options, providers=["CPUExecutionProvider"]
        )

    def find(self, rgb: NDArray[np.uint8], square: Square) -> SwingPoints:
        """Points in ``square`` of an RGB picture."""
        raw = self._session.run(None, {"picture": square.cut(rgb)[np.newaxis]})
        places, log_b, depth, depth_log_b, camera, camera_log_b = (
            np.asarray(part[0], dtype=np.float64) for part in raw
        )
        picture_px = square.side / SQUARE_SIDE
        return SwingPoints(
            xy=square.to_picture(places),
            sigma_px=AXIS_OVER_B * np.exp(np.clip(log_b, *LOG_B)) * picture_px,
            depth_m=depth,
            # A Laplace density's sigma is the root of two times its scale.
            depth_sigma_m=np.sqrt(2.0) * np.exp(np.clip(depth_log_b, *DEPTH_LOG_B)),
            camera_deg=camera,
            camera_sigma_deg=np.sqrt(2.0) * np.exp(np.clip(camera_log_b, *CAMERA_LOG_B)),
        )

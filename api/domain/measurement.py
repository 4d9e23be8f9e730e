"""The measurement contract ``fairlead.measurement/1``: what a worker hands to everyone else.

All points are upright display pixels of the original clip (rotation applied, the golfer's own
handedness, never mirrored), x right, y down. Times are seconds on the file's presentation clock.
Intervals are 95 %. A thing that could not be measured is ``Missing`` with a reason, never a guess.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Band, KeyframeId, PointName, Unit, View

SCHEMA = "fairlead.measurement/1"

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Missing:
    """No value, and why, in words a student may read."""

    reason: str


@dataclass(frozen=True, slots=True)
class Keyframe:
    """An instant. ``frame`` is the index of the shown frame nearest to ``time_s``."""

    time_s: float
    sigma_s: float
    frame: int


@dataclass(frozen=True, slots=True)
class Reading:
    """A checkpoint's value. ``low`` and ``high`` bound the 95 % interval.

    ``points`` are what it was computed from, on the picture at ``frame``.
    ``inputs`` are the other numbers the formula took (scale, horizon, spread terms): with
    ``points`` they let ``api.domain.checkpoints.evaluate`` give the same value again.
    """

    value: float
    sigma: float
    low: float
    high: float
    unit: Unit
    band: Band
    frame: int
    points: Mapping[PointName, Point]
    inputs: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A number with one sigma, for camera facts."""

    value: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Problem:
    """Something about the filming that costs accuracy, in words a student can act on.

    ``severity`` is ``info``, ``warning`` or ``serious``.
    """

    code: str
    severity: str
    message: str


@dataclass(frozen=True, slots=True)
class Finding:
    """A pattern seen. ``sure`` is False when an interval straddles the limit."""

    code: str
    sure: bool
    because: tuple[CheckpointId, ...]


@dataclass(frozen=True, slots=True)
class Swing:
    """One swing found in the clip, with everything read from it."""

    keyframes: Mapping[KeyframeId, Keyframe | Missing]
    checkpoints: Mapping[CheckpointId, Reading | Missing]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class ClipFacts:
    """What the container says, checked against the frames actually shown."""

    width: int
    height: int
    frames: int
    duration_s: float
    frame_rate: float
    variable_rate: bool
    rotation_deg: int
    has_audio: bool


@dataclass(frozen=True, slots=True)
class Seen:
    """The camera's place as judged from the picture. ``None`` where it cannot be judged."""

    declared: View
    seen: View | None
    azimuth_deg: Estimate | None
    roll_deg: Estimate | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class Measurement:
    """Everything measured on one clip by one version of the pipeline."""

    clip: ClipFacts
    view: Seen
    swings: tuple[Swing, ...]
    timing: Mapping[str, float]
    pipeline: str
    models: Mapping[str, str]

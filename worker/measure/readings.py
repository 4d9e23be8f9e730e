"""The two readings of one swing, with every error term. Points in working pixels, normalised.

The formula and the sum of terms are ``api.domain.checkpoints.evaluate``; here the terms are
gathered. All pixel inputs are handed over in original display pixels by ``Frame``.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_formulas import TO_IDEAL, TO_INSTANT
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import evaluate, sigma_input, to_reading
from api.domain.equipment import GRIP_LENGTH_M
from api.domain.geometry import depth_corrected_line
from api.domain.measurement import Estimate, Missing, Point, Reading
from api.domain.mirror import normalise_point
from api.domain.names import Hand, PointName
from worker.measure.ground import Behind, Ground
from worker.measure.residuals import residual
from worker.swing.steady import move

VIEW_SIGMA_DEG = math.hypot(2.8, 1.2)
"""Yaw of sigma 4 degrees on a shaft leaning about 35 degrees in depth, and roll through the instant
(a working budget, no source)."""
SHAFT_RESIDUAL_DEG = 1.0
"""What a bent, blurred or rolling-shutter shaft leaves: lean of 2.1 degrees at 5 m/s (section 5),
half of it in the grip-side direction. Working value until coaches' corrections replace it."""
DEFAULT_RATE_DEG_PER_S = 250.0
"""Assumed set rate at lead arm parallel where the clip does not give one (section 5)."""
BUTT_GRIP_PER_DEG = 0.09
"""Grip lengths per degree of shaft (C02 sense check), for turning a rate into grips."""


@dataclass(frozen=True, slots=True)
class Frame:
    """From working pixels to the original picture of one frame.

    ``scale``: original per working pixel. ``unsteady`` (2 x 3) takes steadied working pixels back
    to the frame's own. ``width_px``: the original's width.
    """

    number: int
    handed: Hand
    width_px: int
    scale: float
    unsteady: NDArray[np.float64]

    def original(self, point: Point) -> Point:
        """Steadied, working, normalised -> original display pixels of this frame."""
        own = move(self.unsteady, np.array(point))
        x, y = (float((value + 0.5) * self.scale - 0.5) for value in own)
        return normalise_point((x, y), self.handed, self.width_px)


@dataclass(frozen=True, slots=True)
class Spot:
    """A point with one sigma, working pixels."""

    at: Point
    sigma_px: float


def shared_instant_sigma(
    sigma_s: float, off_s: float, *, shaft_rate: float, arm_rate: float
) -> float:
    """What the instant adds to the arm-shaft angle beyond the points' own term, degrees.

    The instant comes from the arm's own points: where the shoulder errs, the arm is called level
    too late, and the shaft has moved on. Both errors have one cause and add with their sign: together
    they make ``shaft_rate * sigma_s``. The points' term already holds ``arm_rate * sigma_s``; this
    returns the rest, so that the squares sum to the whole. ``off_s``, from the instant to the frame
    shown, turns both arm and shaft and is independent. Rates in degrees per second.
    """
    rest = max(shaft_rate**2 - arm_rate**2, (shaft_rate - arm_rate) ** 2)
    return math.hypot(math.sqrt(rest) * sigma_s, (shaft_rate - arm_rate) * off_s)


def butt_per_degree(direction_deg: float) -> float:
    """Grip lengths that one degree of shaft moves the butt end's ground point.

    ``BUTT_GRIP_PER_DEG`` holds between pitches of 58.7 and 69.4 degrees; the ground point moves
    with one over the squared sine of the pitch.
    """
    sine = abs(math.sin(math.radians(direction_deg)))
    usual = math.sin(math.radians((58.7 + 69.4) / 2.0))
    return BUTT_GRIP_PER_DEG * (usual / max(sine, 0.2)) ** 2


def lead_arm_shaft_reading(
    spots: Mapping[PointName, Spot],
    instant_sigma: float,
    frame: Frame,
    to_instant: float = 0.0,
    view: Estimate | None = None,
) -> Reading | Missing:
    """Face-on: angle between lead arm and shaft at lead arm parallel, drawn on its nearest frame.

    ``instant_sigma``: what the instant's own error adds, degrees. ``to_instant``: what the angle
    changes from the frame to the instant, degrees. ``view``: what it changes from this camera to the ideal
    one, where that is known.
    """
    to_ideal = Estimate(0.0, VIEW_SIGMA_DEG) if view is None else view
    inputs = {
        **_point_inputs(spots, frame),
        TO_INSTANT: to_instant,
        TO_IDEAL: to_ideal.value,
        "sigma_instant": instant_sigma,
        "sigma_view": to_ideal.sigma,
        "sigma_residual": residual(CheckpointId.LEAD_ARM_SHAFT_ANGLE, SHAFT_RESIDUAL_DEG),
    }
    return _reading(CheckpointId.LEAD_ARM_SHAFT_ANGLE, spots, inputs, frame)


def butt_end_reading(
    spots: Mapping[PointName, Spot],
    instant_sigma: float,
    per_degree: float,
    frame: Frame,
    behind: Behind,
    to_instant: float = 0.0,
) -> Reading | Missing:
    """Down-the-line: where the butt end points on the ground.

    ``instant_sigma`` and ``to_instant`` (from the frame to the instant) in grip lengths; ``per_degree``: grip lengths
    per degree of shaft. The picture's own number takes the line for one that runs to its vanishing point over level
    rows; what azimuth, roll and tilt change in it is ``to_ideal``. The view and depth terms are the changes of
    the reading when the camera's place moves by one sigma.
    """
    ground = behind.ground
    value = ground_value(ground, spots)
    if spots[PointName.BALL].at[1] <= ground.vanishing_point()[1]:
        return Missing("The camera stands too low to see where the grip end points.")
    inputs = {
        **_ground_inputs(spots, frame, ground),
        **_point_inputs(spots, frame),
        TO_INSTANT: to_instant,
        TO_IDEAL: 0.0,
        "sigma_instant": instant_sigma,
        "sigma_view": 0.0,
        "sigma_depth": 0.0,
        "sigma_residual": residual(CheckpointId.BUTT_END_INSIDE, per_degree * SHAFT_RESIDUAL_DEG),
        "sigma_scale": behind.px_per_m.sigma / behind.px_per_m.value,
    }
    in_picture = _reading(CheckpointId.BUTT_END_INSIDE, spots, inputs, frame)
    if isinstance(in_picture, Missing):
        return in_picture
    if value is None:
        return Missing(NO_GROUND)
    inputs[TO_IDEAL] = value - (in_picture.value - to_instant)
    inputs["sigma_view"] = _changed_by(behind.turned(), spots, value)
    inputs["sigma_depth"] = _changed_by(behind.moved(), spots, value)
    return _reading(CheckpointId.BUTT_END_INSIDE, spots, inputs, frame)


NO_GROUND = "The shaft's line runs along the ground rather than into it, as the camera stands."


def ground_value(ground: Ground, spots: Mapping[PointName, Spot]) -> float | None:
    """Where the butt end points on a frame, grip lengths; ``None`` where it gives no number."""
    butt, clubhead, ball = (
        spots[name].at for name in (PointName.BUTT, PointName.CLUBHEAD, PointName.BALL)
    )
    return ground.inside_grips(butt, clubhead, ball)


def _reading(
    checkpoint: CheckpointId,
    spots: Mapping[PointName, Spot],
    inputs: Mapping[str, float],
    frame: Frame,
) -> Reading | Missing:
    points = {name: frame.original(spot.at) for name, spot in spots.items()}
    value = evaluate(checkpoint, points, inputs, handed=frame.handed, width_px=frame.width_px)
    if isinstance(value, Missing):
        return value
    return to_reading(value, frame=frame.number, points=points, inputs=inputs)


def _point_inputs(spots: Mapping[PointName, Spot], frame: Frame) -> dict[str, float]:
    return {sigma_input(name): spot.sigma_px * frame.scale for name, spot in spots.items()}


def _ground_inputs(
    spots: Mapping[PointName, Spot], frame: Frame, ground: Ground
) -> dict[str, float]:
    """The ball-target line as the picture shows it, in original pixels; sign of slope per original picture."""
    line = depth_corrected_line(
        spots[PointName.BALL].at,
        ground.vanishing_point(),
        camera_to_ball_m=ground.distance_m,
        nearer_m=ground.nearer_m,
    )
    mirrored = -1.0 if frame.handed is Hand.LEFT else 1.0
    return {
        "px_per_grip": ground.px_per_m * GRIP_LENGTH_M * frame.scale,
        "ground_row_shift_px": line.row_shift_px * frame.scale,
        "scale_ratio": line.scale_ratio,
        "baseline_slope": mirrored * line.slope,
    }


def _changed_by(grounds: Sequence[Ground], spots: Mapping[PointName, Spot], value: float) -> float:
    """What other places of the camera change, taken together; a hit that is lost counts as one whole grip length."""
    moved = [ground_value(ground, spots) for ground in grounds]
    return math.hypot(*(1.0 if one is None else abs(one - value) for one in moved))

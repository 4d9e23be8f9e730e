"""What changes when a coach places points by hand: the points, and how well they are known."""

from collections.abc import Mapping

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import (
    CHECKPOINTS,
    COACH_MARKING_SIGMA_DEG,
    COACH_POINT_SIGMA_PX,
    sigma_input,
)
from api.domain.measurement import Point
from api.domain.names import PointName

UNKNOWN_ANGLE_INPUTS: Mapping[str, float] = {
    "sigma_instant": 2.4,
    "sigma_view": 3.1,
    "sigma_residual": 0.0,
}
"""For a clip the machine could not read, degrees: the nearest of 30 pictures a second at 250 deg/s
(2.4), yaw of sigma 4 degrees on a shaft leaning 35 degrees in depth (2.8) and roll (1.2). Working
values, to be refitted from coach corrections."""


def place_points(
    checkpoint: CheckpointId,
    points: Mapping[PointName, Point],
    inputs: Mapping[str, float],
    placed: Mapping[PointName, Point],
) -> tuple[dict[PointName, Point], dict[str, float]]:
    """The machine's points and inputs with the coach's points put over them.

    A placed point takes ``COACH_POINT_SIGMA_PX``; the reading as a whole takes the published
    hand-marking error as its floor. When every needed point is the coach's, ``sigma_residual``
    (the machine's own habit of erring) no longer applies and becomes 0. Points the checkpoint
    does not use are left out. Pass the result to ``checkpoints.evaluate``.
    """
    needed = CHECKPOINTS[checkpoint].points
    moved = {name: point for name, point in placed.items() if name in needed}
    new_points = {**points, **moved}
    new_inputs = dict(inputs)
    if not moved:
        return new_points, new_inputs
    new_inputs.update({sigma_input(name): COACH_POINT_SIGMA_PX for name in moved})
    new_inputs["sigma_marking"] = COACH_MARKING_SIGMA_DEG
    if len(moved) == len(needed):
        new_inputs["sigma_residual"] = 0.0
    return new_points, new_inputs


def inputs_without_machine(checkpoint: CheckpointId) -> dict[str, float]:
    """Inputs for a coach who places every point on a clip the machine could not read.

    Only the lead arm to shaft angle needs nothing but points. ``butt_end_inside`` needs a scale
    and the camera's place, so it stays missing and ``evaluate`` says so.
    """
    if checkpoint is CheckpointId.LEAD_ARM_SHAFT_ANGLE:
        return dict(UNKNOWN_ANGLE_INPUTS)
    return {}

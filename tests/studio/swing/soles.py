"""A foot stands on its sole, not on a joint: how far it rises when its heel does."""

import numpy as np
from numpy.typing import NDArray

from tests.studio.body import Body
from tests.studio.swing.turns import about, cross, unit

MOST_DEG = 100
"""Past this a heel does not rise."""


class Lift:
    """The lift of one foot as a function of how far its heel is up, worked out once for a body.

    ``skeleton`` rolls the foot rigidly about the ball of the foot, a joint inside it: what lies before
    the joint would go down into the ground. Turning about the upright changes no height, so one angle
    is all that the lift depends on.
    """

    def __init__(self, body: Body, tag: str) -> None:
        self._degrees = np.arange(MOST_DEG + 1, dtype=np.float64)
        ball = body.joint(f"toe2-1.{tag}")
        ahead = unit((ball - body.joint(f"foot.{tag}")) * [1.0, 1.0, 0.0])
        axis = cross(np.array([0.0, 0.0, 1.0]), ahead)
        foot = foot_vertices(body, tag)
        from_ball = body.vertices[foot].astype(np.float64) - ball
        lowest = [
            float((from_ball @ about(axis, angle)[2]).min()) for angle in np.radians(self._degrees)
        ]
        self._lift_m = lowest[0] - np.array(lowest)

    def at(self, heel_up_deg: float) -> float:
        """Metres."""
        return float(np.interp(heel_up_deg, self._degrees, self._lift_m))


def foot_vertices(body: Body, tag: str) -> NDArray[np.intp]:
    """Vertices that follow a foot and its toes alone, whole-hearted: its sole is among them."""
    wanted = np.array(
        [name.startswith(("foot.", "toe")) and name.endswith(f".{tag}") for name in body.names]
    )
    share = (body.weights * wanted[body.bones]).sum(axis=1)
    return np.flatnonzero(share > 0.999)

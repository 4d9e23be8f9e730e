"""A made golfer: body tracks with exact instants, face-on, normalised, for the swing's tests."""

import numpy as np
from numpy.typing import NDArray

from worker.body.joints import BodyTrack, Joint

TORSO = 100.0
LEAD_SHOULDER = np.array([340.0, 300.0])
ARM = 140.0
HIP_ROW = 400.0


def arm_elevation(
    times_s: NDArray[np.float64], *, start: float, top: float, impact: float, pause_s: float = 0.0
) -> NDArray[np.float64]:
    """Lead arm's elevation, degrees: -75 hanging, up to 45 at the top, back down, through.

    With ``pause_s`` the arm stops for that long at level (0 degrees); ``top`` and ``impact`` are
    then later by as much.
    """
    level = start + (top - start) * 0.65
    knots = [(times_s[0] - 1, -75.0), (start, -75.0), (level, 0.0)]
    if pause_s:
        knots.append((level + pause_s, 0.0))
    knots += [(top + pause_s, 45.0), (impact + pause_s, -75.0), (impact + pause_s + 0.35, -200.0)]
    x, y = np.array(knots).T
    return np.asarray(np.interp(times_s, x, y), dtype=np.float64)


def golfer(
    times_s: NDArray[np.float64], elevation: NDArray[np.float64], *, noise_px: float = 0.0
) -> BodyTrack:
    """A body whose lead arm stands at ``elevation`` (180 - elevation turns it over to the lead)."""
    xy = np.zeros((len(times_s), 33, 2))
    xy[:, :] = (320.0, 300.0)
    turn = np.radians(elevation)
    hands = LEAD_SHOULDER + ARM * np.stack([-np.cos(turn), -np.sin(turn)], axis=1)
    xy[:, 15:23] = hands[:, None, :]
    xy[:, Joint.LEAD_SHOULDER] = LEAD_SHOULDER
    xy[:, Joint.TRAIL_SHOULDER] = (260.0, 300.0)
    xy[:, Joint.LEAD_ELBOW] = (LEAD_SHOULDER + hands) / 2
    xy[:, Joint.LEAD_HIP], xy[:, Joint.TRAIL_HIP] = (320.0, HIP_ROW), (280.0, HIP_ROW)
    xy[:, Joint.LEAD_KNEE], xy[:, Joint.TRAIL_KNEE] = (325.0, 490.0), (275.0, 490.0)
    xy[:, Joint.LEAD_ANKLE], xy[:, Joint.TRAIL_ANKLE] = (330.0, 580.0), (270.0, 580.0)
    xy += np.random.default_rng(5).normal(0.0, noise_px, xy.shape) if noise_px else 0.0
    n = len(times_s)
    return BodyTrack(np.arange(n), times_s, xy, np.ones((n, 33)))

"""Whether the swing network can be believed on this person.

It must see them where the general body network does, at the points that network is good at.
The swing network learnt from rendered people alone. On somebody it does not know it goes wrong
everywhere, not at one point; hips, knees, ankles and elbows are where the general network is right
within two hundredths of stature.
"""

from collections.abc import Mapping

import numpy as np

from worker.body.joints import BodyTrack, Joint
from worker.body.swing_network import AS_JOINT, SwingPoints

COMPARED = (
    Joint.LEAD_HIP,
    Joint.TRAIL_HIP,
    Joint.LEAD_KNEE,
    Joint.TRAIL_KNEE,
    Joint.LEAD_ANKLE,
    Joint.TRAIL_ANKLE,
    Joint.LEAD_ELBOW,
    Joint.TRAIL_ELBOW,
)
AGREE_STATURE = 0.05
"""Largest median distance between the two networks' points, share of stature: twice what both err by
together (working value)."""


def disagreement(sparse: BodyTrack, looks: Mapping[int, SwingPoints], stature_px: float) -> float:
    """Median distance between the two networks' points, share of stature; ``nan`` without looks.

    ``looks``: the swing network's points by frame, in the pixels of ``sparse``.
    """
    apart = [
        float(np.linalg.norm(points.xy[AS_JOINT[joint]] - sparse.xy[row, joint])) / stature_px
        for row, frame in enumerate(sparse.frames)
        if (points := looks.get(int(frame))) is not None
        for joint in COMPARED
    ]
    return float(np.median(apart)) if apart else float("nan")

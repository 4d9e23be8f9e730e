"""Joints of the studio's swings as a camera far in front of the golfer would show them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tests.studio.dials import BodyName, ClipDials, ClubName, GolferDials, SwingDials
from tests.studio.pose import Joint as StudioJoint
from tests.studio.swing.motion import make_motion
from worker.body.joints import BodyTrack, Joint

RATE = 60.0
PX_PER_M = 300.0

_PLAIN = ClipDials(name="shape", seed=1)
SAMPLED: tuple[ClipDials, ...] = (
    _PLAIN,
    replace(_PLAIN, swing=SwingDials(club=ClubName.DRIVER)),
    replace(_PLAIN, swing=SwingDials(club=ClubName.WEDGE, backswing_s=0.75, downswing_s=0.26)),
    replace(_PLAIN, swing=SwingDials(backswing_s=1.0, downswing_s=0.30, chest_turn_deg=95.0)),
    replace(_PLAIN, swing=SwingDials(hinge_deg=110.0, chest_turn_deg=80.0)),
    replace(_PLAIN, golfer=GolferDials(body=BodyName.WOMAN, stature_m=1.65)),
    replace(_PLAIN, golfer=GolferDials(body=BodyName.HEAVY_MAN, stature_m=1.83)),
    replace(_PLAIN, swing=SwingDials(elbow_bend_deg=15.0)),
)
"""Ordinary swings: no fault dialled in, no stop. Faults are meant to look otherwise."""


def face_on_track(dials: ClipDials) -> BodyTrack:
    """The whole motion, parallel projection: x to the target, y down, pixels at 300 a metre.

    Real swings were filmed from afar; parallel rays spare the comparison a distance.
    """
    motion = make_motion(dials)
    times = np.arange(0.0, motion.duration_s, 1.0 / RATE)
    xy = np.zeros((len(times), 33, 2))
    for row, time_s in enumerate(times):
        joints = motion.at(float(time_s)).joints
        for joint, place in joints.items():
            xy[row, Joint[joint.name]] = (place[0] * PX_PER_M, -place[2] * PX_PER_M)
        for hand in range(17, 23):
            wrist = StudioJoint.LEAD_WRIST if hand % 2 else StudioJoint.TRAIL_WRIST
            xy[row, hand] = (joints[wrist][0] * PX_PER_M, -joints[wrist][2] * PX_PER_M)
    n = len(times)
    return BodyTrack(np.arange(n), times, xy, np.ones((n, 33)))


def studio_tracks(sampled: Sequence[ClipDials] = SAMPLED) -> list[BodyTrack]:
    """A track of each."""
    return [face_on_track(dials) for dials in sampled]

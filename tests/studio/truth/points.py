"""What a figure's points give wherever they lie: in space or in a picture."""

import numpy as np

from tests.studio.pose import Array, ClubPoint, Joint


class Points:
    """Middles and lines of a figure's points, in the units of ``joints`` and ``club``."""

    __slots__ = ()
    joints: dict[Joint, Array]
    club: dict[ClubPoint, Array]

    def middle(self, one: Joint, two: Joint) -> Array:
        """The point half-way between two joints."""
        return np.asarray(0.5 * (self.joints[one] + self.joints[two]))

    @property
    def hands(self) -> Array:
        """Mid-hands: half-way between the wrists."""
        return self.middle(Joint.LEAD_WRIST, Joint.TRAIL_WRIST)

    @property
    def shoulders(self) -> Array:
        """Mid-shoulders."""
        return self.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)

    @property
    def hips(self) -> Array:
        """Mid-hips: the pelvis centre."""
        return self.middle(Joint.LEAD_HIP, Joint.TRAIL_HIP)

    @property
    def head(self) -> Array:
        """Half-way between the ears."""
        return self.middle(Joint.LEAD_EAR, Joint.TRAIL_EAR)

    @property
    def shaft(self) -> Array:
        """Butt end -> hosel."""
        return np.asarray(self.club[ClubPoint.HOSEL] - self.club[ClubPoint.BUTT])

"""Where the lead shoulder is when the chin hides it: a rigid chest instead of a guess.

The body network draws the lead shoulder too high once the chest has turned under the chin; the
mid-shoulder and the hips stay good. A chest is rigid: seen face-on, bent forward by tau and turned
by psi about its own spine, half the shoulder line is

    (w / 2) * (cos psi * across + sin psi * sin tau * down the spine)

with w the shoulder line at address (chest square to the lens) and "across" at right angles to
the spine as seen. So the width still seen gives psi, and psi gives how far the lead shoulder has
dropped. Nothing here is fitted to clips: tau comes from the trunk's foreshortening against the
legs, with published body proportions, weighed with the usual address.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Estimate
from worker.body.joints import BodyTrack, Joint
from worker.swing.estimates import combine_estimates

Array = NDArray[np.float64]

TRUNK_OVER_LEG = (0.818 - 0.530) / (0.245 + 0.246)
"""Shoulder height less hip height, over thigh plus shank: Drillis and Contini 1966, as printed in
Winter, Biomechanics and Motor Control of Human Movement, ch. 4."""
LEG_SEEN = 0.97
"""Share of the leg's length seen face-on with 12 to 30 degrees of knee flex (band of C21):
each half leans about 13 degrees, cos 13 = 0.97."""
TRUNK_OVER_LEG_SIGMA = 0.05
"""Share by which people's proportions differ, one sigma (working value)."""
TILT_USUAL = Estimate(math.radians(37.5), math.radians(5.0))
"""Spine tilt at address: 30 to 45 degrees by common coaching convention (C19)."""
WIDTH_SIGMA = 0.15
"""Share of w by which the seen width of a hidden shoulder line errs (working value: the two
shoulders' own errors of two to three hundredths of stature, against 0.259 for the line)."""


@dataclass(frozen=True, slots=True)
class Chest:
    """The rigid chest, from address. Lengths in pixels, ``tilt`` in radians."""

    width_px: float
    tilt: float
    tilt_sigma: float

    def lead_shoulder(self, middle: Array, hips: Array, across_px: float) -> tuple[Array, float]:
        """Place of the lead shoulder and one sigma (pixels) along the spine.

        ``middle`` mid-shoulder, ``hips`` mid-hip (each (2,)); ``across_px`` the width of the
        shoulder line as seen at right angles to the spine, lead side to the picture's right
        positive. The trail shoulder is its mirror about the middle.
        """
        down = (hips - middle) / max(float(np.linalg.norm(hips - middle)), 1e-6)
        across = np.array([down[1], -down[0]])
        cos_psi = float(np.clip(across_px / self.width_px, -1.0, 1.0))
        sin_psi = math.sqrt(1.0 - cos_psi**2)
        half = self.width_px / 2
        drop = half * sin_psi * math.sin(self.tilt)
        # d(sin psi) = -cot(psi) d(cos psi), bounded where the chest is near square.
        by_width = (
            half * math.sin(self.tilt) * WIDTH_SIGMA * min(abs(cos_psi) / max(sin_psi, 0.3), 3)
        )
        by_tilt = half * sin_psi * math.cos(self.tilt) * self.tilt_sigma
        place = middle + half * cos_psi * across + drop * down
        return np.asarray(place), math.hypot(by_width, by_tilt)


def chest_at_address(track: BodyTrack) -> Chest:
    """The chest of a face-on address: ``track`` holds only still frames."""
    line = track.of(Joint.LEAD_SHOULDER) - track.of(Joint.TRAIL_SHOULDER)
    tilt = combine_estimates(_tilt_from_trunk(track), TILT_USUAL)
    width = float(np.median(np.linalg.norm(line, axis=1)))
    return Chest(width_px=width, tilt=tilt.value, tilt_sigma=tilt.sigma)


def _tilt_from_trunk(track: BodyTrack) -> Estimate:
    """Spine tilt (radians) from how short the trunk looks against the legs, face-on."""
    trunk = float(np.median(np.linalg.norm(track.shoulders - track.hips, axis=1)))
    ratio = trunk / (TRUNK_OVER_LEG * leg_px(track) / LEG_SEEN)
    tilt = math.acos(min(max(ratio, 0.5), 0.98))
    return Estimate(tilt, TRUNK_OVER_LEG_SIGMA / math.tan(tilt))


def leg_px(track: BodyTrack) -> float:
    """Median length of hip-knee plus knee-ankle, both legs, pixels."""
    total = 0.0
    for hip, knee, ankle in (
        (Joint.LEAD_HIP, Joint.LEAD_KNEE, Joint.LEAD_ANKLE),
        (Joint.TRAIL_HIP, Joint.TRAIL_KNEE, Joint.TRAIL_ANKLE),
    ):
        thigh = np.linalg.norm(track.of(hip) - track.of(knee), axis=1)
        shank = np.linalg.norm(track.of(knee) - track.of(ankle), axis=1)
        total += float(np.median(thigh + shank)) / 2
    return total


def lead_shoulder_track(track: BodyTrack, chest: Chest) -> tuple[Array, Array]:
    """Lead shoulder (n, 2) by the rigid chest, and one sigma (n,) of what the model leaves.

    At address the model and the network agree: the width seen is the whole width, no turn.
    """
    middle, hips = track.shoulders, track.hips
    line = track.of(Joint.LEAD_SHOULDER) - track.of(Joint.TRAIL_SHOULDER)
    places, sigmas = np.empty((len(track), 2)), np.empty(len(track))
    for i in range(len(track)):
        down = (hips[i] - middle[i]) / max(float(np.linalg.norm(hips[i] - middle[i])), 1e-6)
        across_px = float(line[i] @ np.array([down[1], -down[0]]))
        places[i], sigmas[i] = chest.lead_shoulder(middle[i], hips[i], across_px)
    return places, sigmas

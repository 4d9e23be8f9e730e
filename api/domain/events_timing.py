"""Times of instants, and numbers made of times. Seconds on the file's presentation clock.

Where a signal crosses zero between two frames: ``api.domain.geometry.crossing_time``.
"""

import math

from api.domain.uncertainty import ROOT_12

SPEED_OF_SOUND_M_PER_S = 343.0
"""In dry air at 20 degrees C; handbook value, from memory. Ten degrees change it by 1.7 %."""

MIN_TOLERANCE_FRAMES = 1
ADDRESS_TO_IMPACT_SHARE = 30


def tempo_ratio(takeaway_s: float, top_s: float, impact_s: float) -> float:
    """Backswing time over downswing time, no unit; about 3 in good players (common practice).

    Raises ``ValueError`` when the three instants are not in order.
    """
    if not takeaway_s < top_s < impact_s:
        message = "tempo needs takeaway before top before impact"
        raise ValueError(message)
    return (top_s - takeaway_s) / (impact_s - top_s)


def tempo_ratio_sigma(ratio: float, downswing_s: float, sigma_instant_s: float) -> float:
    """One sigma of the tempo ratio when each of the three instants errs by ``sigma_instant_s``.

    ``(sigma / downswing) * sqrt((1 + R)^2 + 1 + R^2)``: the top is shared by both times, so its
    error enters once, with its sign, as (1 + R).
    """
    return sigma_instant_s / downswing_s * math.sqrt((1.0 + ratio) ** 2 + 1.0 + ratio**2)


def frame_instant_sigma(frame_gap_s: float) -> float:
    """One sigma, seconds, of an instant known only as the nearest frame (uniform error)."""
    return frame_gap_s / ROOT_12


def impact_from_sound(
    sound_s: float, distance_m: float, *, speed_m_per_s: float = SPEED_OF_SOUND_M_PER_S
) -> float:
    """Time of impact from the peak of the strike sound, ``distance_m`` from ball to microphone.

    The sound arrives 2.9 ms late per metre. Assumes that the clip's sound and picture share one
    clock; phones may offset them by tens of milliseconds, so carry that as sigma.
    """
    return sound_s - distance_m / speed_m_per_s


def instant_tolerance_frames(address_to_impact_frames: float) -> int:
    """Frames by which an instant may be off and still count as correct.

    ``max(round(n / 30), 1)`` for ``n`` frames from address to impact: the rule of the published
    event benchmark (McNally et al. 2019, arXiv 1903.06528), about 33 ms at any frame rate. Good
    for choosing a picture, too coarse for an angle; score in milliseconds as well. Halves round
    to even, as in the published evaluation (numpy and Python agree).
    """
    return max(round(address_to_impact_frames / ADDRESS_TO_IMPACT_SHARE), MIN_TOLERANCE_FRAMES)

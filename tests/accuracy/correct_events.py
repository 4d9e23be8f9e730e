"""When an instant counts as correct: the published rule, and our own in milliseconds.

The published one, percentage of correct events (McNally et al. 2019, arXiv 1903.06528), allows
``api.domain.events_timing.instant_tolerance_frames``: about 33 ms at any frame rate. That chooses a
picture; it does not make an angle (33 ms at 250 degrees a second is 8 degrees). So ours is by instant.
"""

from collections.abc import Mapping

from api.domain.events_timing import instant_tolerance_frames
from api.domain.names import KeyframeId
from tests.accuracy.truths import TrueClip, TrueInstant, TrueSwing

OWN_TOLERANCE_MS: Mapping[KeyframeId, float] = {
    # Motion begins without an edge; 50 ms of a 0.8 s backswing moves the tempo ratio by 0.2.
    KeyframeId.ADDRESS: 50.0,
    KeyframeId.TAKEAWAY: 50.0,
    # The hands move some 1.5 m/s there: 3 cm.
    KeyframeId.HANDS_PAST_TRAIL_LEG: 20.0,
    # The wrist set changes some 250 degrees a second: 5 degrees, half of the good band's half.
    KeyframeId.LEAD_ARM_PARALLEL: 20.0,
    # A turning point is flat: one picture at 30 a second shows the same pose.
    KeyframeId.TOP: 33.0,
    # Coming down everything is about three times as fast as going up.
    KeyframeId.LEAD_ARM_PARALLEL_DOWN: 10.0,
    KeyframeId.DELIVERY: 10.0,
    # One picture either side at 120 a second.
    KeyframeId.IMPACT: 8.0,
    # Coming to rest has no edge either, and nothing is read there.
    KeyframeId.FINISH: 100.0,
}
"""Milliseconds an instant may be off to be good for what it is used for. Working values."""


def frames_allowed(clip: TrueClip, swing: TrueSwing) -> int | None:
    """Tolerance in whole frames; ``None`` for a swing without an impact.

    Counted on the shown frames from the address to the impact. Where truth has no address (its end
    is the takeaway, by definition) the takeaway stands for it.
    """
    start = swing.instants.get(KeyframeId.ADDRESS)
    if not isinstance(start, TrueInstant):
        start = swing.instants.get(KeyframeId.TAKEAWAY)
    end = swing.instants.get(KeyframeId.IMPACT)
    if not isinstance(start, TrueInstant) or not isinstance(end, TrueInstant):
        return None
    return instant_tolerance_frames(
        clip.nearest_frame(end.time_s) - clip.nearest_frame(start.time_s)
    )

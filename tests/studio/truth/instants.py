"""The instants of one swing, from its motion in space.

Definitions of the trade notes, section 3. Where they leave a choice:

- Speeds and heights are in space, so an instant is the same for every camera. The trail leg's line
  is crossed as seen along the target line's normal (parallel, X against X at the hands' height).
- ``address`` is the *last* still stretch's end: waggles before it do not count, and it needs the
  club behind the ball, so a stop during the backswing is none.
- ``takeaway``: hands or clubhead, whichever first rises above the threshold for good, that is until
  the clubhead has left its place. Where the body's first shift carries the hands along and they
  rest again for less than 0.2 s, takeaway is later than address.
- ``lead_arm_parallel``: the first time after the hands pass the trail leg that the lead shoulder
  and wrist are equally high (to a hundredth of a degree, so that an arm that stops exactly level
  has arrived when it stops). An arm that stops there is parallel through the whole stay:
  ``from_s`` to ``to_s``.
- ``top``: the largest elevation of the lead arm in space; where the arm stops there, the middle of
  the stay.
- ``delivery``: the last time before impact that butt end and hosel are equally high, head falling.
- ``impact``: the middle of the face reaches the ball's near side on its way to the target; without
  a ball, the place where it rested at address.
- A swing that never passes that place has no downswing: it stopped at the top.
"""

from api.domain.names import KeyframeId
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.names import Moment
from tests.studio.truth.roots import crossing, falls, peak, rises
from tests.studio.truth.start import start_of
from tests.studio.truth.stillness import (
    FINISH_STILL_S,
    Stillness,
    hands_of,
    speed_time,
    stay_about,
    stillness,
)
from tests.studio.truth.swings import SwingSpan, find_swings
from tests.studio.truth.track import Figure, Reading, Track, lead_arm_elevation, shaft_elevation
from tests.studio.truth.when import Absent, Instant, Instants, When, at_once

LEVEL_DEG = 0.01
STOP_BAND_DEG, STOP_RATE_DEG_PER_S = 1.0, 3.0
STOP_BAND_M, STOP_RATE_M_PER_S = 0.01, 0.02
LOW_M = 0.35
"""Impact happens near the ground: a clubhead higher than this passes over the ball."""
THROUGH_M = 0.30
"""A downswing carries the clubhead so far past the ball; a club put back behind it does not."""
BALL_RADIUS_M = 0.04267 / 2.0

NO_DOWNSWING = "the swing stops at the top: no downswing follows"
NEVER_LEVEL = "the lead arm never rises to level in this swing"
NO_REST = "the film ends before the motion has been under the threshold for 0.3 s"


def all_swings(track: Track) -> list[Instants]:
    """Instants of every swing in the film, in order."""
    rest = stillness(track)
    return [_Finder(track, span, rest).all() for span in find_swings(track)]


def leg_gap(figure: Figure) -> float:
    """Mid-hands beyond the trail hip-ankle line at the hands' height, metres, + to the target."""
    hip, ankle = figure.joints[Joint.TRAIL_HIP], figure.joints[Joint.TRAIL_ANKLE]
    hands = figure.hands
    share = (hands[2] - hip[2]) / (ankle[2] - hip[2])
    return float(hands[0] - (hip[0] + share * (ankle[0] - hip[0])))


def _face_x(figure: Figure) -> float:
    return float(figure.club[ClubPoint.FACE][0])


class _Finder:
    """One swing's instants; each method finds one, from those before it."""

    def __init__(self, track: Track, span: SwingSpan, rest: Stillness) -> None:
        self.track, self.span, self.rest = track, span, rest
        self.arm = track.values(lead_arm_elevation)
        self.shaft = track.values(shaft_elevation)

    def all(self) -> Instants:
        """Every instant, or why there is none."""
        settled, address, takeaway = start_of(self.track, self.span, self.rest)
        passed = self._past_leg(takeaway)
        up = self._parallel(passed)
        impact = self._impact(address)
        down = self._down(impact)
        return {
            KeyframeId.ADDRESS: address,
            KeyframeId.TAKEAWAY: takeaway,
            KeyframeId.HANDS_PAST_TRAIL_LEG: passed,
            KeyframeId.LEAD_ARM_PARALLEL: up,
            KeyframeId.TOP: self._top(),
            KeyframeId.LEAD_ARM_PARALLEL_DOWN: down,
            KeyframeId.DELIVERY: self._delivery(impact),
            KeyframeId.IMPACT: impact,
            KeyframeId.FINISH: self._finish(impact),
            Moment.SETTLED: settled,
            Moment.SHAFT_LEVEL_BACK: self._shaft_rises(takeaway, 0.0),
            Moment.SHAFT_45_BACK: self._shaft_rises(takeaway, 45.0),
        }

    # ------------------------------------------------------------ backswing

    def _past_leg(self, takeaway: When) -> When:
        if isinstance(takeaway, Absent):
            return takeaway
        gaps = self.track.values(leg_gap)
        found = falls(gaps, self.track.index(takeaway.life_s), self.span.peak)
        if not found:
            return Absent("the hands never pass the trail leg in this swing")
        time_s = self._exact(leg_gap, found[0])
        stay = stay_about(self.track, gaps, found[0], band=STOP_BAND_M, rate=STOP_RATE_M_PER_S)
        return Instant(time_s, *(stay or (time_s, time_s)))

    def _parallel(self, passed: When) -> When:
        start = self.span.after if isinstance(passed, Absent) else self.track.index(passed.life_s)
        found = rises(self.arm + LEVEL_DEG, start, self.span.peak)
        if not found:
            return Absent(NEVER_LEVEL)
        time_s = self._exact(lambda figure: lead_arm_elevation(figure) + LEVEL_DEG, found[0])
        return self._with_stop(time_s, self.arm, found[0])

    def _with_stop(self, time_s: float, values: Array, near: int) -> Instant:
        stay = stay_about(self.track, values, near, band=STOP_BAND_DEG, rate=STOP_RATE_DEG_PER_S)
        if stay is None:
            return at_once(time_s)
        return Instant(time_s, min(stay[0], time_s), max(stay[1], time_s))

    def _top(self) -> When:
        highest = self.span.peak
        stay = stay_about(
            self.track,
            self.arm - self.arm[highest],
            highest,
            band=STOP_BAND_DEG,
            rate=STOP_RATE_DEG_PER_S,
        )
        if stay is not None:
            return Instant(0.5 * (stay[0] + stay[1]), *stay)
        if highest == len(self.arm) - 1:
            return Absent("the film ends while the lead arm still rises")
        low, high = self.track.times[highest - 1], self.track.times[highest + 1]
        return at_once(peak(self.track.signal(lead_arm_elevation), float(low), float(high)))

    def _shaft_rises(self, takeaway: When, level_deg: float) -> When:
        if isinstance(takeaway, Absent):
            return takeaway
        start = self.track.index(takeaway.life_s)
        found = rises(self.shaft - level_deg, start, self.span.peak)
        if not found:
            return Absent(f"the shaft never rises through {level_deg:.0f} degrees going back")
        return at_once(self._exact(lambda figure: shaft_elevation(figure) - level_deg, found[0]))

    # ------------------------------------------------------------ downswing

    def _impact(self, address: When) -> When:
        """The crossing of the ball's near side that goes on towards the target."""
        track = self.track
        resting = track.at(address.life_s) if isinstance(address, Instant) else track.figures[0]
        target = (
            _face_x(resting) if resting.ball is None else float(resting.ball[0]) - BALL_RADIUS_M
        )
        places = track.values(_face_x)
        heights = track.values(lambda figure: float(figure.club[ClubPoint.FACE][2]))
        for found in rises(places - target, self.span.peak, self.span.end):
            later = min(track.index(float(track.times[found]) + 1.0), self.span.end)
            beyond = places[found : later + 1].max() - target
            if heights[found] < LOW_M and beyond > THROUGH_M:
                return at_once(self._exact(lambda figure: _face_x(figure) - target, found))
        return Absent(NO_DOWNSWING)

    def _down(self, impact: When) -> When:
        if isinstance(impact, Absent):
            return impact
        found = falls(self.arm, self.span.peak, self.track.index(impact.life_s))
        if not found:
            return Absent(NEVER_LEVEL)
        time_s = self._exact(lead_arm_elevation, found[0])
        return self._with_stop(time_s, self.arm, found[0])

    def _delivery(self, impact: When) -> When:
        if isinstance(impact, Absent):
            return impact
        found = falls(self.shaft, self.span.peak, self.track.index(impact.life_s))
        if not found:
            return Absent("the shaft is never above level in this downswing")
        return at_once(self._exact(shaft_elevation, found[-1]))

    def _finish(self, impact: When) -> When:
        if isinstance(impact, Absent):
            return impact
        struck = self.track.index(impact.life_s)
        for first, _ in self.rest.hands_rest(self.track, FINISH_STILL_S):
            if struck < first <= self.span.end:
                rested = speed_time(self.track, hands_of, self.rest.limit, first - 1)
                return at_once(rested)
        return Absent(NO_REST)

    def _exact(self, reading: Reading, before: int) -> float:
        """The crossing between a sample and the next, on the motion itself."""
        times = self.track.times
        signal = self.track.signal(reading)
        return crossing(signal, float(times[before]), float(times[before + 1]))

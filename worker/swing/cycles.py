"""Where the swings are: hands low, up on the trail side, down fast, up on the lead side.

Works on a sparse track. A clip may hold none, one or several swings, a swing cut off by the end
of the file, or only a backswing; nothing is invented.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.names import View
from worker.body.joints import BodyTrack, Joint

Array = NDArray[np.float64]

RAISED = 0.65
LOWERED = 0.40
"""Height of the hands above the mid-hip in torso lengths. At address they hang at about -0.2, at
lead arm parallel they are at shoulder height, 1.0 (by what the words mean); between the two limits
nothing is decided."""
TOGETHER = 0.75
"""Both hands are on one club: wrists no farther apart than this, in torso lengths."""
STILL_STATURE = 0.02
"""Sparse-track stillness over a stretch, in torso lengths per look: address, not a swing."""
ADDRESS_MIN_S = 0.3
"""Between two swings, or a rehearsal and the swing, the hands are low at least so long, if they are not still
(working value)."""
DIP_USUAL_S = 0.4
"""The hands of a full swing are low for a quarter of a second about impact, seen to within two looks (working
value): longer is a slow swing, or a file that plays slower than it was filmed."""
DIP_MAX_S = 2.5
"""Longest time the hands of one swing may stay low around impact, slow rehearsals included."""
TRAIL_SIDE = 0.15
"""Hands this far (torso lengths) past the mid-shoulder are back: face-on away from the target, from behind away
from the ball."""
THROUGH = 0.15
"""Face-on: hands this far (torso lengths) nearer to the target than they hung before the backswing went through.
On real swings seen ten times a second they get past 0.2."""

OPENED = 0.35
"""From behind: shoulders seen this wide (torso lengths), the lead one on the ball's side, have turned. At address
they are seen on edge, 0.2 wide; no real backswing shows neither this nor hands behind the mid-shoulder."""


@dataclass(frozen=True, slots=True)
class RoughSwing:
    """A swing to within a look or two. Seconds on the clip's clock; None: not in the clip.

    ``slowed``: how many times slower than a usual swing it plays, at least 1.
    """

    raised_s: float
    start_s: float
    top_s: float
    impact_s: float | None
    end_s: float
    slowed: float = 1.0


@dataclass(frozen=True, slots=True)
class _High:
    first: int
    last: int


def hand_height(track: BodyTrack) -> Array:
    """Height (n,) of the grip's middle above the mid-hip, in torso lengths, up positive."""
    return np.asarray((track.hips[:, 1] - track.hands[:, 1]) / track.torso_px())


def find_swings(track: BodyTrack, view: View) -> list[RoughSwing]:
    """Every swing in a sparse track, in order of time.

    A backswing that comes down to no follow-through is a swing without an impact, and what comes up next is judged
    for itself: face-on a rehearsal of the backswing is told from the swing after it so.
    """
    height = hand_height(track)
    highs = [h for h in _highs(height) if _is_backswing_or_follow_through(track, h)]
    highs = _without_sinking(track, height, highs, view)
    swings: list[RoughSwing] = []
    index, since = 0, 0
    while index < len(highs):
        back = highs[index]
        follow = highs[index + 1] if index + 1 < len(highs) else None
        if not _starts_low(height, since, back) or not _goes_back(track, back, view):
            index += 1
            continue
        if follow is not None and (
            _goes_back_again(track, height, since, (back, follow), view)
            or not _is_dip(track, back, follow)
        ):
            follow = None
        if follow is None and not _turns_away(track, back, view):
            index, since = index + 1, back.last + 1
            continue
        slowed = _slowed(track, back, follow)
        start = _last_low_still(track, height, since, back.first, round(slowed))
        if start is None and swings and not _stays_low(track, height, since, back):
            index += 1
            continue
        if start is None:
            start = since + int(np.argmin(height[since : back.first]))
        swings.append(_rough(track, height, start, back, follow, slowed))
        index += 1 if follow is None else 2
        since = (follow or back).last + 1
    return swings


def _highs(height: Array) -> list[_High]:
    """Stretches from rising above ``RAISED`` to falling below ``LOWERED``."""
    highs: list[_High] = []
    first: int | None = None
    for i, value in enumerate(height):
        if first is None and value > RAISED:
            first = i
        elif first is not None and value < LOWERED:
            highs.append(_High(first, i - 1))
            first = None
    if first is not None:
        highs.append(_High(first, len(height) - 1))
    return highs


def _is_backswing_or_follow_through(track: BodyTrack, high: _High) -> bool:
    """Both hands on the club when the hands come up (they may come apart in the finish)."""
    rows = slice(high.first, min(high.last, high.first + 3) + 1)
    gap = track.of(Joint.LEAD_WRIST)[rows] - track.of(Joint.TRAIL_WRIST)[rows]
    return bool(np.median(np.linalg.norm(gap, axis=1)) < TOGETHER * track.torso_px())


def _starts_low(height: Array, since: int, high: _High) -> bool:
    return bool(high.first > since and np.min(height[since : high.first]) < LOWERED)


def _goes_back(track: BodyTrack, high: _High, view: View) -> bool:
    """Face-on the hands of a backswing come up on the trail side: picture left, normalised."""
    if view is not View.FACE_ON:
        return True
    side = track.hands[high.first, 0] - track.shoulders[high.first, 0]
    return bool(side < -TRAIL_SIDE * track.torso_px())


def _turns_away(track: BodyTrack, high: _High, view: View) -> bool:
    """From behind: hands that went behind the mid-shoulder, away from the ball, or shoulders that opened.

    Normalised picture, the ball on the right. Hands that are raised to a cap or hold the club up in front do
    neither. One look of either will do, and where the hands come down to a follow-through nobody asks: a real
    swing is not to be lost for the sake of a network that sees little from there.
    """
    if view is View.FACE_ON:
        return True
    rows = slice(high.first, high.last + 1)
    behind = track.shoulders[rows, 0] - track.hands[rows, 0]
    opened = track.of(Joint.LEAD_SHOULDER)[rows, 0] - track.of(Joint.TRAIL_SHOULDER)[rows, 0]
    torso = track.torso_px()
    return bool(np.max(behind) > TRAIL_SIDE * torso or np.max(opened) > OPENED * torso)


def _without_sinking(
    track: BodyTrack, height: Array, highs: list[_High], view: View
) -> list[_High]:
    """Two highs are one where the hands go back twice and are low between for a few looks only.

    Nobody brings the club down to the ball and back up in ``ADDRESS_MIN_S``: the hands were lost while held up.
    """
    kept: list[_High] = []
    for high in highs:
        since = kept[-2].last + 1 if len(kept) > 1 else 0
        twice = bool(kept) and _goes_back_again(track, height, since, (kept[-1], high), view)
        if twice and not _stays_low(track, height, kept[-1].last, high):
            kept[-1] = _High(kept[-1].first, high.last)
        else:
            kept.append(high)
    return kept


def _goes_back_again(
    track: BodyTrack, height: Array, since: int, pair: tuple[_High, _High], view: View
) -> bool:
    """Face-on: the second of two highs is a backswing too, not the follow-through. From behind nobody can say.

    Both come up on the trail side, and the hands do not get past where they hung: a late look may show a short
    follow-through, whose hands fold about the neck, back on the trail side, but below they went through.
    """
    back, again = pair
    if view is not View.FACE_ON or not all(_goes_back(track, high, view) for high in pair):
        return False
    side = (track.hands[:, 0] - track.shoulders[:, 0]) / track.torso_px()
    hung = side[since : back.first][height[since : back.first] < LOWERED]
    if not len(hung):
        return False
    return bool(np.max(side[back.last : again.first + 1]) < np.median(hung) + THROUGH)


def _is_dip(track: BodyTrack, back: _High, follow: _High) -> bool:
    """Low between two highs without standing still: impact, not the next address."""
    start, end = back.last, follow.first
    if track.times_s[end] - track.times_s[start] > DIP_MAX_S:
        return False
    hands = track.hands[start : end + 1]
    moves = np.linalg.norm(np.diff(hands, axis=0), axis=1) / track.torso_px()
    still = moves < STILL_STATURE
    runs = np.convolve(still.astype(int), np.ones(3, dtype=int), mode="valid")
    return not bool(np.any(runs == 3))  # noqa: PLR2004 - three still looks in a row, 0.2 s


def _slowed(track: BodyTrack, back: _High, follow: _High | None) -> float:
    """How many times slower than a usual swing it plays, by how long the hands are low about impact."""
    if follow is None:
        return 1.0
    low_s = float(track.times_s[follow.first] - track.times_s[back.last])
    return max(1.0, low_s / DIP_USUAL_S)


def _stays_low(track: BodyTrack, height: Array, since: int, back: _High) -> bool:
    """After a swing the next has an address; hands that sink for a look in a follow-through have none."""
    low = track.times_s[since : back.first][height[since : back.first] < LOWERED]
    return bool(len(low) and low[-1] - low[0] >= ADDRESS_MIN_S)


def _rough(
    track: BodyTrack,
    height: Array,
    start: int,
    back: _High,
    follow: _High | None,
    slowed: float,
) -> RoughSwing:
    times = track.times_s
    top = back.first + int(np.argmax(height[back.first : back.last + 1]))
    dip = (
        None if follow is None else back.last + int(np.argmin(height[back.last : follow.first + 1]))
    )
    return RoughSwing(
        raised_s=float(times[back.first]),
        start_s=float(times[start]),
        top_s=float(times[top]),
        impact_s=None if dip is None else float(times[dip]),
        end_s=float(times[back.last if follow is None else follow.last]),
        slowed=slowed,
    )


def _last_low_still(
    track: BodyTrack, height: Array, since: int, raised: int, apart: int
) -> int | None:
    """Last look before the hands came up at which they were low and hardly moved; ``None`` if there is none.

    Told over ``apart`` looks: a slowed swing moves as little in several as another in one.
    """
    moves = np.linalg.norm(track.hands[apart:] - track.hands[:-apart], axis=1) / track.torso_px()
    for i in range(raised - 1, max(since, apart) - 1, -1):
        if height[i] < LOWERED and moves[i - apart] < STILL_STATURE:
            return i
    return None

"""Where the club is in one swing: shaft about lead arm parallel and at address, ball, impact."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from api.domain.equipment import BALL_DIAMETER_M
from api.domain.measurement import Missing, Point
from api.domain.names import View
from api.domain.uncertainty import ROOT_12
from worker.body.joints import BodyTrack, Joint
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.club.background import Gray, Image, background_of, spread_rows
from worker.club.ball import Ball, find_ball, leaving
from worker.club.regions import Region
from worker.club.shaft import Look, Shaft, find_shafts, search_angles
from worker.swing.dense import IMPACT_REACH_S, SwingFrames
from worker.swing.instants import Instant

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

REACH_TORSO = 0.14
"""How far beside the middle of the hands the shaft may pass, torso lengths: the hands' own width
(pivot about 0.08 torso beyond the wrists) with point noise."""
ARM_CLEAR_DEG = 25.0
"""The shaft is not looked for along the lead arm itself."""
UP_WITHIN_DEG = 110.0
"""At lead arm parallel the clubhead stands above the hands, or a little below in a flat swing."""
DOWN_WITHIN_DEG = 75.0
"""At address the clubhead lies on the ground below the hands."""
ARM_FRAMES = 7
"""Frames searched either side of lead arm parallel."""
BACKGROUND_FRAMES = 15
HANDS_BELOW_BUTT_M = 0.095
"""Middle of two hands to the grip's end: hands of 0.085 m breadth side by side cover 0.17 m, and
the end stands out by 0.01 m (working values; they move the point along the line, not the line)."""


SURE_DEG = 6.0
"""A shaft less certain than this, one sigma, says nothing a coach could use."""
SHORTEST_SHARE = 0.2
"""Of the club's length: a club that points at the lens has no direction in the picture."""


def shaft_seen(points: SwingTrack, row: int, club_px: float) -> Shaft | Missing:
    """The shaft as the swing network sees it: butt end and hosel with their own sigmas."""
    butt, hosel = points.xy[row, SwingPoint.BUTT], points.xy[row, SwingPoint.HOSEL]
    along = hosel - butt
    length = float(np.linalg.norm(along))
    if length < SHORTEST_SHARE * club_px:
        return Missing("The club points at the lens: its direction cannot be seen.")
    both = points.sigma_px[row, [SwingPoint.BUTT, SwingPoint.HOSEL]]
    sigma_deg = float(np.degrees(np.hypot(*both) / length))
    if sigma_deg > SURE_DEG:
        return Missing("The shaft could not be found.")
    return Shaft(
        near=(float(butt[0] + 0.1 * along[0]), float(butt[1] + 0.1 * along[1])),
        far=(float(hosel[0]), float(hosel[1])),
        direction_deg=float(np.degrees(np.arctan2(-along[1], along[0])) % 360.0),
        sigma_deg=sigma_deg,
        score=1.0 / sigma_deg,
        wedge_px=0.0,
        butt=(float(butt[0]), float(butt[1])),
        ends_sigma_px=(float(both[0]), float(both[1])),
    )


def shafts_both(
    swing: SwingFrames, points: SwingTrack, back: Image, instant_s: float, club_px: float
) -> dict[int, Shaft | Missing]:
    """Shaft by frame: the swing network's, and about lead arm parallel the picture's own line.

    The network knows which of the picture's lines is the club; the line itself, fitted to the full
    picture, is finer. Where no line is found near the network's, the network's stands; where the
    network is not sure, the line is looked for in every direction a shaft can take.
    """
    found = {
        int(frame): shaft_seen(points, row, club_px) for row, frame in enumerate(points.frames)
    }
    near = np.argsort(np.abs(points.times_s - instant_s))[: 2 * ARM_FRAMES + 1]
    rows = [int(i) for i in sorted(near) if int(points.frames[i]) in swing.grays]
    astray: list[int] = []
    for row, line in _lines_near(swing, points, back, rows, found, club_px, CLOSE).items():
        frame = int(points.frames[row])
        seen = found[frame]
        if isinstance(line, Shaft):
            found[frame] = _on_line(seen, line) if isinstance(seen, Shaft) else line
        elif isinstance(seen, Shaft):
            astray.append(row)
    # Where the network has the hands in a wrong place, no line passes there; the shaft is still the long one about.
    for row, line in _lines_near(swing, points, back, astray, found, club_px, ABOUT).items():
        frame = int(points.frames[row])
        seen = found[frame]
        if isinstance(line, Shaft) and isinstance(seen, Shaft):
            found[frame] = _on_line(seen, line)
    return found


@dataclass(frozen=True, slots=True)
class _Nearness:
    """How far from the shaft that the network sees a line may be the same shaft."""

    within_deg: float
    reach_torso: float


CLOSE = _Nearness(8.0, REACH_TORSO)
ABOUT = _Nearness(15.0, 0.4)
"""On another renderer's clips the network had the hands a hand's breadth to a span beside the shaft that the picture shows,
and its direction seven to ten degrees off, where it stated two."""


def _lines_near(
    swing: SwingFrames,
    points: SwingTrack,
    back: Image,
    rows: Sequence[int],
    found: Mapping[int, Shaft | Missing],
    club_px: float,
    nearness: _Nearness,
) -> dict[int, Shaft | Missing]:
    """The picture's line by row; ``Missing`` where none is near the network's shaft."""
    masks, hands, reaches = [], [], {}
    for row in rows:
        seen = found[int(points.frames[row])]
        if isinstance(seen, Shaft):
            reaches[row] = max(nearness.within_deg, 3.0 * seen.sigma_deg)
            masks.append(_apart(search_angles(), seen.direction_deg) <= reaches[row])
            hands.append(seen.near)
        else:
            masks.append(_upward(swing.track, row))
            hands.append(_pair(swing.track.grip[row]))
    lines = _searched(swing, back, rows, masks, hands, club_px, nearness.reach_torso)
    result: dict[int, Shaft | Missing] = {}
    for row in rows:
        frame = int(points.frames[row])
        line, seen = lines[frame], found[frame]
        if isinstance(line, Shaft) and isinstance(seen, Shaft):
            apart = float(_apart(np.array(line.direction_deg), seen.direction_deg))
            line = line if apart <= reaches[row] else Missing(NO_LINE)
        result[row] = line
    return result


NO_LINE = "No line is near the shaft that the network sees."


def _on_line(seen: Shaft, line: Shaft) -> Shaft:
    """The network's butt end and hosel, moved onto the picture's line.

    Their sigmas are those of the line's direction: along the line nothing that is read depends on them.
    """
    if seen.butt is None:
        return line
    start = np.array(line.near)
    along = np.array(line.far) - start
    along /= max(float(np.linalg.norm(along)), 1e-6)
    butt, far = (start + along * ((np.array(p) - start) @ along) for p in (seen.butt, seen.far))
    length = float(np.linalg.norm(far - butt))
    sigma_px = float(np.radians(line.sigma_deg)) * length / float(np.sqrt(2.0))
    return replace(
        line,
        near=_pair(start),
        far=_pair(far),
        butt=_pair(butt),
        ends_sigma_px=(sigma_px, sigma_px),
    )


def _pair(values: Array) -> Point:
    return float(values[0]), float(values[1])


def ball_seen(points: SwingTrack, start_s: float, px_per_m: float) -> Ball | Missing:
    """The ball at address as the swing network sees it: median over the still frames."""
    still = (points.times_s <= start_s) & (points.times_s >= start_s - 0.5)
    if not still.any():
        still = points.times_s <= start_s + 0.05
    if not still.any():
        return Missing("No still address is in the clip.")
    places, sigmas = points.xy[still, SwingPoint.BALL], points.sigma_px[still, SwingPoint.BALL]
    sigma = max(float(np.median(sigmas)), 0.5)
    if sigma > BALL_SURE_M * px_per_m:
        return Missing("No ball was seen at address.")
    centre = np.median(places, axis=0)
    return Ball((float(centre[0]), float(centre[1])), sigma, 1.0 / sigma)


BALL_SURE_M = 0.04
"""A place less certain than a ball's width, one sigma, is no ball."""


def background(swing: SwingFrames) -> Image:
    """Picture without the moving golfer and club: median at equal steps of the hands' travel."""
    rows = [i for i, frame in enumerate(swing.track.frames) if int(frame) in swing.grays]
    hands = swing.track.grip[rows]
    travel = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(hands, axis=0), axis=1))])
    chosen = [rows[k] for k in spread_rows(travel, BACKGROUND_FRAMES)]
    return background_of([swing.grays[int(swing.track.frames[i])].steadied() for i in chosen])


def shafts_about(
    swing: SwingFrames, back: Image, instant_s: float, club_px: float
) -> dict[int, Shaft | Missing]:
    """Shaft by frame for the frames around lead arm parallel."""
    track = swing.track
    near = np.argsort(np.abs(track.times_s - instant_s))[: 2 * ARM_FRAMES + 1]
    rows = [int(i) for i in sorted(near) if int(track.frames[i]) in swing.grays]
    masks = [_upward(track, i) for i in rows]
    return _search(swing, back, rows, masks, club_px)


def shaft_at_address(
    swing: SwingFrames, back: Image, address_s: float, club_px: float
) -> Shaft | Missing:
    """Shaft while the club rests behind the ball: pointing down from the hands."""
    track = swing.track
    near = np.argsort(np.abs(track.times_s - address_s))[:5]
    rows = [
        int(i)
        for i in sorted(near)
        if int(track.frames[i]) in swing.grays and track.times_s[i] <= address_s + 1e-6
    ]
    found = _search(swing, back, rows, [_downward() for _ in rows], club_px)
    shafts = [shaft for shaft in found.values() if isinstance(shaft, Shaft)]
    if not shafts:
        return next(iter(found.values()), Missing("No still address is in the clip."))
    return max(shafts, key=lambda shaft: shaft.score)


def _search(
    swing: SwingFrames, back: Image, rows: Sequence[int], masks: Sequence[Mask], club_px: float
) -> dict[int, Shaft | Missing]:
    hands = [_pair(swing.track.grip[i]) for i in rows]
    return _searched(swing, back, rows, masks, hands, club_px)


def _searched(
    swing: SwingFrames,
    back: Image,
    rows: Sequence[int],
    masks: Sequence[Mask],
    hands: Sequence[Point],
    club_px: float,
    reach_torso: float = REACH_TORSO,
) -> dict[int, Shaft | Missing]:
    track = swing.track
    looks = [
        Look(
            gray=swing.grays[int(track.frames[i])].steadied(),
            hands=middle,
            time_s=float(track.times_s[i]),
        )
        for i, middle in zip(rows, hands, strict=True)
    ]
    found = find_shafts(
        looks,
        back,
        club_px=club_px,
        reach_px=reach_torso * track.torso_px(),
        allowed=masks,
    )
    return {int(track.frames[i]): shaft for i, shaft in zip(rows, found, strict=True)}


def _apart(first: Array, second: float) -> Array:
    """Unsigned angle between directions, degrees."""
    return np.asarray(np.abs((first - second + 180.0) % 360.0 - 180.0))


def _upward(track: BodyTrack, row: int) -> Mask:
    """Directions a shaft can take near lead arm parallel: upper half, not along the lead arm."""
    angles = search_angles()
    arm = track.of(Joint.LEAD_SHOULDER)[row] - track.of(Joint.LEAD_WRIST)[row]
    along = float(np.degrees(np.arctan2(-arm[1], arm[0])))
    return np.asarray(
        (_apart(angles, 90.0) <= UP_WITHIN_DEG) & (_apart(angles, along) > ARM_CLEAR_DEG)
    )


def _downward() -> Mask:
    """Directions at address: the clubhead lies below the hands."""
    return np.asarray(_apart(search_angles(), -90.0) <= DOWN_WITHIN_DEG)


NO_IMPACT_NO_BALL = "A ball's place is told where it is seen to leave it, and no swing through the ball is in this film."


@dataclass(frozen=True, slots=True)
class Ground:
    """The ball and what it tells: ``impact`` is when it leaves."""

    ball: Ball | Missing
    impact: Instant | Missing


def ground(
    swing: SwingFrames, view: View, px_per_m: float, start_s: float, impact_s: float | None
) -> Ground:
    """Find the ball and the moment it leaves. ``impact_s`` is the sparse look's guess."""
    if impact_s is None:
        return Ground(Missing(NO_IMPACT_NO_BALL), Missing("No follow-through was found."))
    times = {int(f): float(t) for f, t in zip(swing.track.frames, swing.track.times_s, strict=True)}
    size = BALL_DIAMETER_M * px_per_m
    region = _ball_region(swing.track, view, start_s)
    # Only the ground about the ball is steadied, and a ball's width more for one that lies at its edge.
    all_of_it = next(iter(swing.grays.values())).whole
    about = region.grown(math.ceil(size)).inside(all_of_it.right, all_of_it.bottom)

    def pictures(frames: Iterable[int]) -> list[Gray]:
        return [swing.grays[frame].steadied(about) for frame in frames]

    before = pictures(_thinned(swing.grays, times, start_s + 0.25, impact_s - 0.10))
    after = pictures(_thinned(swing.grays, times, impact_s + 0.12, impact_s + 0.60))
    ball = find_ball(before, after, region.seen_from(about), size)
    if isinstance(ball, Missing):
        return Ground(ball, Missing("No ball was seen to leave its place."))
    frames = [f for f in sorted(swing.grays) if abs(times[f] - impact_s) <= IMPACT_REACH_S]
    rows = leaving(pictures(frames), before, after, ball, size)
    there = replace(ball, centre=(ball.centre[0] + about.left, ball.centre[1] + about.top))
    if rows is None:
        return Ground(there, Missing("The moment the ball leaves could not be seen."))
    t0, t1 = times[frames[rows[0]]], times[frames[rows[1]]]
    return Ground(there, Instant((t0 + t1) / 2.0, (t1 - t0) / ROOT_12))


def _thinned(
    frames: Iterable[int], times: Mapping[int, float], start_s: float, end_s: float
) -> list[int]:
    """About ten of the frames between two times."""
    inside = [frame for frame in sorted(frames) if start_s <= times[frame] <= end_s]
    return inside[:: max(1, len(inside) // 9)]


def _ball_region(track: BodyTrack, view: View, start_s: float) -> Region:
    """Where the ball may lie on the ground, from the feet at address."""
    row = track.nearest(start_s)
    torso = track.torso_px()
    feet = track.xy[row, [Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE, Joint.LEAD_TOE, Joint.TRAIL_TOE]]
    ankle_row = float(feet[:2, 1].mean())
    if view is View.FACE_ON:
        # The ball lies in front of the toes, hence lower in the picture, between the feet or
        # a little towards the target.
        left, right = feet[:2, 0].min() - 0.2 * torso, feet[:, 0].max() + 0.3 * torso
        toe_row = float(feet[2:, 1].max())
        return Region(
            int(left), int(toe_row + 0.05 * torso), int(right), int(toe_row + 1.0 * torso)
        )
    toes = float(feet[2:, 0].max())
    return Region(
        int(toes + 0.1 * torso),
        int(ankle_row - 0.5 * torso),
        int(toes + 2.2 * torso),
        int(ankle_row + 0.8 * torso),
    )


def butt_of(shaft: Shaft, px_per_m: float) -> Point:
    """The grip's top end, on the shaft's line, unless it was seen itself."""
    if shaft.butt is not None:
        return shaft.butt
    length = np.hypot(shaft.far[0] - shaft.near[0], shaft.far[1] - shaft.near[1])
    share = HANDS_BELOW_BUTT_M * px_per_m / length
    return (
        float(shaft.near[0] - share * (shaft.far[0] - shaft.near[0])),
        float(shaft.near[1] - share * (shaft.far[1] - shaft.near[1])),
    )

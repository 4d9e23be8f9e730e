"""From a dense body track to the signals the instants are read from, for either view."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Estimate
from api.domain.names import View
from worker.body.joints import BodyTrack, Joint
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.measure.ideal import Space, Stand
from worker.measure.setting import LEG_OVER_STATURE, Setting
from worker.swing.estimates import combine_estimates
from worker.swing.instants import Club, Motion, Placed
from worker.swing.shoulder import (
    LEG_SEEN,
    TILT_USUAL,
    chest_at_address,
    lead_shoulder_track,
    leg_px,
)
from worker.swing.signals import noise_sigma, spread_sigma

Array = NDArray[np.float64]

POINT_SIGMA_STATURE = 0.01
"""One sigma, share of stature, by which a network's joint and the person's joint differ for good:
points move one to two hundredths of body height between refinements; two centimetres on a person."""
ARM_OVER_STATURE = 0.186 + 0.146
"""Upper arm and forearm: Drillis and Contini 1966, in Winter, ch. 4."""
SHOULDERS_OVER_STATURE = 0.259
SHOULDER_TURN = Estimate(math.radians(65.0), math.radians(14.0))
"""Turn of the shoulder line at lead arm parallel: at the top published trunk turns run from 60
(Zheng et al. 2008) to about 100 degrees for the upper torso (rows 11 and 14); four fifths of it."""
WRIST_BEHIND_STATURE = 0.015
"""Down-the-line the lead wrist is partly hidden by the trail hand (working value)."""
WANDER_S = 0.6
"""Over this long before the hands start the clubhead's wander is judged: shorter than a usual stand at address
(working value)."""


@dataclass(frozen=True, slots=True)
class Posture:
    """The lead shoulder as the ideal camera would show it.

    ``lead_shoulder`` (n, 2) and ``sigma_px`` (n,) what the model leaves; ``stature_px`` the
    golfer's stature in working pixels.
    """

    lead_shoulder: Array
    sigma_px: Array
    stature_px: float


def posture(track: BodyTrack, still: BodyTrack, view: View) -> Posture:
    """Lead shoulder track by the rigid chest."""
    stature_px = leg_px(still) / (LEG_OVER_STATURE * LEG_SEEN)
    lasting = POINT_SIGMA_STATURE * stature_px
    if view is View.FACE_ON:
        places, sigma = lead_shoulder_track(track, chest_at_address(still))
        return Posture(places, np.hypot(sigma, lasting), stature_px)
    places, spread = _shoulder_from_behind(track, stature_px)
    return Posture(places, np.full(len(track), math.hypot(spread, lasting)), stature_px)


def posture_seen(points: SwingTrack, still: BodyTrack) -> Posture:
    """Lead shoulder track as the swing network sees it, with its own sigma."""
    stature_px = leg_px(still) / (LEG_OVER_STATURE * LEG_SEEN)
    shoulder = SwingPoint.LEAD_SHOULDER
    return Posture(points.of(shoulder), points.sigma_px[:, shoulder], stature_px)


def motion_seen(
    points: SwingTrack,
    track: BodyTrack,
    still: BodyTrack,
    setting: Setting,
    space: Space,
    stand: Stand,
) -> Motion:
    """Signals for ``worker.swing.instants`` from the swing network's points, either view.

    What stands above what is told in space, by the depths the network gives, about the horizon and with the
    camera's roll taken out: a phone two degrees off level would move lead arm parallel by a frame.
    """
    placed = space.turned(stand.azimuth.value, stand.roll.value) * setting.px_per_m.value
    shoulder, wrist = SwingPoint.LEAD_SHOULDER, SwingPoint.LEAD_WRIST
    rise = _rise(placed, shoulder, wrist)
    times = points.times_s
    calm = (times >= still.times_s[0]) & (times <= still.times_s[-1])
    level = np.argsort(np.abs(rise))[: max(3, len(rise) // 10)]
    both = np.hypot(points.sigma_px[level, shoulder], points.sigma_px[level, wrist])
    bias = (
        float(np.median(both)),
        float(np.median(_horizon_px(points, shoulder, wrist, setting)[level])),
        float(np.median(_roll_px(placed, shoulder, wrist, stand)[level])),
    )
    return Motion(
        times_s=track.times_s,
        hands=track.hands,
        hands_sigma=max(noise_sigma(still.hands[:, 0]), noise_sigma(still.hands[:, 1]), 0.3),
        arm=rise,
        arm_sigma=max(noise_sigma(rise), 0.3),
        arm_bias=math.hypot(*bias),
        torso_px=still.torso_px(),
        club=_club_motion(points, placed, setting, stand, float(still.times_s[-1])),
        hands_in_space=_hands_in_space(points, track, setting, calm),
    )


def _hands_in_space(
    points: SwingTrack, track: BodyTrack, setting: Setting, calm: NDArray[np.bool_]
) -> Placed:
    wrists = [SwingPoint.LEAD_WRIST, SwingPoint.TRAIL_WRIST]
    depth_px = points.depth_m[:, wrists].mean(axis=1) * setting.px_per_m.value
    places = np.column_stack([track.hands, depth_px])
    sigmas = np.array([noise_sigma(places[calm, axis]) for axis in range(3)])
    return Placed(places, np.maximum(sigmas, 0.3))


def _club_motion(
    points: SwingTrack, placed: Array, setting: Setting, stand: Stand, still_s: float
) -> Club:
    # In space, as far as the network tells depth: from behind the club starts towards the lens.
    depth_px = points.depth_m[:, SwingPoint.HOSEL] * setting.px_per_m.value
    head = np.column_stack([points.of(SwingPoint.HOSEL), depth_px])
    rest = points.times_s <= still_s
    # From frame to frame the head may lie still and yet wander where its shape is not known: it is no
    # better placed than it stays in its place while the hands rest.
    late = rest & (points.times_s >= still_s - WANDER_S)
    sigma = max(
        max(noise_sigma(head[rest, axis]), spread_sigma(head[late, axis])) for axis in range(3)
    )
    butt, hosel = SwingPoint.BUTT, SwingPoint.HOSEL
    ends = points.sigma_px[:, [butt, hosel]]
    roll_px = _roll_px(placed, butt, hosel, stand)
    shaft_sigma = np.sqrt(ends[:, 0] ** 2 + ends[:, 1] ** 2 + roll_px**2)
    return Club(head, max(sigma, 0.3), _rise(placed, butt, hosel), shaft_sigma)


def _rise(placed: Array, low: SwingPoint, high: SwingPoint) -> Array:
    """How far ``high`` stands above ``low`` (n,); ``placed`` (n, 24, 3) with y down."""
    return np.asarray(placed[:, low, 1] - placed[:, high, 1])


def _horizon_px(points: SwingTrack, low: SwingPoint, high: SwingPoint, setting: Setting) -> Array:
    """What the horizon's sigma does to a rise (n,): the less the nearer the two are to one depth."""
    apart_m = points.depth_m[:, high] - points.depth_m[:, low]
    share = apart_m / (setting.distance_m.value + points.depth_m[:, low])
    return np.asarray(setting.horizon_row.sigma * np.abs(share))


def _roll_px(placed: Array, low: SwingPoint, high: SwingPoint, stand: Stand) -> Array:
    """What the roll's sigma does to a rise (n,)."""
    beside = np.abs(placed[:, high, 0] - placed[:, low, 0])
    return np.asarray(math.radians(stand.roll.sigma) * beside)


def _shoulder_from_behind(track: BodyTrack, stature_px: float) -> tuple[Array, float]:
    """Lead shoulder seen down-the-line at lead arm parallel: from the trail shoulder.

    The shoulder line stands at right angles to the spine. Seen from behind it shows as
    ``w sin(turn)`` along the chest's facing, which the spine's lean tilts downwards. The lead
    shoulder itself is hidden behind chin and arm; the trail shoulder is in plain view.
    """
    spine = track.shoulders - track.hips
    seen = float(np.median(np.arctan2(spine[:, 0], -spine[:, 1])))
    # Shoulders and hips err by about 0.02 of stature each, the trunk is 0.288 of it.
    lean = combine_estimates(Estimate(seen, math.sqrt(2.0) * 0.02 / 0.288), TILT_USUAL)
    shown = SHOULDERS_OVER_STATURE * stature_px * math.sin(SHOULDER_TURN.value)
    drop = shown * math.sin(lean.value)
    places = track.of(Joint.TRAIL_SHOULDER) + np.array([shown * math.cos(lean.value), drop])
    by_turn = drop * SHOULDER_TURN.sigma / math.tan(SHOULDER_TURN.value)
    return places, math.hypot(by_turn, shown * math.cos(lean.value) * lean.sigma)


def motion(
    track: BodyTrack, still: BodyTrack, body: Posture, view: View, setting: Setting
) -> Motion:
    """Signals for ``worker.swing.instants``."""
    wrist = track.of(Joint.LEAD_WRIST)
    rise = _rise_ideal(wrist, body, view, setting)
    hands = track.hands
    # The wrist's own joint is off for good as well, just like the shoulder's (which has it in).
    bias = math.hypot(float(np.median(body.sigma_px)), POINT_SIGMA_STATURE * body.stature_px)
    if view is View.DOWN_THE_LINE:
        hidden = WRIST_BEHIND_STATURE * body.stature_px
        bias = math.hypot(bias, hidden, _horizon_part(body, setting))
    return Motion(
        times_s=track.times_s,
        hands=hands,
        hands_sigma=max(noise_sigma(still.hands[:, 0]), noise_sigma(still.hands[:, 1]), 0.3),
        arm=rise,
        arm_sigma=max(noise_sigma(rise), 0.5),
        arm_bias=bias,
        torso_px=still.torso_px(),
    )


def _rise_ideal(wrist: Array, body: Posture, view: View, setting: Setting) -> Array:
    """How far the wrist stands above the shoulder, pixels, as a level lens at their height sees it.

    Down-the-line the wrist is nearer the lens by an arm's length, so rows below or above the
    horizon spread: they are brought back to the shoulder's distance first.
    """
    rows = wrist[:, 1]
    if view is View.DOWN_THE_LINE:
        horizon = setting.horizon_row.value
        rows = horizon + (rows - horizon) * _nearness(body, setting)
    return np.asarray(body.lead_shoulder[:, 1] - rows)


def _nearness(body: Posture, setting: Setting) -> float:
    """Distance of the wrist over distance of the shoulder when the arm points at the lens."""
    arm_m = ARM_OVER_STATURE * body.stature_px / setting.px_per_m.value
    return 1.0 - arm_m / setting.distance_m.value


def _horizon_part(body: Posture, setting: Setting) -> float:
    """What an unknown horizon does to the comparison of rows, pixels."""
    return setting.horizon_row.sigma * (1.0 - _nearness(body, setting))

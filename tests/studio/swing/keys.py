"""Key poses of a swing: what the body, the lead arm and the club do at nine moments.

The moments (phases 0 to 8): address, hands past the trail leg, lead arm parallel, top, lead arm
parallel down, delivery, impact, lead arm level after impact, finish. Between them everything runs on
smooth curves of the phase, and ``timing`` says when each phase comes. The numbers are working values
chosen by eye for a person swinging a club; published ones are named where they were used. They make
pictures and are no source of truth: that is computed from the motion they give.
"""

from dataclasses import dataclass, fields
from enum import IntEnum

from tests.studio.dials import ClubName, SwingDials


class Phase(IntEnum):
    """Where in the swing, in equal steps."""

    ADDRESS = 0
    PAST_TRAIL_LEG = 1
    ARM_PARALLEL = 2
    TOP = 3
    ARM_PARALLEL_DOWN = 4
    DELIVERY = 5
    IMPACT = 6
    THROUGH = 7
    FINISH = 8


@dataclass(frozen=True, slots=True)
class Trunk:
    """Posture at a key, degrees and metres, for a golfer of 1.78 m.

    ``sway``: pelvis towards the target; ``back``: pelvis behind the ankles; ``drop``: pelvis below
    its height with straight legs. The rest as ``skeleton.Posture``.
    """

    sway: float
    back: float
    drop: float
    pelvis_turn: float
    pelvis_tilt: float
    chest_turn: float
    chest_tilt: float
    side_bend: float
    head_turn: float
    head_tilt: float
    lead_reach: float
    trail_reach: float
    heel_up: float
    foot_turn: float


LEAST_KNEE_FLEX_DEG = {
    Phase.ADDRESS: 20.0,
    Phase.PAST_TRAIL_LEG: 18.0,
    Phase.ARM_PARALLEL: 16.0,
    Phase.TOP: 15.0,
    Phase.ARM_PARALLEL_DOWN: 15.0,
    Phase.DELIVERY: 13.0,
    Phase.IMPACT: 9.0,
    Phase.THROUGH: 6.0,
    Phase.FINISH: 5.0,
}
"""Neither knee is straighter than this at a key: the pelvis is lowered until it holds. At address
12 to 30 degrees is common practice."""

TRUNK_CHANNELS = tuple(field.name for field in fields(Trunk))

TRUNKS: dict[Phase, Trunk] = {
    #                             sway   back   drop  p.turn p.tilt c.turn c.tilt bend head h.tilt reach   heel foot
    Phase.ADDRESS: Trunk(0.000, 0.135, 0.020, 0, 22, 0, 36, 6, 0, 38, 2, 12, 0, 0),
    Phase.PAST_TRAIL_LEG: Trunk(-0.012, 0.135, 0.022, 14, 22, 36, 37, 5, 4, 38, 10, 8, 0, 0),
    Phase.ARM_PARALLEL: Trunk(-0.018, 0.132, 0.023, 30, 23, 66, 40, 3, 9, 38, 18, 0, 0, 0),
    Phase.TOP: Trunk(-0.010, 0.128, 0.023, 42, 24, 88, 43, 1, 14, 38, 22, -8, 0, 0),
    Phase.ARM_PARALLEL_DOWN: Trunk(0.035, 0.128, 0.038, 16, 23, 60, 40, 6, 12, 38, 20, -4, 0, 0),
    Phase.DELIVERY: Trunk(0.060, 0.120, 0.034, -14, 22, 16, 38, 11, 10, 38, 14, 4, 5, 0),
    Phase.IMPACT: Trunk(0.075, 0.110, 0.026, -36, 22, -16, 38, 13, 8, 38, 10, 12, 14, 4),
    Phase.THROUGH: Trunk(0.100, 0.090, 0.012, -62, 18, -66, 33, 16, -4, 36, -4, 20, 34, 14),
    Phase.FINISH: Trunk(0.150, 0.020, 0.006, -96, 4, -118, 6, 6, -78, 8, 0, 14, 72, 34),
}

PUBLISHED_TOP_CHEST_TURN_DEG = (60.0, 100.0)
"""Trunk rotation at the top among professionals: 60 +- 7 (Zheng et al. 2008) to about 100 for the
upper torso (Meister et al. 2011, from memory): definitions differ; the dial stays inside."""

BALL_FROM_MIDDLE_M = {
    ClubName.DRIVER: 0.12,
    ClubName.IRON_5: 0.03,
    ClubName.IRON_7: 0.01,
    ClubName.WEDGE: -0.01,
}
"""Ball forward of the stance's middle, towards the target. Common practice."""

STANCE_M = {
    ClubName.DRIVER: 0.54,
    ClubName.IRON_5: 0.47,
    ClubName.IRON_7: 0.44,
    ClubName.WEDGE: 0.38,
}
"""Ankle to ankle. Common practice: shoulder width or a little more, widest with the driver."""


def trunk(phase: Phase, dials: SwingDials) -> Trunk:
    """Posture at a key with the dials' faults in it."""
    base = TRUNKS[phase]
    values = {name: getattr(base, name) for name in TRUNK_CHANNELS}
    back = phase in {Phase.PAST_TRAIL_LEG, Phase.ARM_PARALLEL, Phase.TOP}
    turned = phase in {Phase.PAST_TRAIL_LEG, Phase.ARM_PARALLEL, Phase.TOP, Phase.ARM_PARALLEL_DOWN}
    if turned:
        values["chest_turn"] *= dials.chest_turn_deg / TRUNKS[Phase.TOP].chest_turn
        values["pelvis_turn"] *= dials.pelvis_turn_deg / TRUNKS[Phase.TOP].pelvis_turn
        values["chest_turn"] *= 1.0 - 0.45 * dials.arm_lift
        values["pelvis_turn"] *= 1.0 - 0.4 * dials.arm_lift
    if phase is Phase.PAST_TRAIL_LEG:
        values["chest_turn"] *= 1.0 - 0.7 * dials.hands_first
        values["pelvis_turn"] *= 1.0 - 0.8 * dials.hands_first
        values["sway"] *= 1.0 - dials.no_trigger
    if back:
        values["sway"] -= 0.11 * dials.sway * (int(phase) / int(Phase.TOP))
        values["side_bend"] -= 4.0 * dials.sway
    return Trunk(**values)

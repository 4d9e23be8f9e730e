"""How they swing: aims, faults by degree, tempo, and swings that are not one plain swing at a ball."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from api.domain.names import KeyframeId
from tests.studio.design.columns import Columns, Rows, rows_of
from tests.studio.design.light import HIGH_SPEED, Light
from tests.studio.dials import ClubName, SwingDials

_CLUBS = {ClubName.DRIVER: 8, ClubName.IRON_5: 7, ClubName.IRON_7: 10, ClubName.WEDGE: 7}
_LEAST_FAULT = 0.15
_WITH_A_FAULT, _WAGGLING, _WITHOUT_A_BALL, _DARK_SHAFTS = 8, 6, 8, 13
# Longest first: those are filmed at low rates, as their cost asks.
_KINDS = {
    "thrice": 1,
    "slow": 3,
    "twice": 1,
    "pause at arm parallel": 4,
    "pause at top": 3,
    "stop at top": 2,
    "plain": 18,
}
_PAUSES = {
    "pause at arm parallel": KeyframeId.LEAD_ARM_PARALLEL,
    "pause at top": KeyframeId.TOP,
}


def swings(columns: Columns, light: Light) -> list[SwingDials]:
    rolled, lifted = columns.exclusive(_WITH_A_FAULT, _WITH_A_FAULT)
    roll = columns.among(rolled, _LEAST_FAULT, 1.0)
    lift = columns.among(lifted, _LEAST_FAULT, 1.0)
    rate = light.fps / 40.0
    tempo = columns.noise() - 0.5 * rate
    turn = columns.noise() - lift
    return rows_of(
        SwingDials,
        club=columns.dealt(_CLUBS),
        hinge_deg=columns.peaked(58.0, 94.0, 130.0),
        butt_grips=columns.peaked(-1.5, 0.5, 3.0, by=2.0 * (lift - roll) + 0.5 * columns.noise()),
        backswing_s=columns.spread(0.65, 1.20, by=tempo),
        downswing_s=columns.spread(0.22, 0.38, by=tempo + 0.6 * columns.noise()),
        early_roll=roll,
        arm_lift=lift,
        hands_first=_fault(columns),
        no_trigger=_fault(columns),
        sway=_fault(columns),
        elbow_bend_deg=columns.peaked(0.0, 6.0, 25.0),
        chest_turn_deg=columns.spread(65.0, 100.0, by=turn),
        pelvis_turn_deg=columns.spread(28.0, 55.0, by=turn + 0.5 * columns.noise()),
        top_arm_deg=columns.spread(15.0, 58.0, by=columns.noise() + 0.5 * lift),
        gap_s=columns.spread(1.6, 3.0),
        lead_in_s=columns.spread(0.5, 1.1, by=columns.noise() - rate),
        hold_s=columns.spread(0.4, 0.8, by=columns.noise() - rate),
        unrest_m=columns.spread(0.001, 0.006),
        dark_shaft=columns.chosen(_DARK_SHAFTS),
        **_kinds(columns, light),
    )


def about_seconds(swing: SwingDials) -> float:
    """Roughly how long a clip of it lasts in life: for choosing by cost, not for timing."""
    once = (swing.backswing_s + swing.downswing_s + 0.6) * swing.slow + swing.hold_s
    between = (swing.swings - 1) * swing.gap_s
    return swing.lead_in_s + swing.swings * once + between + swing.pause_s + 0.8 * swing.waggles


def _fault(columns: Columns) -> NDArray[np.float64]:
    return columns.among(columns.chosen(_WITH_A_FAULT), _LEAST_FAULT, 1.0)


def _kinds(columns: Columns, light: Light) -> dict[str, Sequence[object]]:
    """Columns of what is not plain: at most one kind to a clip, waggles and a missing ball apart."""
    kind = columns.dealt(_KINDS, by=light.fps / 60.0 + 0.25 * columns.noise())
    slow, stopped = _are(kind, "slow"), _are(kind, "stop at top")
    paused = _are(kind, *_PAUSES)
    several = _are(kind, "twice", "thrice")
    rehearsed = slow | stopped | paused
    wait = 9.0 * (several | (light.fps >= HIGH_SPEED)) + 2.0 * rehearsed + light.fps / 40.0
    waggling = columns.chosen(_WAGGLING, by=wait + columns.noise())
    return {
        "pause_at": [_PAUSES.get(each) for each in kind],
        "pause_s": list(columns.among(paused, 0.4, 1.6)),
        "slow": list(columns.among(slow, 1.5, 2.5, other=1.0)),
        "waggles": list(np.rint(columns.among(waggling, 1.0, 3.0)).astype(int)),
        "swings": [{"twice": 2, "thrice": 3}.get(each, 1) for each in kind],
        "stop_at_top": list(stopped),
        "ball": list(~columns.chosen(_WITHOUT_A_BALL, by=columns.noise() - 1.5 * rehearsed)),
    }


def _are(kind: Sequence[str], *names: str) -> Rows:
    return np.array([each in names for each in kind])

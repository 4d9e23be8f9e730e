"""When each phase of a swing comes: a monotone curve from time to phase, with stays, waggles and
several swings in one clip.
"""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import PchipInterpolator

from api.domain.names import KeyframeId
from tests.studio.dials import SwingDials
from tests.studio.swing.keys import Phase

BACKSWING_SHARES = {Phase.PAST_TRAIL_LEG: 0.34, Phase.ARM_PARALLEL: 0.69, Phase.TOP: 1.0}
DOWNSWING_SHARES = {Phase.ARM_PARALLEL_DOWN: 0.49, Phase.DELIVERY: 0.79, Phase.IMPACT: 1.0}
THROUGH_S, FINISH_S = 0.105, 0.62
"""After impact."""

WAGGLE_S, WAGGLE_PHASE, SETTLE_S = 0.55, 0.42, 0.75
RETURN_PHASE = 9
"""After the finish the phase runs on to here: back at address for the next swing."""

PAUSE_PHASE = {KeyframeId.LEAD_ARM_PARALLEL: Phase.ARM_PARALLEL, KeyframeId.TOP: Phase.TOP}


@dataclass(frozen=True, slots=True)
class Schedule:
    """``times_s`` and ``phases`` are the nodes of the curve; ``starts_s`` and ``impacts_s`` one a
    swing (no impact where a swing stops at the top); ``ends_s`` when each one's hold is over.
    """

    times_s: tuple[float, ...]
    phases: tuple[float, ...]
    starts_s: tuple[float, ...]
    impacts_s: tuple[float, ...]
    ends_s: tuple[float, ...]
    duration_s: float


def make_schedule(dials: SwingDials) -> Schedule:
    """Nodes for all swings of a clip. Raises ``ValueError`` for a stop where none can be."""
    if dials.pause_s and dials.pause_at not in PAUSE_PHASE:
        raise ValueError(f"a swing can pause at {', '.join(PAUSE_PHASE)}, not {dials.pause_at}")
    nodes: list[tuple[float, float]] = [(0.0, 0.0)]
    starts, impacts, ends = [], [], []
    now = dials.lead_in_s
    for number in range(dials.swings):
        now = _waggles(nodes, now, dials)
        starts.append(now)
        now, impact = _swing(nodes, now, dials)
        if impact is not None:
            impacts.append(impact)
        now = _stay(nodes, now, dials.hold_s)
        ends.append(now)
        if number + 1 < dials.swings:
            now = _return(nodes, now, dials)
    times, phases = zip(*nodes, strict=True)
    return Schedule(times, phases, tuple(starts), tuple(impacts), tuple(ends), now)


def phase_curve(schedule: Schedule) -> PchipInterpolator:
    """Phase as a function of time: once differentiable, never overshooting a node.

    Swings after the first run from phase 9 k: the phase only grows, and its remainder by 9 tells
    where in a swing it is (waggles, which go back, excepted).
    """
    return PchipInterpolator(np.array(schedule.times_s), np.array(schedule.phases))


def _stay(nodes: list[tuple[float, float]], now: float, seconds: float) -> float:
    if seconds > 0.0:
        nodes.append((now + seconds, nodes[-1][1]))
    return now + seconds


def _waggles(nodes: list[tuple[float, float]], now: float, dials: SwingDials) -> float:
    base = nodes[-1][1]
    if nodes[-1][0] < now:
        nodes.append((now, base))
    for _ in range(dials.waggles):
        nodes.append((now + WAGGLE_S / 2.0, base + WAGGLE_PHASE))
        nodes.append((now + WAGGLE_S, base))
        now += WAGGLE_S
    return _stay(nodes, now, SETTLE_S) if dials.waggles else now


def _swing(
    nodes: list[tuple[float, float]], start: float, dials: SwingDials
) -> tuple[float, float | None]:
    """One swing's nodes; when it ends (finish reached, or top), and its impact."""
    base = nodes[-1][1]
    back, down = dials.backswing_s * dials.slow, dials.downswing_s * dials.slow
    waited = 0.0
    for phase, share in BACKSWING_SHARES.items():
        nodes.append((start + waited + share * back, base + phase))
        if (
            dials.pause_at is not None
            and PAUSE_PHASE.get(dials.pause_at) is phase
            and dials.pause_s
        ):
            waited += dials.pause_s
            nodes.append((start + waited + share * back, base + phase))
    top = start + waited + back
    if dials.stop_at_top:
        return top, None
    for phase, share in DOWNSWING_SHARES.items():
        nodes.append((top + share * down, base + phase))
    impact = top + down
    nodes.append((impact + THROUGH_S * dials.slow, base + Phase.THROUGH))
    nodes.append((impact + FINISH_S * dials.slow, base + Phase.FINISH))
    return impact + FINISH_S * dials.slow, impact


def _return(nodes: list[tuple[float, float]], now: float, dials: SwingDials) -> float:
    """Back to address (from the top: the way it came) and still again."""
    base = np.floor(nodes[-1][1] / RETURN_PHASE) * RETURN_PHASE
    walk = max(dials.gap_s - SETTLE_S, 0.8)
    nodes.append((now + walk, float(base) + (0 if dials.stop_at_top else RETURN_PHASE)))
    return _stay(nodes, now + walk, SETTLE_S)

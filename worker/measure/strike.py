"""Impact by the sound of the strike, beside what the picture shows.

Sound needs 2.9 ms for a metre (``api.domain.events_timing.impact_from_sound``), and a phone may put its sound and
picture some milliseconds apart. Which of the strikes heard is this swing's own, the picture says: a neighbour's
mostly comes at another time, or fainter. Where it may be either, both are weighed, and the impact is as unsure as
that leaves it. Without a ball there is no strike, whatever is heard.
"""

import math
from collections.abc import Sequence

from api.domain.events_timing import SPEED_OF_SOUND_M_PER_S, impact_from_sound
from api.domain.measurement import Estimate, Missing
from worker.swing.instants import Instant
from worker.video.sound import Strike

APART_SIGMA_S = 0.015
"""How far a phone's sound lies from its picture, one sigma: tens of milliseconds happen (trade notes; working value)."""
NEAR_SIGMAS = 3.0
"""A strike farther from the impact seen is not this swing's."""
OWN_HEARD = 0.9
"""How often the own strike is among those heard, where any is (working value)."""
NEIGHBOURS_PER_S = 0.3
"""Strikes of others on a busy range (working value): a dozen bays, each every half a minute or so."""
BY_SOUND_ALONE_S = 0.15
"""Where no impact was seen: a strike this near the first look's impact, which is good to two looks."""
RIVALS_S = 1.0
RIVAL_DB = 6.0
"""Where no impact was seen, the swing's own strike is the loudest within a second by this: a neighbour's bay is
twice as far off, or more (6 dB for twice the distance)."""


def with_strike(
    seen: Instant | Missing,
    strikes: Sequence[Strike],
    rough_s: float,
    distance_m: Estimate,
    *,
    ball: bool,
) -> Instant | Missing:
    """The impact with the strike that belongs to it; as it was seen where none does.

    ``rough_s``: the first look's impact; ``distance_m``: lens to golfer; ``ball``: whether one was seen at address.
    Strikes on the file's clock.
    """
    if not ball:
        return seen
    sigma_s = math.hypot(APART_SIGMA_S, distance_m.sigma / SPEED_OF_SOUND_M_PER_S)
    told = [
        (strike.level_db, impact_from_sound(strike.heard_s, distance_m.value)) for strike in strikes
    ]
    if isinstance(seen, Missing):
        alone = _alone(told, rough_s)
        if alone is None:
            return seen
        # Nothing but the first look says whose it is: the farther off, the less sure.
        return Instant(alone, math.hypot(sigma_s, (alone - rough_s) / 2.0))
    return _weighed(seen, told, sigma_s)


def _weighed(seen: Instant, told: Sequence[tuple[float, float]], sigma_s: float) -> Instant:
    """Each strike near the impact as the own one, and that none is, weighed by how likely each is.

    A strike's share falls with its distance in time and with its loudness below the loudest; the result has the
    mean and the variance of them all.
    """
    apart_s = math.hypot(seen.sigma_s, sigma_s)
    near = [one for one in told if abs(one[1] - seen.time_s) <= NEAR_SIGMAS * apart_s]
    if not near:
        return seen
    loudest_db = max(level for level, _ in near)
    precision = seen.sigma_s**-2 + sigma_s**-2
    # Where none is the own one, it is as the picture has it.
    cases = [((1.0 - OWN_HEARD) * NEIGHBOURS_PER_S, seen.time_s, seen.sigma_s**2)]
    for level_db, heard_s in near:
        off = (heard_s - seen.time_s) / apart_s
        density = math.exp(-(off**2) / 2.0) / (apart_s * math.sqrt(2.0 * math.pi))
        loudness = 10.0 ** ((level_db - loudest_db) / 20.0)
        both_s = (seen.time_s * seen.sigma_s**-2 + heard_s * sigma_s**-2) / precision
        cases.append((OWN_HEARD * density * loudness, both_s, 1.0 / precision))
    total = sum(share for share, _, _ in cases)
    time_s = sum(share * at_s for share, at_s, _ in cases) / total
    variance = sum(share * (own + (at_s - time_s) ** 2) for share, at_s, own in cases) / total
    return Instant(time_s, math.sqrt(variance), seen.slope)


def _alone(told: Sequence[tuple[float, float]], rough_s: float) -> float | None:
    """The one loud strike about the first look's impact; none where another might be it."""
    near = sorted(one for one in told if abs(one[1] - rough_s) <= RIVALS_S)
    about = [one for one in near if abs(one[1] - rough_s) <= BY_SOUND_ALONE_S]
    if len(about) != 1 or about[0] != near[-1]:
        return None
    if len(near) > 1 and near[-1][0] - near[-2][0] < RIVAL_DB:
        return None
    return about[0][1]

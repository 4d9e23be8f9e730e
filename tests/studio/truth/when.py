"""When something happens in a swing, or why it does not. Life seconds."""

from dataclasses import dataclass

from api.domain.names import KeyframeId
from tests.studio.truth.names import Moment


@dataclass(frozen=True, slots=True)
class Absent:
    """There is none, and why, in words."""

    reason: str


@dataclass(frozen=True, slots=True)
class Instant:
    """Life seconds. ``from_s`` to ``to_s``: the stay in which any time would be as right; both
    equal ``life_s`` where nothing stops.
    """

    life_s: float
    from_s: float
    to_s: float


When = Instant | Absent
Key = KeyframeId | Moment
Instants = dict[Key, When]
Times = tuple[float, ...]
"""Life seconds of several instants, in the order they were asked for."""


def at_once(time_s: float) -> Instant:
    """An instant without a stay."""
    return Instant(time_s, time_s, time_s)


def times_of(instants: Instants, keys: tuple[Key, ...]) -> Times | Absent:
    """Life seconds of instants; the first reason where one is missing."""
    times = []
    for key in keys:
        when = instants[key]
        if isinstance(when, Absent):
            return when
        times.append(when.life_s)
    return tuple(times)

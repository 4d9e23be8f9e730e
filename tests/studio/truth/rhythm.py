"""Checkpoints made of times: tempo, pauses, order of the start, the held finish, the hands' path.

A time is the same for every camera, so the three sights carry one number; a pause is found in
each sight from its own hand speed, since a picture loses the part towards the lens.
"""

from collections.abc import Callable

import numpy as np

from api.domain.names import KeyframeId, View
from tests.studio.pose import Array
from tests.studio.truth.body_recipes import SHOULDERS, turn_in_space
from tests.studio.truth.club_recipes import arm_shaft_in_space
from tests.studio.truth.names import Moment, Sight, TruthId, Unit
from tests.studio.truth.recipes import CheckpointTruth, Quantity
from tests.studio.truth.roots import crossing, falls, rises, runs
from tests.studio.truth.sights import Camera, Look, Scene
from tests.studio.truth.stillness import STILL_S, calm_window, hands_of, stillness
from tests.studio.truth.when import Absent, Instants, Times, times_of

PAUSE_SHARE = 0.05
"""Of the backswing's peak hand speed: slower than that is a pause."""

# Least departures from the still phase that count, where its own scatter is smaller: of the
# pelvis and the hands, metres; of the chest and of the arm-shaft angle in space, degrees.
_LEAST = {"pelvis_shift": 0.005, "chest_turn": 1.0, "hands": 0.005, "wrist_set": 2.0}
_SCATTERS = 3.0


def rhythm_truths(scene: Scene, instants: Instants) -> list[CheckpointTruth]:
    """All checkpoints of this file for one swing."""
    return [
        _same_for_all(TruthId.TEMPO_RATIO, Unit.RATIO, _tempo(instants)),
        _pause(scene, instants),
        *_start_order(scene, instants),
        _same_for_all(TruthId.FINISH_HOLD, Unit.SECONDS, _finish_hold(scene, instants)),
        _path_outside(scene, instants),
    ]


def _same_for_all(id_: TruthId, unit: Unit, value: Quantity, part: str = "") -> CheckpointTruth:
    return CheckpointTruth(id_, "", part, unit, Sight.SPACE, value, value, value)


def _tempo(instants: Instants) -> Quantity:
    times = times_of(instants, (KeyframeId.TAKEAWAY, KeyframeId.TOP, KeyframeId.IMPACT))
    if isinstance(times, Absent):
        return times
    return (times[1] - times[0]) / (times[2] - times[1])


# ---------------------------------------------------------------- pauses


def longest_slow(times: Array, speeds: Array, window: tuple[float, float], limit: float) -> float:
    """Longest time, seconds, inside a window with a sampled speed under a limit."""
    inside = (times >= window[0]) & (times <= window[1])
    spans = [float(times[last] - times[first]) for first, last in runs((speeds < limit) & inside)]
    return max(spans, default=0.0)


def _pause(scene: Scene, instants: Instants) -> CheckpointTruth:
    """pause_length: between takeaway and impact (or the film's end where the swing stops)."""
    times = times_of(instants, (KeyframeId.TAKEAWAY, KeyframeId.TOP))
    if isinstance(times, Absent):
        return _same_for_all(TruthId.PAUSE_LENGTH, Unit.SECONDS, times)
    impact = times_of(instants, (KeyframeId.IMPACT,))
    end = float(scene.track.times[-1]) if isinstance(impact, Absent) else impact[0]
    figures, samples = scene.track.figures, scene.track.times

    def longest(places: Array) -> float:
        speeds = np.linalg.norm(np.gradient(places, samples, axis=0), axis=1)
        back = (samples >= times[0]) & (samples <= times[1])
        limit = PAUSE_SHARE * float(speeds[back].max())
        # Leaving the start is slow too, and no pause: the time begins with half the peak speed.
        first = samples[np.argmax(back & (speeds > 10.0 * limit))]
        return longest_slow(samples, speeds, (float(first), end), limit)

    def seen(camera: Camera) -> float:
        look = Look(scene, camera)
        return longest(np.array([look(figure.time_s).hands for figure in figures]))

    return CheckpointTruth(
        id=TruthId.PAUSE_LENGTH,
        at="",
        part="",
        unit=Unit.SECONDS,
        defined=Sight.SPACE,
        ideal=seen(scene.ideal),
        actual=seen(scene.actual),
        space=longest(np.array([hands_of(figure) for figure in figures])),
    )


def _finish_hold(scene: Scene, instants: Instants) -> Quantity:
    """Seconds from the finish until the hands leave stillness; to the film's end at most."""
    times = times_of(instants, (KeyframeId.FINISH,))
    if isinstance(times, Absent):
        return times
    rest = stillness(scene.track)
    moving = np.flatnonzero((scene.track.times > times[0] + STILL_S) & (rest.hands > rest.limit))
    end = scene.track.times[-1] if len(moving) == 0 else scene.track.times[moving[0]]
    return float(end - times[0])


# ---------------------------------------------------------------- order of the start


def onset(
    times: Array, signal: Array, still: tuple[float, float], until: float, least: float
) -> Quantity:
    """First time a signal leaves its still-phase band for good, up to ``until``: life seconds.

    The band is the still phase's mean, ``_SCATTERS`` standard deviations or ``least`` either side.
    """
    calm = signal[(times >= still[0]) & (times <= still[1])]
    band = max(_SCATTERS * float(calm.std()), least)
    outside = np.abs(signal - calm.mean()) - band
    last = int(np.searchsorted(times, until))
    within = np.flatnonzero(outside[: last + 1] <= 0)
    if len(within) == 0 or within[-1] >= last:
        return Absent("it does not leave its place before the lead arm is parallel")
    before = int(within[-1])
    share = outside[before] / (outside[before] - outside[before + 1])
    return float(times[before] + share * (times[before + 1] - times[before]))


def _start_order(scene: Scene, instants: Instants) -> list[CheckpointTruth]:
    """Onsets less takeaway, and the hands' onset less the body's first: + is body before hands."""
    keys = (
        Moment.SETTLED,
        KeyframeId.ADDRESS,
        KeyframeId.TAKEAWAY,
        KeyframeId.HANDS_PAST_TRAIL_LEG,
    )
    times = times_of(instants, keys)
    if isinstance(times, Absent):
        return [_same_for_all(TruthId.START_ORDER, Unit.SECONDS, times)]
    found = {name: _onset_of(scene, name, times) for name in _LEAST}
    body = [one for one in (found["pelvis_shift"], found["chest_turn"]) if isinstance(one, float)]
    hands = found["hands"]
    main: Quantity
    if isinstance(hands, Absent):
        main = hands
    else:
        main = hands - min(body) if body else Absent("the body does not move before that")
    since = {
        name: one if isinstance(one, Absent) else one - times[2] for name, one in found.items()
    }
    return [
        _same_for_all(TruthId.START_ORDER, Unit.SECONDS, main),
        *(
            _same_for_all(TruthId.START_ORDER, Unit.SECONDS, one, part=name)
            for name, one in since.items()
        ),
    ]


def _onset_of(scene: Scene, name: str, times: Times) -> Quantity:
    track = scene.track
    settled_s, address_s, _, passed_s = times
    still = calm_window(settled_s, address_s)
    signals: dict[str, Callable[[float], float]] = {
        "pelvis_shift": lambda time_s: float(track.at(time_s).hips[0]),
        "chest_turn": lambda time_s: turn_in_space(scene, (address_s, time_s), SHOULDERS),
        "hands": lambda time_s: float(
            np.linalg.norm(track.at(time_s).hands - track.at(address_s).hands)
        ),
        "wrist_set": lambda time_s: arm_shaft_in_space(track.at(time_s)),
    }
    wanted = (track.times >= still[0]) & (track.times <= passed_s + STILL_S)
    samples = track.times[wanted]
    values = np.array([signals[name](float(time_s)) for time_s in samples])
    return onset(samples, values, still, passed_s, _LEAST[name])


# ---------------------------------------------------------------- the hands' path


def _path_outside(scene: Scene, instants: Instants) -> CheckpointTruth:
    """path_outside: hands coming down less going back, half-way up the trunk, + outside, statures."""

    def made(ideal: Quantity, actual: Quantity, space: Quantity) -> CheckpointTruth:
        return CheckpointTruth(
            TruthId.PATH_OUTSIDE, "", "", Unit.STATURES, Sight.IDEAL, ideal, actual, space
        )

    keys = KeyframeId.ADDRESS, KeyframeId.TAKEAWAY, KeyframeId.TOP, KeyframeId.IMPACT
    times = times_of(instants, keys)
    if isinstance(times, Absent):
        return made(times, times, times)
    track, address = scene.track, scene.track.at(times[0])
    level = float(address.shoulders[2] + address.hips[2]) / 2.0
    inside = _two_passes(
        scene,
        times,
        lambda time_s: float(track.at(time_s).hands[2]) - level,
        lambda time_s: float(track.at(time_s).hands[1]),
    )
    space = inside if isinstance(inside, Absent) else -inside / scene.stature_m
    if scene.view is not View.DOWN_THE_LINE:
        unseen = Absent("not to be seen face-on")
        return made(unseen, unseen, space)
    return made(
        _path_seen(Look(scene, scene.ideal), times),
        _path_seen(Look(scene, scene.actual), times),
        space,
    )


def _path_seen(look: Look, times: Times) -> Quantity:
    start = look(times[0])
    row = float(start.shoulders[1] + start.hips[1]) / 2.0
    across = _two_passes(
        look.scene,
        times,
        lambda time_s: row - float(look(time_s).hands[1]),
        lambda time_s: float(look(time_s).hands[0]),
    )
    if isinstance(across, Absent):
        return across
    metre_px = look.grip_px(times[0]) / look.scene.grip_m
    return across / (metre_px * look.scene.stature_m)


def _two_passes(
    scene: Scene,
    times: Times,
    height: Callable[[float], float],
    place: Callable[[float], float],
) -> Quantity:
    """``place`` where ``height`` falls through 0 after the top, less where it rises before."""
    track = scene.track
    heights = np.array([height(float(time_s)) for time_s in track.times])
    _, takeaway, top, impact = (track.index(one) for one in times)
    up, down = rises(heights, takeaway, top + 1), falls(heights, top, impact + 1)
    if not up or not down:
        return Absent("the hands do not pass that height both ways")
    samples = track.times
    back_s = crossing(height, float(samples[up[0]]), float(samples[up[0] + 1]))
    down_s = crossing(height, float(samples[down[-1]]), float(samples[down[-1] + 1]))
    return place(down_s) - place(back_s)

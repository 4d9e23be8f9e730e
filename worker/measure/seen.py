"""How the clip was filmed, as far as the picture tells, and what that costs, in words."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.filming_problems import ProblemCode, problem
from api.domain.measurement import ClipFacts, Estimate, Keyframe, Missing, Problem, Seen, Swing
from api.domain.names import KeyframeId, Unit, View
from api.domain.uncertainty import Z95
from worker.body.joints import BodyTrack, Joint
from worker.measure.filming import Size, person_out
from worker.measure.ideal import Stand
from worker.swing.cycles import LOWERED, STILL_STATURE, hand_height
from worker.swing.shoulder import leg_px

FACE_ON_MIN, BEHIND_MAX = 0.38, 0.26
"""Shoulder line over leg length at address, between which it does not tell the view. Rendered golfers (practice
clips) showed face-on 0.36 to 0.51 square to the lens, 0.34 to 0.45 at 15 degrees off, 0.33 to 0.42 at 30 and 0.26 to
0.36 at 45; from behind at most 0.15 within 15 degrees of the line, 0.07 to 0.27 at 30 and 0.17 to 0.37 at 45."""
BROADEST = 0.9
"""Share of the frames under which the broadest shoulder lines begin (working value)."""
LEG_MIN_PX = 120.0
"""Below this a shaft 9 mm thick is under a pixel and the forearm under forty."""
FRAME_RATE_MIN = 50.0
"""The guide asks for 60 pictures a second; phones deliver 50 or 59.94 as well."""
HAND_CLEAR_TORSO = 0.15
"""The hands are this far to one side of the hips, in torsos, before a side is told (working value)."""
AZIMUTH_LIMIT_DEG, ROLL_LIMIT_DEG = 5.0, 2.0
"""The filming guide asks for an aim within five degrees; a phone on a stand is level to one or two."""
AZIMUTH_KNOWN_DEG = 15.0
"""Farther off its line no camera stood of those that readings and their spreads were tried with."""
HALF_WAY_DEG = 45.0
"""A camera nearer than this to its view's own place stands in that view."""
ADDRESS_BEFORE_S, ADDRESS_AFTER_S = 0.5, 0.15
"""About a swing's start: looks that show the address, and where the film begins with the swing at least its first."""
EARLY_S = 1.0
FEWEST_LOOKS = 3
PLACE = {
    View.FACE_ON: "square to your chest",
    View.DOWN_THE_LINE: "behind your hands, looking along the target line",
}
CAME_DOWN = (KeyframeId.LEAD_ARM_PARALLEL_DOWN, KeyframeId.IMPACT)
"""Of a swing that has one of these the backswing was seen to be one."""
IN_ANY_VIEW = frozenset(
    checkpoint
    for checkpoint, definition in CHECKPOINTS.items()
    if set(definition.views) == set(View) and definition.unit in {Unit.SECONDS, Unit.RATIO}
)
"""Times, which are read alike from either place and so from between them too: tempo, pause, hold."""


def see(
    track: BodyTrack,
    declared: View,
    facts: ClipFacts,
    swings: tuple[Swing, ...],
    stand: Stand | None = None,
    azimuth: Estimate | None = None,
    filming: Sequence[Problem] = (),
    starts_s: Sequence[float] = (),
) -> Seen:
    """Judge the camera's place and list the problems a student can do something about.

    ``stand``: how the camera stood, where the swing network is believed. Without it azimuth and roll stay
    unknown: feet and shoulders tell them no better than the filming guide does, and that spread is
    already in every interval. ``azimuth``: how the body's lines tell it, where they do; ``filming``: problems found elsewhere (``worker.measure.filming``).
    ``starts_s``: when each swing found starts, seconds: the view is judged on the addresses before them. Without any it
    is judged where the golfer stands still as the clip begins, and nothing is said of it where they do not.
    """
    still = _at_addresses(track, starts_s) if starts_s else _standing(track)
    seen = None if still is None else _settled(view_seen(still), declared, azimuth)
    problems = [
        *_problems(track, still, declared, seen, facts, swings),
        *_hand_problem(track, declared, seen, swings, min(starts_s, default=-np.inf)),
        *(
            _place_problems(stand, azimuth, declared, seen, judged=still is not None)
            if swings
            else []
        ),
        *filming,
    ]
    return Seen(
        declared=declared,
        seen=seen,
        azimuth_deg=None if stand is None else stand.azimuth,
        roll_deg=None if stand is None else stand.roll,
        problems=tuple(problems),
    )


def withheld_if_contradicted(swings: tuple[Swing, ...], seen: Seen) -> tuple[Swing, ...]:
    """The swings without the readings that the picture gives no right to.

    None at all when it contradicts the view or the hand they assume; only times when the camera stands between
    the two views, or too far off its own.
    """
    codes = {each.code for each in seen.problems}
    if ProblemCode.HAND_CONTRADICTS in codes:
        return _without_readings(
            swings,
            "The golfer seems to play from the other side than was said: a number would mean nothing.",
        )
    if seen.seen not in {None, seen.declared}:
        return _without_readings(
            swings,
            f"The clip was sent as {seen.declared.value}, but the picture looks {seen.seen.value}: "
            "a number would mean nothing.",
        )
    if ProblemCode.VIEW_UNCLEAR in codes:
        return _without_readings(
            swings,
            "The camera stands between the two views, where this cannot be read.",
            kept=IN_ANY_VIEW,
        )
    return swings


def _without_readings(
    swings: tuple[Swing, ...], reason_words: str, kept: frozenset[CheckpointId] = frozenset()
) -> tuple[Swing, ...]:
    reason = Missing(reason_words)
    return tuple(
        replace(
            swing,
            checkpoints={
                checkpoint: reading if checkpoint in kept else reason
                for checkpoint, reading in swing.checkpoints.items()
            },
        )
        for swing in swings
    )


def view_seen(still: BodyTrack) -> View | None:
    """Face-on or down-the-line by the width of the shoulder line; ``None`` where unclear.

    A network that takes one shoulder for the other and back makes a broad line narrow in between, and no narrow one
    broad: from behind hardly a frame shows a broad one.
    """
    line = still.of(Joint.LEAD_SHOULDER) - still.of(Joint.TRAIL_SHOULDER)
    usual, broadest = np.quantile(np.abs(line[:, 0]), (0.5, BROADEST)) / leg_px(still)
    if usual >= FACE_ON_MIN:
        return View.FACE_ON
    return View.DOWN_THE_LINE if usual <= BEHIND_MAX and broadest < FACE_ON_MIN else None


def plays_other_hand(
    track: BodyTrack, view: View, swings: tuple[Swing, ...], since_s: float = -np.inf
) -> bool | None:
    """Whether the golfer of a normalised picture stands the wrong way round; ``None`` where unclear.

    Face-on a backswing goes to the trail side, the picture's left: a swing found through to its way down went the
    right way. Found up to its top alone it may be the mirror image of a held finish: then, as without any, the hands that
    first rise above the shoulders after ``since_s`` tell: a finish before it is on the other side. From behind the hands hang
    before the golfer at address, to the picture's right. The other way round means that the clip was
    mirrored for the wrong hand, or not mirrored.
    """
    torso = track.torso_px()
    if view is View.FACE_ON:
        if any(
            isinstance(swing.keyframes.get(key), Keyframe) for swing in swings for key in CAME_DOWN
        ):
            return False
        raised = np.flatnonzero(
            (track.hands[:, 1] < track.shoulders[:, 1]) & (track.times_s >= since_s)
        )
        if len(raised) == 0:
            return None
        row = int(raised[0])
        return _wrong_side(float(track.hands[row, 0] - track.hips[row, 0]) / torso)
    starts = [swing.keyframes.get(KeyframeId.ADDRESS) for swing in swings]
    rows = [track.nearest(at.time_s) for at in starts if isinstance(at, Keyframe)]
    if not rows:
        return None
    return _wrong_side(-float(np.median(track.hands[rows, 0] - track.hips[rows, 0])) / torso)


def _wrong_side(aside: float) -> bool | None:
    """``aside``: torsos towards the wrong side."""
    return None if abs(aside) < HAND_CLEAR_TORSO else aside > 0.0


def _hand_problem(
    track: BodyTrack,
    declared: View,
    seen: View | None,
    swings: tuple[Swing, ...],
    since_s: float,
) -> list[Problem]:
    if seen is not declared or not plays_other_hand(track, declared, swings, since_s):
        return []
    return [problem(ProblemCode.HAND_CONTRADICTS)]


def view_unclear(seen: View | None, stand: Stand | None, azimuth: Estimate | None) -> bool:
    """Whether the camera stands between the two views, or too far off its own to be corrected.

    ``azimuth``: by the body's lines in depth. Where it is not judged the width of the shoulders must tell the
    view; that alone cannot tell narrow shoulders seen squarely from broad ones seen 35 degrees off.
    """
    if azimuth is None and seen is None:
        return True
    judged = (azimuth, None if stand is None else stand.azimuth)
    return any(each is not None and _off_by(each, AZIMUTH_KNOWN_DEG) for each in judged)


def _place_problems(
    stand: Stand | None,
    azimuth: Estimate | None,
    declared: View,
    seen: View | None,
    *,
    judged: bool,
) -> list[Problem]:
    """Only what is clear of its limit by its own interval; what is said of the view is not said again.

    ``judged``: a stretch was there to judge the view on.
    """
    found = []
    unclear = seen in {None, declared} and view_unclear(
        seen if judged else declared, stand, azimuth
    )
    if unclear:
        found.append(problem(ProblemCode.VIEW_UNCLEAR, place=PLACE[declared]))
    if stand is None:
        return found
    if not unclear and _off_by(stand.azimuth, AZIMUTH_LIMIT_DEG):
        degrees = f"{abs(stand.azimuth.value):.0f}"
        found.append(problem(ProblemCode.CAMERA_OFF_LINE, degrees=degrees, place=PLACE[declared]))
    if _off_by(stand.roll, ROLL_LIMIT_DEG):
        found.append(problem(ProblemCode.CAMERA_NOT_LEVEL, degrees=f"{abs(stand.roll.value):.0f}"))
    return found


def _off_by(judged: Estimate, limit: float) -> bool:
    """Whether the whole 95 % interval lies beyond the limit, on the side that it is on."""
    return abs(judged.value) - Z95 * judged.sigma > limit


def _settled(seen: View | None, declared: View, azimuth: Estimate | None) -> View | None:
    """The view by the shoulders' width, unless the body's lines in depth surely say that it is the one sent.

    Shoulders that are turned, or taken for each other, look as narrow as from the other place; ankles and hips do not
    turn with them.
    """
    contradicted = seen is not None and seen is not declared
    if (
        contradicted
        and azimuth is not None
        and abs(azimuth.value) + Z95 * azimuth.sigma < HALF_WAY_DEG
    ):
        return declared
    return seen


def _at_addresses(track: BodyTrack, starts_s: Sequence[float]) -> BodyTrack | None:
    """The looks just before each start, together; ``None`` where there are none to speak of."""
    times = track.times_s
    rows = np.zeros(len(times), dtype=bool)
    for start_s in starts_s:
        rows |= (times >= start_s - ADDRESS_BEFORE_S) & (times <= start_s + ADDRESS_AFTER_S)
    return _rows(track, rows) if rows.sum() >= FEWEST_LOOKS else None


def _standing(track: BodyTrack) -> BodyTrack | None:
    """The first second, where the golfer stands still in it with the hands hanging; else ``None``."""
    rows = track.times_s <= track.times_s[0] + EARLY_S
    early = _rows(track, rows)
    moves = np.linalg.norm(np.diff(early.hands, axis=0), axis=1) / early.torso_px()
    if len(early) < FEWEST_LOOKS or np.median(moves) >= STILL_STATURE:
        return None
    return early if np.max(hand_height(early)) < LOWERED else None


def _rows(track: BodyTrack, rows: NDArray[np.bool_]) -> BodyTrack:
    return BodyTrack(track.frames[rows], track.times_s[rows], track.xy[rows], track.seen[rows])


def _problems(
    track: BodyTrack,
    still: BodyTrack | None,
    declared: View,
    seen: View | None,
    facts: ClipFacts,
    swings: tuple[Swing, ...],
) -> list[Problem]:
    found: list[Problem] = []
    if seen is not None and seen is not declared:
        found.append(
            problem(ProblemCode.VIEW_CONTRADICTS, declared=declared.value, seen=seen.value)
        )
    if facts.frame_rate < FRAME_RATE_MIN:
        found.append(problem(ProblemCode.LOW_FRAME_RATE, rate=f"{facts.frame_rate:.0f}"))
    if leg_px(track if still is None else still) < LEG_MIN_PX:
        found.append(problem(ProblemCode.PERSON_SMALL))
    if still is not None and person_out(still, Size(facts.width, facts.height)):
        found.append(problem(ProblemCode.PERSON_CUT_OFF))
    if not swings:
        found.append(problem(ProblemCode.NO_SWING))
    return found

"""How the clip was filmed, as far as the picture tells, and what that costs, in words."""

from dataclasses import replace

import numpy as np

from api.domain.measurement import ClipFacts, Keyframe, Missing, Problem, Seen, Swing
from api.domain.names import KeyframeId, View
from api.domain.uncertainty import Z95
from worker.body.joints import BodyTrack, Joint
from worker.measure.ideal import Stand
from worker.swing.shoulder import leg_px

FACE_ON_MIN, BEHIND_MAX = 0.40, 0.34
"""Shoulder line over leg length at address. By published proportions (0.259 over 0.491) it is 0.53
square to the chest and 0.37 half-way between the views, at 45 degrees; near that it is unclear."""
LEG_MIN_PX = 120.0
"""Below this a shaft 9 mm thick is under a pixel and the forearm under forty."""
FRAME_RATE_MIN = 50.0
"""The guide asks for 60 pictures a second; phones deliver 50 or 59.94 as well."""


HAND_CONTRADICTS = "hand_contradicts"
HAND_CLEAR_TORSO = 0.15
"""The hands are this far to one side of the hips, in torsos, before a side is told (working value)."""
AZIMUTH_LIMIT_DEG, ROLL_LIMIT_DEG = 5.0, 2.0
"""The filming guide asks for an aim within five degrees; a phone on a stand is level to one or two."""


def see(
    track: BodyTrack,
    declared: View,
    facts: ClipFacts,
    swings: tuple[Swing, ...],
    stand: Stand | None = None,
) -> Seen:
    """Judge the camera's place and list the problems a student can do something about.

    ``stand``: how the camera stood, where the swing network is believed. Without it azimuth and roll stay
    unknown: feet and shoulders tell them no better than the filming guide does, and that spread is
    already in every interval.
    """
    still = _early(track)
    seen = view_seen(still)
    problems = [
        *_problems(still, declared, seen, facts, swings),
        *_hand_problem(track, declared, seen, swings),
        *_stand_problems(stand, declared),
    ]
    return Seen(
        declared=declared,
        seen=seen,
        azimuth_deg=None if stand is None else stand.azimuth,
        roll_deg=None if stand is None else stand.roll,
        problems=tuple(problems),
    )


def withheld_if_contradicted(swings: tuple[Swing, ...], seen: Seen) -> tuple[Swing, ...]:
    """The swings without their readings when the picture contradicts the view or the hand they assume."""
    if any(problem.code == HAND_CONTRADICTS for problem in seen.problems):
        return _without_readings(
            swings,
            "The golfer seems to play from the other side than was said: a number would mean nothing.",
        )
    if seen.seen is None or seen.seen is seen.declared:
        return swings
    return _without_readings(
        swings,
        f"The clip was sent as {seen.declared.value}, but the picture looks {seen.seen.value}: "
        "a number would mean nothing.",
    )


def _without_readings(swings: tuple[Swing, ...], reason_words: str) -> tuple[Swing, ...]:
    reason = Missing(reason_words)
    return tuple(
        replace(swing, checkpoints=dict.fromkeys(swing.checkpoints, reason)) for swing in swings
    )


def view_seen(still: BodyTrack) -> View | None:
    """Face-on or down-the-line by the width of the shoulder line; ``None`` where unclear."""
    line = still.of(Joint.LEAD_SHOULDER) - still.of(Joint.TRAIL_SHOULDER)
    share = float(np.median(np.abs(line[:, 0]))) / leg_px(still)
    if share >= FACE_ON_MIN:
        return View.FACE_ON
    return View.DOWN_THE_LINE if share <= BEHIND_MAX else None


def plays_other_hand(track: BodyTrack, view: View, swings: tuple[Swing, ...]) -> bool | None:
    """Whether the golfer of a normalised picture stands the wrong way round; ``None`` where unclear.

    Face-on a backswing goes to the trail side, the picture's left: a swing found through to its top went the
    right way; without any, the hands that first rise above the shoulders tell. From behind the hands hang
    before the golfer at address, to the picture's right. The other way round means that the clip was
    mirrored for the wrong hand, or not mirrored.
    """
    torso = track.torso_px()
    if view is View.FACE_ON:
        if any(isinstance(swing.keyframes.get(KeyframeId.TOP), Keyframe) for swing in swings):
            return False
        raised = np.flatnonzero(track.hands[:, 1] < track.shoulders[:, 1])
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
    track: BodyTrack, declared: View, seen: View | None, swings: tuple[Swing, ...]
) -> list[Problem]:
    if seen is not declared or not plays_other_hand(track, declared, swings):
        return []
    return [
        Problem(
            HAND_CONTRADICTS,
            "serious",
            "You seem to swing from the other side than your profile says, or the camera mirrored the "
            "clip. Check which hand you play from, and film with the phone's rear camera.",
        )
    ]


def _stand_problems(stand: Stand | None, declared: View) -> list[Problem]:
    """Only what is clear of its limit by its own interval."""
    if stand is None:
        return []
    found = []
    off = abs(stand.azimuth.value)
    if off - Z95 * stand.azimuth.sigma > AZIMUTH_LIMIT_DEG:
        where = (
            "square to your chest"
            if declared is View.FACE_ON
            else "behind your hands, looking along the target line"
        )
        found.append(
            Problem(
                "camera_off_line",
                "warning",
                f"The camera stands about {off:.0f} degrees off its line. Put it {where}: each degree "
                "costs accuracy.",
            )
        )
    tilt = abs(stand.roll.value)
    if tilt - Z95 * stand.roll.sigma > ROLL_LIMIT_DEG:
        found.append(
            Problem(
                "camera_not_level",
                "warning",
                f"The camera leans about {tilt:.0f} degrees to one side. Level the phone on its stand.",
            )
        )
    return found


def _early(track: BodyTrack) -> BodyTrack:
    """The first second, or what there is of it."""
    return track.part(float(track.times_s[0]), float(track.times_s[0]) + 1.0)


def _problems(
    still: BodyTrack,
    declared: View,
    seen: View | None,
    facts: ClipFacts,
    swings: tuple[Swing, ...],
) -> list[Problem]:
    found: list[Problem] = []
    if seen is not None and seen is not declared:
        found.append(
            Problem(
                "view_contradicts",
                "serious",
                f"You said {declared.value}, but the picture looks {seen.value}. "
                "Check which clip this is, or film it again from the other place.",
            )
        )
    if facts.frame_rate < FRAME_RATE_MIN:
        found.append(
            Problem(
                "low_frame_rate",
                "warning",
                f"The clip has {facts.frame_rate:.0f} pictures a second. Film at 60 or more: "
                "the club moves far between two pictures.",
            )
        )
    if leg_px(still) < LEG_MIN_PX:
        found.append(
            Problem(
                "person_small",
                "warning",
                "You are small in the picture. Stand the phone nearer (three to four metres).",
            )
        )
    if not swings:
        found.append(
            Problem(
                "no_swing",
                "serious",
                "No swing was seen. Film from the still address to the held finish, "
                "both hands in view.",
            )
        )
    return found

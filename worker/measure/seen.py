"""How the clip was filmed, as far as the picture tells, and what that costs, in words."""

from dataclasses import replace

import numpy as np

from api.domain.measurement import ClipFacts, Missing, Problem, Seen, Swing
from api.domain.names import View
from worker.body.joints import BodyTrack, Joint
from worker.swing.shoulder import leg_px

FACE_ON_MIN, BEHIND_MAX = 0.40, 0.34
"""Shoulder line over leg length at address. By published proportions (0.259 over 0.491) it is 0.53
square to the chest and 0.37 half-way between the views, at 45 degrees; near that it is unclear."""
LEG_MIN_PX = 120.0
"""Below this a shaft 9 mm thick is under a pixel and the forearm under forty."""
FRAME_RATE_MIN = 50.0
"""The guide asks for 60 pictures a second; phones deliver 50 or 59.94 as well."""


def see(track: BodyTrack, declared: View, facts: ClipFacts, swings: tuple[Swing, ...]) -> Seen:
    """Judge the camera's place and list the problems a student can do something about.

    Azimuth and roll stay unknown: from one clip, feet and shoulders tell them no better than the
    filming guide does, and that spread is already in every interval.
    """
    still = _early(track)
    seen = view_seen(still)
    return Seen(
        declared=declared,
        seen=seen,
        azimuth_deg=None,
        roll_deg=None,
        problems=tuple(_problems(still, declared, seen, facts, swings)),
    )


def withheld_if_contradicted(swings: tuple[Swing, ...], seen: Seen) -> tuple[Swing, ...]:
    """The swings without their readings when the picture contradicts the view they assume."""
    if seen.seen is None or seen.seen is seen.declared:
        return swings
    reason = Missing(
        f"The clip was sent as {seen.declared.value}, but the picture looks {seen.seen.value}: "
        "a number would mean nothing."
    )
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

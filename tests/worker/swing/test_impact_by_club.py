"""Impact from the clubhead alone, where no ball tells it."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.names import KeyframeId
from tests.worker.measure.exact_points import Exact, exact
from worker.measure.posture import motion_seen
from worker.swing.instants import Instant, Motion, impact_by_club

CLIPS = (
    "face_on_neutral",
    "face_on_hands_first",
    "face_on_rotated",
    "face_on_pause",
    "down_the_line_neutral",
    "down_the_line_roll",
)


def motion_of(clip: Exact) -> Motion:
    track = clip.points.as_body()
    address = clip.instants[KeyframeId.ADDRESS]
    assert isinstance(address, Instant)
    still = track.part(address.time_s - 0.3, address.time_s)
    return motion_seen(clip.points, track, still, clip.setting, *clip.stood())


def delivery_and_impact(clip: Exact) -> tuple[float, float]:
    delivery, impact = (clip.instants[key] for key in (KeyframeId.DELIVERY, KeyframeId.IMPACT))
    assert isinstance(delivery, Instant)
    assert isinstance(impact, Instant)
    return delivery.time_s, impact.time_s


def rest_s(clip: Exact) -> float:
    takeaway = clip.instants[KeyframeId.TAKEAWAY]
    assert isinstance(takeaway, Instant)
    return takeaway.time_s


@pytest.mark.parametrize("name", CLIPS)
def test_the_head_is_back_when_it_strikes(name: str) -> None:
    """Joints and club of kept clips without an error; a twentieth of a second between some frames."""
    clip = exact(name)
    delivery_s, impact_s = delivery_and_impact(clip)
    found = impact_by_club(motion_of(clip), rest_s(clip), delivery_s, impact_s + 0.18)
    assert isinstance(found, Instant)
    assert abs(found.time_s - impact_s) < max(2.0 * found.sigma_s, 0.004)
    assert found.sigma_s < 0.012


def test_a_swing_that_stops_at_the_top_has_none() -> None:
    clip = exact("face_on_neutral")
    motion = motion_of(clip)
    delivery_s, _ = delivery_and_impact(clip)
    kept = motion.times_s < delivery_s
    assert motion.club is not None
    club = replace(
        motion.club,
        head=motion.club.head[kept],
        shaft=motion.club.shaft[kept],
        shaft_sigma=motion.club.shaft_sigma[kept],
    )
    stopped = replace(
        motion,
        times_s=motion.times_s[kept],
        hands=motion.hands[kept],
        arm=motion.arm[kept],
        club=club,
    )
    assert isinstance(
        impact_by_club(stopped, rest_s(clip), delivery_s - 0.1, delivery_s + 1.0), Missing
    )


def test_a_head_that_passes_far_beside_its_rest_is_no_impact() -> None:
    clip = exact("face_on_neutral")
    motion = motion_of(clip)
    delivery_s, impact_s = delivery_and_impact(clip)
    assert motion.club is not None
    late = motion.times_s > delivery_s
    head = motion.club.head + np.where(late, motion.torso_px, 0.0)[:, np.newaxis] * np.array(
        [0, -1, 0]
    )
    lifted = replace(motion, club=replace(motion.club, head=head))
    assert isinstance(impact_by_club(lifted, rest_s(clip), delivery_s, impact_s + 0.18), Missing)


def test_without_a_followed_club_there_is_none() -> None:
    clip = exact("face_on_neutral")
    delivery_s, impact_s = delivery_and_impact(clip)
    found = impact_by_club(replace(motion_of(clip), club=None), rest_s(clip), delivery_s, impact_s)
    assert isinstance(found, Missing)


def test_a_pause_at_the_top_is_not_the_heads_rest() -> None:
    """Without a delivery the search begins in the pause."""
    clip = exact("face_on_neutral")
    motion = motion_of(clip)
    top = clip.instants[KeyframeId.TOP]
    assert isinstance(top, Instant)
    assert motion.club is not None
    row = int(np.argmin(np.abs(motion.times_s - top.time_s)))
    held = np.concatenate([np.arange(row), np.full(60, row), np.arange(row, len(motion.times_s))])
    later = np.where(np.arange(len(held)) >= row + 60, 1.0, 0.0)
    times = motion.times_s[held] + later
    times[row : row + 60] = motion.times_s[row] + np.arange(60) / 60.0
    club = replace(
        motion.club,
        head=motion.club.head[held],
        shaft=motion.club.shaft[held],
        shaft_sigma=motion.club.shaft_sigma[held],
    )
    paused = replace(
        motion, times_s=times, hands=motion.hands[held], arm=motion.arm[held], club=club
    )
    _, impact_s = delivery_and_impact(clip)
    found = impact_by_club(paused, rest_s(clip), top.time_s + 0.5, impact_s + 1.18)
    assert isinstance(found, Instant)
    assert abs(found.time_s - (impact_s + 1.0)) < 0.01

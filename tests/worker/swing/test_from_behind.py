"""A swing seen from behind: hands and club start, and turn, towards the lens."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.measurement import Missing
from tests.worker.swing.moving import TORSO
from worker.swing import instants
from worker.swing.instants import Club, Instant, Motion, Placed

Array = NDArray[np.float64]

START_S = 1.0
PUSH_PX = np.array([20.0, -8.0, -300.0])
"""Pixels after a second of a steady push, almost all of it towards the lens."""


def motion(
    rate: float, seed: int = 3, drift: Array | None = None, head_start_s: float = START_S
) -> Motion:
    """A start at ``START_S``: hands, and the head three times as far."""
    times = np.arange(0.0, 2.2, 1.0 / rate)
    rng = np.random.default_rng(seed)

    def moved(start_s: float, times_as_far: float, noise: tuple[float, float, float]) -> Array:
        push = np.clip(times - start_s, 0.0, None) ** 2
        path = 400.0 + times_as_far * np.outer(push, PUSH_PX)
        return np.asarray(path + rng.normal(0.0, noise, (len(times), 3)))

    hands = moved(START_S, 1.0, (0.3, 0.3, 1.5))
    head = moved(head_start_s, 3.0, (1.0, 1.0, 4.0))
    head = head if drift is None else head + drift
    flat = np.zeros_like(times)
    club = Club(head=head, head_sigma=4.0, shaft=flat, shaft_sigma=flat + 3.0)
    return Motion(
        times,
        hands[:, :2],
        0.3,
        flat,
        0.3,
        2.0,
        TORSO,
        club,
        Placed(hands, np.array([0.3, 0.3, 1.5])),
    )


def start(seen: Motion) -> Instant:
    found = instants.takeaway_from_behind(seen, 2.0)
    assert isinstance(found, Instant), found
    return found


@pytest.mark.parametrize("rate", [24.0, 30.0, 60.0, 120.0])
def test_the_start_is_found_though_the_picture_hardly_shows_it(rate: float) -> None:
    found = start(motion(rate))
    in_the_picture = instants.takeaway(replace(motion(rate), club=None), 2.0)

    assert abs(found.time_s - START_S) < 2.0 * found.sigma_s
    assert abs(found.time_s - START_S) < 0.06
    # By the hands' place in the picture alone it is passed late.
    assert isinstance(in_the_picture, Missing) or in_the_picture.time_s > START_S + 0.06


def test_hands_and_head_that_differ_make_it_less_sure() -> None:
    agreed, apart = start(motion(60.0)), start(motion(60.0, head_start_s=START_S - 0.4))

    assert apart.sigma_s > 2.0 * agreed.sigma_s


def test_a_clip_that_begins_in_motion_has_no_start() -> None:
    seen = motion(60.0)
    rows = seen.times_s >= START_S + 0.4
    assert seen.club is not None
    assert seen.hands_in_space is not None
    cut = replace(
        seen,
        times_s=seen.times_s[rows],
        hands=seen.hands[rows],
        arm=seen.arm[rows],
        club=replace(seen.club, head=seen.club.head[rows]),
        hands_in_space=replace(seen.hands_in_space, places=seen.hands_in_space.places[rows]),
    )

    assert isinstance(instants.takeaway_from_behind(cut, 2.0), Missing)


def test_the_top_is_where_the_hands_stop_in_space() -> None:
    """In the picture they seem slowest before the top, where they still turn away from the lens."""
    times = np.arange(0.0, 2.0, 1.0 / 60.0)
    top_s = 1.0
    across = np.zeros((len(times), 3))
    # What the picture shows stands still a tenth of a second early; depth moves on until the top.
    across[:, :2] = 60.0 * np.abs(times - (top_s - 0.1))[:, None] ** 2
    across[:, 2] = 400.0 * np.abs(times - top_s) ** 1.5
    arm = 80.0 - 200.0 * (times - top_s) ** 2
    seen = Motion(
        times,
        across[:, :2],
        0.3,
        arm,
        0.3,
        2.0,
        TORSO,
        None,
        Placed(across, np.array([0.3, 0.3, 1.0])),
    )

    in_space = instants.top(seen, 0.5, 1.6)
    in_picture = instants.top(replace(seen, hands_in_space=None), 0.5, 1.6)

    assert isinstance(in_space, Instant)
    assert isinstance(in_picture, Instant)
    assert in_space.time_s == pytest.approx(top_s, abs=0.03)
    assert in_picture.time_s == pytest.approx(top_s - 0.1, abs=0.03)


@pytest.mark.parametrize("rate", [30.0, 80.0])
def test_a_stay_at_the_top_is_found_through_the_noise_of_depth(rate: float) -> None:
    """Up in 0.8 s, still for 1.5 s, down in 0.3 s; the top is the middle of the stay."""
    times = np.arange(0.0, 3.4, 1.0 / rate)
    up = np.interp(times, [0.4, 1.2, 2.7, 3.0], [0.0, 1.0, 1.0, 0.0])
    path = np.outer(up, [30.0, -120.0, 160.0])
    arm = -100.0 + 190.0 * up
    inside = []
    for seed in range(40):
        noise = np.random.default_rng(seed).normal(0.0, (0.3, 0.3, 1.0), path.shape)
        placed = Placed(path + noise, np.array([0.3, 0.3, 1.0]))
        seen = Motion(times, placed.places[:, :2], 0.3, arm, 0.3, 2.0, TORSO, None, placed)
        found = instants.top(seen, 0.9, 3.0)
        assert isinstance(found, Instant)
        assert abs(found.time_s - 1.95) < 0.2
        inside.append(abs(found.time_s - 1.95) <= 1.96 * found.sigma_s)

    assert np.mean(inside) >= 0.9

"""The published tolerance, on frames as the clip shows them."""

from dataclasses import replace
from pathlib import Path

import pytest

from api.domain.names import KeyframeId
from tests.accuracy.correct_events import OWN_TOLERANCE_MS, frames_allowed
from tests.accuracy.made_up import true_clip, true_swing
from tests.accuracy.truths import TrueSwing, at_once

VIDEO = Path("c.mp4")


@pytest.mark.parametrize(
    ("frame_rate", "seconds", "frames"),
    [
        (240.0, 250 / 240, 8),  # 250 frames at 240 a second: 8.33
        (60.0, 1.1, 2),  # 66 frames: 2.2
        (30.0, 1.0, 1),
        (30.0, 0.5, 1),  # never none
        (30.0, 1.5, 2),  # 45 frames: 1.5, and halves go to the even number
    ],
)
def test_tolerance_follows_address_to_impact(
    frame_rate: float, seconds: float, frames: int
) -> None:
    swing = TrueSwing(
        {KeyframeId.ADDRESS: at_once(1.0), KeyframeId.IMPACT: at_once(1.0 + seconds)}, {}
    )
    clip = true_clip(VIDEO, swings=(swing,), frame_rate=frame_rate)
    assert frames_allowed(clip, swing) == frames


def test_a_variable_rate_is_counted_in_shown_frames() -> None:
    times = (*(i / 30 for i in range(61)), *(2.0 + i / 120 for i in range(1, 121)))
    swing = TrueSwing({KeyframeId.ADDRESS: at_once(1.0), KeyframeId.IMPACT: at_once(2.5)}, {})
    clip = replace(true_clip(VIDEO, swings=(swing,)), frame_times_s=times)
    assert frames_allowed(clip, swing) == 3  # 30 frames, then 60


def test_a_swing_that_stops_has_no_tolerance() -> None:
    swing = true_swing(absent=(KeyframeId.IMPACT,))
    assert frames_allowed(true_clip(VIDEO, swings=(swing,)), swing) is None


def test_every_instant_has_a_tolerance_of_ours() -> None:
    assert set(OWN_TOLERANCE_MS) == set(KeyframeId)

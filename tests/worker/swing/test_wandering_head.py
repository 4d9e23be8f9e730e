"""A clubhead whose place wanders while the hands rest does not start the swing."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.names import KeyframeId
from tests.worker.measure.exact_points import Exact, exact
from worker.body.swing_network import SwingPoint
from worker.body.swing_track import SwingTrack
from worker.measure.posture import motion_seen
from worker.swing.instants import Instant, Motion, takeaway

PERIOD_S = 1.5


def wandering(clip: Exact, share: float) -> SwingTrack:
    """The hosel swaying slowly by a share of the torso, as one whose shape the network does not know: about its
    place, and on its way back when the swing starts.
    """
    points = clip.points
    start = clip.instants[KeyframeId.TAKEAWAY]
    assert isinstance(start, Instant)
    xy = points.xy.copy()
    sway_px = share * clip.points.as_body().torso_px()
    phase = 2.0 * np.pi * (points.times_s - start.time_s) / PERIOD_S
    xy[:, SwingPoint.HOSEL, 0] += sway_px * np.sin(phase + 3.0)
    return replace(points, xy=xy)


def motion_of(clip: Exact, points: SwingTrack) -> Motion:
    track = points.as_body()
    start = clip.instants[KeyframeId.TAKEAWAY]
    assert isinstance(start, Instant)
    still = track.part(start.time_s - 0.6, start.time_s)
    return motion_seen(points, track, still, clip.setting, *clip.stood())


@pytest.mark.parametrize("name", ["face_on_neutral", "face_on_narrow"])
@pytest.mark.parametrize("share", [0.0, 0.1, 0.2])
def test_the_start_stays_where_it_is(name: str, share: float) -> None:
    clip = exact(name)
    true = clip.instants[KeyframeId.TAKEAWAY]
    up = clip.instants[KeyframeId.LEAD_ARM_PARALLEL]
    assert isinstance(true, Instant)
    assert isinstance(up, Instant)
    found = takeaway(motion_of(clip, wandering(clip, share)), up.time_s)
    assert isinstance(found, Instant)
    assert found.time_s == pytest.approx(true.time_s, abs=0.04)


def test_the_wander_is_in_the_heads_sigma() -> None:
    clip = exact("face_on_neutral")
    calm, swaying = (motion_of(clip, wandering(clip, share)).club for share in (0.0, 0.2))
    assert calm is not None
    assert swaying is not None
    torso_px = clip.points.as_body().torso_px()
    assert calm.head_sigma < 0.01 * torso_px
    # A fifth of the sway: in the time looked at, it goes less than half its way.
    assert swaying.head_sigma > 0.2 * 0.2 * torso_px

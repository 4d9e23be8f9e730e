"""The truth of the studio's own motion: what it plans is what is found, and the file stays small."""

import numpy as np
import pytest

from api.domain.names import KeyframeId, View
from tests.studio.camera import StudioCamera
from tests.studio.dials import CameraDials, ClipDials, FilmDials, SwingDials
from tests.studio.swing.motion import SwingMotion, make_motion
from tests.studio.times import frame_times
from tests.studio.truth.compute import compute_truth
from tests.studio.truth.schema import ClipTruth, InstantTruth, Sight, TruthId, to_json

MOST_BYTES = 700_000
DIALS = ClipDials(
    "real",
    12,
    swing=SwingDials(butt_grips=0.8, pause_at=KeyframeId.LEAD_ARM_PARALLEL, pause_s=0.6),
    camera=CameraDials(view=View.DOWN_THE_LINE, azimuth_deg=2.0),
    film=FilmDials(fps=30.0, exposure_s=1 / 250),
)


@pytest.fixture(scope="module")
def motion() -> SwingMotion:
    return make_motion(DIALS)


@pytest.fixture(scope="module")
def truth(motion: SwingMotion) -> ClipTruth:
    return compute_truth(DIALS, motion, StudioCamera(DIALS), frame_times(DIALS, motion.duration_s))


def instant(truth: ClipTruth, key: KeyframeId) -> InstantTruth:
    found = truth.swings[0].instants[key]
    assert isinstance(found, InstantTruth), found
    return found


def test_the_ball_is_hit_when_it_was_planned(truth: ClipTruth, motion: SwingMotion) -> None:
    (planned,) = motion.planned_impacts_s
    assert instant(truth, KeyframeId.IMPACT).life_s == pytest.approx(planned, abs=2e-4)


def test_every_instant_is_there_and_in_order(truth: ClipTruth) -> None:
    times = [instant(truth, key).life_s for key in KeyframeId]
    assert np.all(np.diff(times) >= 0)


def test_the_stop_asked_for_is_the_stay_at_lead_arm_parallel(truth: ClipTruth) -> None:
    stop = instant(truth, KeyframeId.LEAD_ARM_PARALLEL)
    assert stop.to_file_s - stop.from_file_s == pytest.approx(0.6, abs=0.12)
    pause = truth.swings[0].checkpoint(TruthId.PAUSE_LENGTH)
    assert pause.space == pytest.approx(0.6, abs=0.12)


def test_the_butt_end_points_about_where_it_was_dialled(truth: ClipTruth) -> None:
    butt = truth.swings[0].checkpoint(TruthId.BUTT_END_INSIDE)
    assert butt.defined is Sight.SPACE
    assert butt.value == pytest.approx(DIALS.swing.butt_grips, abs=0.05)


def test_pixels_are_the_cameras(truth: ClipTruth) -> None:
    camera = StudioCamera(DIALS)
    middle = len(truth.frames.life_s) // 2
    seen = camera.project(truth.frames.world_m[middle], float(truth.frames.life_s[middle]))
    assert truth.frames.pixels[middle] == pytest.approx(seen, abs=1e-6)


def test_a_truth_file_stays_small(truth: ClipTruth) -> None:
    assert len(to_json(truth)) < MOST_BYTES * len(truth.frames.life_s) / 600

"""Kept clips cut short: what is in the film is read, and what is not has its own true reason."""

from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import av
import pytest
from av.video.stream import VideoStream

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Keyframe, Measurement, Missing, Reading
from api.domain.names import KeyframeId, View
from tests.studio.truth.contents import InstantTruth
from tests.studio.truth.schema import load_truth
from worker.body.weights import Network, WeightsMissing, weights_path
from worker.pipeline import MeasureRequest, measure_clip

CLIPS = Path(__file__).resolve().parents[2] / "clips"
WHOLE = (0.0, 99.0)

pytestmark = pytest.mark.slow


def _cut(name: str, from_s: float, to_s: float, out: Path) -> Path:
    """The frames of a kept clip between two times, the first at zero."""
    with av.open(str(CLIPS / f"{name}.mp4")) as source, av.open(str(out), "w") as target:
        seen = source.streams.video[0]
        assert seen.average_rate is not None
        rate = Fraction(seen.average_rate)
        made = target.add_stream("libx264", rate=rate, options={"crf": "14", "preset": "veryfast"})
        assert isinstance(made, VideoStream)
        made.width, made.height, made.pix_fmt = seen.width, seen.height, "yuv420p"
        number = 0
        for frame in source.decode(seen):
            if not from_s <= frame.time <= to_s:
                continue
            bare = av.VideoFrame.from_ndarray(frame.to_ndarray(format="yuv420p"), format="yuv420p")
            bare.pts, bare.time_base = number, 1 / rate
            number += 1
            target.mux(made.encode(bare))
        target.mux(made.encode())
    return out


@cache
def _measured(name: str, stretch: tuple[float, float] = WHOLE) -> Measurement:
    try:
        weights_path(Network.FULL)
    except WeightsMissing as missing:
        # Fetched by `make install`, which CI runs first; a bare checkout is told what it lacks.
        pytest.skip(str(missing))
    truth = load_truth(CLIPS / f"{name}.json")
    request = MeasureRequest(truth.view, truth.handed, truth.club_length_m)
    with TemporaryDirectory() as folder:
        film = CLIPS / f"{name}.mp4"
        if stretch != WHOLE:
            film = _cut(name, *stretch, Path(folder) / "cut.mp4")
        return measure_clip(film, request).measurement


def _truth(name: str, key: KeyframeId) -> InstantTruth:
    found = load_truth(CLIPS / f"{name}.json").swings[0].instants[key]
    assert isinstance(found, InstantTruth)
    return found


def test_a_swing_that_stops_at_the_top_has_the_middle_of_the_stay_for_its_top() -> None:
    """It said that no downswing was found, of a top that is in the film for more than a second."""
    (swing,) = _measured("face_on_stop_at_top").swings
    true = _truth("face_on_stop_at_top", KeyframeId.TOP)
    top = swing.keyframes[KeyframeId.TOP]
    assert isinstance(top, Keyframe)
    assert top.time_s == pytest.approx(true.file_s, abs=0.05)
    # The film cuts the stay's end off: it may have gone on.
    assert top.sigma_s > (true.to_file_s - true.from_file_s) / 12**0.5
    for checkpoint in (
        CheckpointId.LEAD_ARM_SHAFT_ANGLE_AT_TOP,
        CheckpointId.CHEST_TURN,
        CheckpointId.PELVIS_SWAY,
    ):
        assert isinstance(swing.checkpoints[checkpoint], Reading)
    for key in (KeyframeId.LEAD_ARM_PARALLEL_DOWN, KeyframeId.DELIVERY, KeyframeId.IMPACT):
        missing = swing.keyframes[key]
        assert isinstance(missing, Missing)
        assert "stops at the top" in missing.reason


def test_a_ball_that_nobody_hit_says_so() -> None:
    (swing,) = _measured("face_on_stop_at_top").swings
    ball = swing.checkpoints[CheckpointId.BALL_POSITION]
    assert isinstance(ball, Missing)
    assert "no swing through the ball" in ball.reason


def test_a_film_that_ends_just_before_impact_keeps_what_came_before() -> None:
    """25 ms short of impact top, lead arm parallel coming down and delivery were all denied."""
    (swing,) = _measured("face_on_neutral", (0.0, 2.0)).swings
    for key in (KeyframeId.TOP, KeyframeId.LEAD_ARM_PARALLEL_DOWN, KeyframeId.DELIVERY):
        found = swing.keyframes[key]
        assert isinstance(found, Keyframe)
        assert found.time_s == pytest.approx(_truth("face_on_neutral", key).file_s, abs=0.02)
    for key in (KeyframeId.IMPACT, KeyframeId.FINISH):
        missing = swing.keyframes[key]
        assert isinstance(missing, Missing)
        assert missing.reason.startswith("The film ends before")


def test_a_film_that_ends_before_the_top_denies_no_stop() -> None:
    """It read a pause of no seconds, give or take 0.04, where the film ends before one could begin."""
    (swing,) = _measured("face_on_neutral", (0.0, 1.6)).swings
    assert isinstance(swing.checkpoints[CheckpointId.LEAD_ARM_SHAFT_ANGLE], Reading)
    pause = swing.checkpoints[CheckpointId.PAUSE_LENGTH]
    assert isinstance(pause, Missing)
    assert pause.reason.startswith("The film ends before")


def test_a_film_that_begins_in_a_finish_is_judged_at_its_address() -> None:
    """The first second shows turned shoulders, and every reading of the swing after it was withheld."""
    measurement = _measured("face_on_two_swings", (3.3, 99.0))
    assert measurement.view.seen is View.FACE_ON
    (swing,) = measurement.swings
    assert isinstance(swing.checkpoints[CheckpointId.LEAD_ARM_SHAFT_ANGLE], Reading)

"""A pause held in a slow swing: drills begin with slow repetitions, and a slow-motion file looks the same."""

from fractions import Fraction
from pathlib import Path

import av
import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.drill_library import DRILLS
from api.domain.measurement import Missing, Reading
from api.domain.proof import PLAYS_SLOWLY, SLOW_COUNTED, Verdict, prove
from tests.studio.truth.names import TruthId
from tests.studio.truth.schema import load_truth
from worker.body.weights import Network, WeightsMissing, weights_path
from worker.pipeline import MeasureRequest, measure_clip

CLIPS = Path(__file__).parents[2] / "clips"
NAME = "face_on_pause"
TIMES_SLOWER = 2
PAUSE = CheckpointId.PAUSE_LENGTH

pytestmark = pytest.mark.slow


def slowed(source: Path, to: Path) -> Path:
    """The same pictures, each shown so many times longer, without sound."""
    with av.open(str(source)) as given, av.open(str(to), "w") as made:
        pictures = given.streams.video[0]
        stream = made.add_stream_from_template(pictures)
        base = Fraction(pictures.time_base or 1)
        stream.time_base = base
        for packet in given.demux(pictures):
            if packet.dts is None or packet.pts is None:
                continue
            packet.pts *= TIMES_SLOWER
            packet.dts *= TIMES_SLOWER
            packet.duration = (packet.duration or 0) * TIMES_SLOWER
            packet.stream = stream
            made.mux(packet)
    return to


@pytest.mark.parametrize("swings_slowly", [True, False])
def test_its_seconds_count_where_the_student_said_that_it_is_slow(
    tmp_path: Path, *, swings_slowly: bool
) -> None:
    """A three-second stop done at half speed, as the drill asks, "could not be seen"."""
    try:
        weights_path(Network.FULL)
    except WeightsMissing as missing:
        pytest.skip(str(missing))
    truth = load_truth(CLIPS / f"{NAME}.json")
    path = slowed(CLIPS / f"{NAME}.mp4", tmp_path / "slow.mp4")
    request = MeasureRequest(
        truth.view, truth.handed, truth.club_length_m, swings_slowly=swings_slowly
    )
    (swing,) = measure_clip(path, request).measurement.swings
    reading = swing.checkpoints[PAUSE]
    if not swings_slowly:
        assert isinstance(reading, Missing)
        assert isinstance(swing.checkpoints[CheckpointId.FINISH_HOLD], Missing)
        return
    assert isinstance(reading, Reading)
    true = truth.swings[0].checkpoint(TruthId.PAUSE_LENGTH).value
    assert isinstance(true, float)
    held_s = TIMES_SLOWER * true
    assert reading.low < held_s < reading.high
    assert reading.inputs[PLAYS_SLOWLY] == 1.0
    asked = prove(DRILLS["stop-and-look"], swing.checkpoints, pause_s=held_s)
    (stop,) = (one for one in asked if one.checkpoint is PAUSE)
    assert (stop.verdict, stop.why) == (Verdict.MET, SLOW_COUNTED)

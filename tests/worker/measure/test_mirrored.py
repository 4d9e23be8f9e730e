"""The mirror image of a right-hander's clip, told to be a left-hander's, gives the same numbers.

Both files are written without loss from the same decoded pictures, so that nothing but the side differs.
"""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from api.domain.measurement import Keyframe, Measurement, Reading
from api.domain.names import Hand, View
from tests.studio.kept import FOLDER
from worker.pipeline import MeasureRequest, measure_clip

CLIPS = {"face_on_neutral": View.FACE_ON, "down_the_line_neutral": View.DOWN_THE_LINE}
SHARE = 0.1
"""Of a sigma, by which the two may differ."""
LEAST_S = 1e-3
"""Instants are not told finer than this."""


def write_again(source: Path, target: Path, *, mirrored: bool) -> None:
    """The pictures of a clip, without sound and without loss."""
    with (
        av.open(str(source)) as given,
        av.open(str(target), "w", format="mp4") as made,
    ):
        stream = given.streams.video[0]
        rate = stream.average_rate or Fraction(60)
        out = made.add_stream("libx264", rate=rate, options={"crf": "0", "preset": "ultrafast"})
        out.width, out.height, out.pix_fmt = stream.width, stream.height, "yuv444p"
        out.time_base = stream.time_base
        for frame in given.decode(stream):
            light = np.asarray(frame.to_ndarray(format="yuv444p"), np.uint8)
            picture = np.ascontiguousarray(light[..., ::-1] if mirrored else light)
            again = av.VideoFrame.from_ndarray(picture, format="yuv444p")
            again.pts, again.time_base = frame.pts, stream.time_base
            made.mux(out.encode(again))
        made.mux(out.encode())


def measured(path: Path, view: View, hand: Hand) -> Measurement:
    return measure_clip(path, MeasureRequest(view, hand, 0.94)).measurement


@pytest.mark.slow
@pytest.mark.parametrize("name", list(CLIPS))
def test_a_mirrored_clip_of_the_other_hand_reads_the_same(name: str, tmp_path: Path) -> None:
    own, other = tmp_path / "own.mp4", tmp_path / "other.mp4"
    write_again(FOLDER / f"{name}.mp4", own, mirrored=False)
    write_again(FOLDER / f"{name}.mp4", other, mirrored=True)
    (right,) = measured(own, CLIPS[name], Hand.RIGHT).swings
    (left,) = measured(other, CLIPS[name], Hand.LEFT).swings
    apart = {}
    compared = 0
    for key, at in right.keyframes.items():
        mirrored = left.keyframes[key]
        assert type(at) is type(mirrored), key
        if isinstance(at, Keyframe) and isinstance(mirrored, Keyframe):
            compared += 1
            if abs(at.time_s - mirrored.time_s) > max(SHARE * at.sigma_s, LEAST_S):
                apart[key.value] = (at.time_s - mirrored.time_s, at.sigma_s)
    for checkpoint, reading in right.checkpoints.items():
        twin = left.checkpoints[checkpoint]
        assert type(reading) is type(twin), checkpoint
        if isinstance(reading, Reading) and isinstance(twin, Reading):
            compared += 1
            if abs(reading.value - twin.value) > SHARE * reading.sigma:
                apart[checkpoint.value] = (reading.value - twin.value, reading.sigma)
    assert compared > 15
    assert apart == {}

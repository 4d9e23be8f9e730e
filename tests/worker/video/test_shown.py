"""Brightness of one frame: that of its colours, whatever the frame is stored as."""

from pathlib import Path

import cv2
import numpy as np
import pytest
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from tests.worker.video.making import even_times, write_clip
from worker.video.frames import iter_shown
from worker.video.probe import probe_clip
from worker.video.shown import Shown

WIDE, HIGH = 540, 960
LIMITED, FULL = 1, 2
BT709, NOT_SAID, BT601, BT2020 = 1, 2, 6, 9
SHARES = {
    BT709: (0.2126, 0.7152, 0.0722),
    NOT_SAID: (0.299, 0.587, 0.114),
    BT601: (0.299, 0.587, 0.114),
    BT2020: (0.2627, 0.6780, 0.0593),
}


def _stored(form: str, standard: int, levels: int) -> VideoFrame:
    """Soft blots of many colours in one of the ways that phones and editors store them."""
    rng = np.random.default_rng(5)
    blots = rng.uniform(50.0, 200.0, (12, 7, 3)).astype(np.float32)
    picture = cv2.resize(blots, (WIDE, HIGH), interpolation=cv2.INTER_LINEAR)
    frame = VideoFrame.from_ndarray(np.asarray(picture, np.uint8), format="rgb24").reformat(
        format=form
    )
    frame.colorspace, frame.color_range = standard, levels
    return frame


def _shown(frame: VideoFrame, *, max_side: int = 1920, mirrored: bool = False) -> Shown:
    return Shown(frame, 1.0, max_side, mirrored)


def _expected(shown: Shown, standard: int) -> NDArray[np.float64]:
    return np.asarray(shown.rgb() @ np.array(SHARES[standard]))


@pytest.mark.parametrize(
    ("form", "standard", "levels"),
    [
        ("yuv420p", BT709, LIMITED),
        ("yuv420p", BT601, LIMITED),
        ("yuv420p", NOT_SAID, 0),
        ("yuv420p", BT2020, LIMITED),
        ("yuv420p", BT709, FULL),
        ("yuvj420p", BT601, FULL),
        ("yuv420p10le", BT2020, LIMITED),
        ("yuv422p10le", BT709, LIMITED),
        ("yuv444p", NOT_SAID, LIMITED),
        ("gray", NOT_SAID, FULL),
    ],
)
def test_brightness_is_the_standards_own(form: str, standard: int, levels: int) -> None:
    shown = _shown(_stored(form, standard, levels))
    # FFmpeg's quick way to RGB is a level or two off itself. A wrong range is several levels off, another
    # standard's shares four in the mean.
    assert np.abs(shown.gray() - _expected(shown, standard)).mean() < 2.0


def test_brightness_of_a_frame_stored_as_colours() -> None:
    shown = _shown(_stored("gbrp", NOT_SAID, 0))
    assert np.abs(shown.gray() - _expected(shown, BT709)).mean() < 2.0


@pytest.mark.parametrize("level", [0, 16, 235, 255])
def test_black_is_zero_and_white_is_all(level: int) -> None:
    frame = VideoFrame.from_ndarray(np.full((96, 64), level, dtype=np.uint8), format="yuv420p")
    assert np.all(_shown(frame).gray() == (0 if level <= 16 else 255))


@pytest.mark.parametrize("max_side", [1920, 480])
@pytest.mark.parametrize("mirrored", [False, True])
def test_brightness_lies_as_the_colours_do(max_side: int, *, mirrored: bool) -> None:
    shown = _shown(_stored("yuv420p", BT709, LIMITED), max_side=max_side, mirrored=mirrored)
    expected = _expected(shown, BT709)
    assert (
        shown.gray().shape
        == expected.shape
        == (min(HIGH, max_side), WIDE * min(HIGH, max_side) // HIGH)
    )
    # The wrong way round it is some thirty off.
    assert np.abs(shown.gray() - expected).mean() < 4.0


@pytest.mark.parametrize("rotation", [0, 90, 180, 270])
def test_brightness_stands_upright(tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
    ((_, frame, aspect),) = iter_shown(path, probe_clip(path), [7])
    shown = Shown(frame, aspect, 1920, mirrored=False)
    assert np.abs(shown.gray() - _expected(shown, NOT_SAID)).mean() < 2.0


def test_brightness_has_its_own_memory() -> None:
    frame = _stored("yuv420p", BT709, FULL)
    gray = _shown(frame).gray()
    before = gray.copy()
    np.asarray(memoryview(frame.planes[0]))[:] = 0  # a decoder writes its next frame there
    assert np.array_equal(gray, before)

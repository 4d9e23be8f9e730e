"""Planes and colours of one frame: the same picture, whatever the frame is stored as."""

import cv2
import numpy as np
import pytest
from av.video.frame import VideoFrame
from numpy.typing import NDArray

from worker.body.square import SQUARE_SIDE, Square
from worker.video.shown import Shown

WIDE, HIGH = 540, 960
INSIDE = Square(40.0, 50.0, 480.0)
LIMITED, FULL = 1, 2
BT709, NOT_SAID, BT601, BT2020 = 1, 2, 6, 9


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


def _apart(first: NDArray[np.uint8], second: NDArray[np.uint8]) -> NDArray[np.int64]:
    return np.asarray(np.abs(first.astype(np.int64) - second.astype(np.int64)))


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
        ("gbrp", NOT_SAID, 0),
        ("gray", NOT_SAID, 0),
    ],
)
def test_a_cut_has_the_colours_of_the_whole_picture(form: str, standard: int, levels: int) -> None:
    shown = _shown(_stored(form, standard, levels))
    apart = _apart(INSIDE.cut(shown.planes()), INSIDE.cut(shown.rgb()))
    # FFmpeg's quick way to RGB is a level or two off itself, and ours rounds each of the three once more.
    assert apart.mean() < 2.0
    assert np.percentile(apart, 99) <= 6


@pytest.mark.parametrize("levels", [LIMITED, FULL])
def test_brightness_is_the_standards_own_from_black_to_white(levels: int) -> None:
    frame = _stored("yuv420p", BT709, levels)
    shown = _shown(frame)
    expected = shown.rgb() @ np.array([0.2126, 0.7152, 0.0722])
    # A wrong range is several levels off, another standard's shares four in the mean.
    assert np.abs(shown.planes().gray - expected).mean() < 2.0


def test_a_cut_is_black_beyond_the_picture() -> None:
    corner = Square(-240.0, -240.0, 480.0).cut(_shown(_stored("yuv420p", BT709, LIMITED)).planes())
    assert corner[: SQUARE_SIDE // 2 - 2].max() <= 1
    assert corner[:, : SQUARE_SIDE // 2 - 2].max() <= 1
    assert corner[SQUARE_SIDE // 2 + 2 :, SQUARE_SIDE // 2 + 2 :].min() > 20


@pytest.mark.parametrize("max_side", [1920, 480])
@pytest.mark.parametrize("mirrored", [False, True])
def test_planes_lie_as_the_colours_do(max_side: int, *, mirrored: bool) -> None:
    shown = _shown(_stored("yuv420p", BT709, LIMITED), max_side=max_side, mirrored=mirrored)
    planes, rgb = shown.planes(), shown.rgb()
    assert planes.gray.shape == rgb.shape[:2]
    square = Square(0.0, 0.0, 270.0)
    # A picture that shrinks keeps its colours at half of its new size; turned the wrong way it is 30 off.
    assert _apart(square.cut(planes), square.cut(rgb)).mean() < 4.0


def test_planes_outlive_the_frame_they_came_from() -> None:
    shown = _shown(_stored("yuv420p", BT709, FULL))
    expected = INSIDE.cut(shown.planes())
    planes = shown.planes()
    del shown
    for _ in range(8):  # a frame's memory is given out again once nobody holds it
        VideoFrame(WIDE, HIGH, "yuv420p")
    assert np.array_equal(INSIDE.cut(planes), expected)

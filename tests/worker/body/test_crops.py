import math

import numpy as np
import pytest

from worker.body.crops import CROP_MARGIN, Crop


def test_crop_around_an_upright_body_is_upright_and_has_its_margin() -> None:
    crop = Crop.around(np.array([100.0, 200.0]), np.array([100.0, 120.0]))
    assert crop.angle == pytest.approx(0.0)
    assert crop.side == pytest.approx(2 * 80.0 * CROP_MARGIN)


def test_crop_around_a_body_leaning_right_turns_clockwise() -> None:
    crop = Crop.around(np.array([100.0, 200.0]), np.array([150.0, 150.0]))
    assert math.degrees(crop.angle) == pytest.approx(45.0)


def test_crop_middle_maps_to_its_place_whatever_its_turn() -> None:
    middle = np.array([[128.0, 128.0]])
    for crop in (Crop(70.0, 90.0, 300.0, 0.4), Crop(70.0, 90.0, 300.0, -1.0, mirrored=True)):
        assert crop.to_picture(middle)[0] == pytest.approx([70.0, 90.0])


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_bright_spot_is_found_back_where_it_was(mirrored: bool) -> None:  # noqa: FBT001 - a case
    picture = np.zeros((240, 320, 3), dtype=np.uint8)
    picture[150:155, 100:105] = 255
    crop = Crop(120.0, 130.0, 200.0, 0.3, mirrored=mirrored)
    cut = crop.cut(picture)[:, :, 0].astype(float)
    rows, columns = np.mgrid[0:256, 0:256] + 0.5
    spot = [(columns * cut).sum() / cut.sum(), (rows * cut).sum() / cut.sum()]
    # The spot covers pixels 150 to 154, so its middle is at 152.5 from the picture's edge.
    assert crop.to_picture(np.array([spot]))[0] == pytest.approx([102.5, 152.5], abs=0.1)

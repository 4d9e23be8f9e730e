import numpy as np
import pytest

from worker.body.joints import BodyTrack, Joint
from worker.body.square import SQUARE_SIDE, STATURES, Square


@pytest.mark.parametrize("side", [240.0, 330.0, 700.0, 1111.0])
def test_a_spot_in_the_cut_leads_back_to_its_place(side: float) -> None:
    picture = np.zeros((1280, 720, 3), dtype=np.uint8)
    picture[595:606, 395:406] = 255  # middle pixel 400, 600
    square = Square(400.0 - 0.41 * side, 600.0 - 0.37 * side, side)
    gray = square.cut(picture)[:, :, 0].astype(float)
    rows, columns = np.mgrid[0:SQUARE_SIDE, 0:SQUARE_SIDE]
    spot = np.array([(columns * gray).sum(), (rows * gray).sum()]) / gray.sum()
    # A slip between edges and centres would be half a pixel of the picture or of the cut.
    assert square.to_picture(spot) == pytest.approx([400.0, 600.0], abs=0.15 * max(1, side / 320))


def test_a_line_of_one_pixel_is_not_lost_when_the_cut_shrinks() -> None:
    picture = np.zeros((1600, 1600, 3), dtype=np.uint8)
    picture[:, 801] = 240
    cut = Square(0.0, 0.0, 1600.0).cut(picture)
    assert cut[:, 155:165, 0].max(axis=1).min() >= 240 / 5 - 2


def test_the_square_holds_the_feet_and_the_club_above_the_head() -> None:
    xy = np.zeros((3, 33, 2))
    xy[:, [Joint.LEAD_ANKLE, Joint.TRAIL_ANKLE]] = [[330.0, 1000.0], [270.0, 1000.0]]
    xy[:, [Joint.LEAD_HIP, Joint.TRAIL_HIP]] = [[320.0, 700.0], [280.0, 700.0]]
    track = BodyTrack(np.arange(3), np.arange(3) / 30, xy, np.ones((3, 33)))
    square = Square.around(track, 600.0)
    assert square.left == pytest.approx(300.5 - STATURES * 600.0 / 2)
    # Shoulders at 0.82 of stature (Drillis and Contini) and a driver of 1.14 m above them, of 1.75.
    assert square.top < 1000.0 - (0.82 + 1.14 / 1.75) * 600.0
    assert square.top + square.side > 1000.0 + 0.1 * 600.0
    assert square.scaled(0.5) == Square(square.left / 2, square.top / 2, square.side / 2)

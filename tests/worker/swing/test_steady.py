import cv2
import numpy as np
import pytest

from tests.worker.club.drawing import grain
from worker.body.crops import Crop
from worker.club.regions import Region
from worker.swing.steady import Shaken, Steadier, inverse, move, still


def _scene() -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    rng = np.random.default_rng(9)
    blocks = rng.uniform(40.0, 220.0, (32, 24))
    return np.asarray(
        cv2.resize(blocks, (600, 800), interpolation=cv2.INTER_NEAREST), dtype=np.float64
    )


def test_shake_is_measured_and_undone() -> None:
    shake = np.array([[1.0, 0.0, 3.4], [0.0, 1.0, -2.2]])
    scene = _scene()
    moved = cv2.warpAffine(scene, shake, (600, 800), borderMode=cv2.BORDER_REPLICATE)
    crop = Crop(300.0, 400.0, 500.0)
    steadier = Steadier()
    assert np.array_equal(steadier.align(grain(scene, 1), crop), still())
    found = steadier.align(grain(np.asarray(moved, dtype=np.float64), 2), crop)
    at = np.array([300.0, 200.0])
    # A quarter of a pixel: the shaft finder's own scatter.
    assert move(found, move(shake, at)) == pytest.approx(at, abs=0.25)
    again = Shaken(grain(np.asarray(moved, dtype=np.float64), 3), found).steadied()
    assert np.median(np.abs(again.astype(float) - scene)[50:-50, 50:-50]) < 4.0


def test_a_part_is_steadied_as_the_whole_is() -> None:
    turn = np.array([[0.9998, -0.02, 4.3], [0.02, 0.9998, -7.6]])
    shaken = Shaken(grain(_scene(), 4), turn)
    part = Region(130, 210, 330, 260)
    whole = part.cut(shaken.steadied()).astype(float)
    # Places between pixels are rounded to a thousandth of a pixel, from another corner.
    assert np.abs(shaken.steadied(part) - whole).max() <= 1.0


def test_nothing_to_follow_leaves_the_frame_as_it_is() -> None:
    flat = np.full((800, 600), 128, dtype=np.uint8)
    steadier = Steadier()
    crop = Crop(300.0, 400.0, 500.0)
    steadier.align(flat, crop)
    assert np.allclose(steadier.align(flat, crop), still())


def test_a_new_scene_is_not_taken_for_shake() -> None:
    steadier = Steadier()
    crop = Crop(300.0, 400.0, 500.0)
    steadier.align(grain(_scene(), 1), crop)
    other = np.ascontiguousarray(_scene()[::-1, ::-1])
    assert np.allclose(steadier.align(grain(other, 2), crop), still())


def test_inverse_undoes() -> None:
    turn = np.array([[0.9998, -0.02, 4.0], [0.02, 0.9998, -7.0]])
    at = np.array([123.0, 456.0])
    assert move(inverse(turn), move(turn, at)) == pytest.approx(at)

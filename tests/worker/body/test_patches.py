import numpy as np
import pytest
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import LANDMARKS, RawLandmarks
from worker.body.patches import Patch


class _BrightestSpot:
    """Answers with the middle of the bright spot for every point."""

    def run(self, rgb: NDArray[np.uint8]) -> RawLandmarks:
        gray = rgb[:, :, 0].astype(float)
        rows, columns = np.mgrid[0:256, 0:256] + 0.5
        xyz = np.zeros((LANDMARKS, 3))
        xyz[:, 0] = (columns * gray).sum() / gray.sum()
        xyz[:, 1] = (rows * gray).sum() / gray.sum()
        flat = np.full((64, 64, LANDMARKS), -9.0, dtype=np.float32)
        return RawLandmarks(xyz, np.ones(LANDMARKS), flat, 1.0)


def test_a_kept_patch_leads_back_to_picture_pixels() -> None:
    picture = np.zeros((900, 700, 3), dtype=np.uint8)
    picture[395:406, 295:306] = 255  # middle pixel 300, 400
    patch = Patch.cut(picture, Crop(330.0, 420.0, 500.0, 0.1))
    found = patch.points(_BrightestSpot())  # type: ignore[arg-type] # stand-in
    # A slip between edges and centres would be half a pixel; resampling twice costs a tenth.
    assert found[11] == pytest.approx([300.0, 400.0], abs=0.2)


def test_repeats_of_a_network_that_never_wavers_have_little_spread() -> None:
    picture = np.zeros((900, 700, 3), dtype=np.uint8)
    picture[395:406, 295:306] = 255
    patch = Patch.cut(picture, Crop(330.0, 420.0, 500.0))
    mean, sigma = patch.repeated(_BrightestSpot())  # type: ignore[arg-type] # stand-in
    assert mean[0] == pytest.approx([300.0, 400.0], abs=0.2)
    assert sigma[0] < 0.1

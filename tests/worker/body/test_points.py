import numpy as np
import pytest
from numpy.typing import NDArray

from worker.body.crops import Crop
from worker.body.networks import LANDMARKS, RawLandmarks
from worker.body.points import BODY_POINTS, find_points, refine


def _heatmap(column: float, row: float) -> NDArray[np.float32]:
    rows, columns = np.mgrid[0:64, 0:64]
    near = np.exp(-((columns - column) ** 2 + (rows - row) ** 2) / 2.0)
    return np.asarray(12.0 * near - 6.0, dtype=np.float32)[:, :, np.newaxis]


def test_refinement_moves_a_point_to_the_middle_of_its_heatmap_peak() -> None:
    moved = refine(np.array([[132.0, 84.0]]), _heatmap(34.0, 20.0))
    assert moved[0] == pytest.approx([34.0 * 4, 20.0 * 4], abs=0.3)


def test_refinement_leaves_a_point_without_a_peak_alone() -> None:
    flat = np.full((64, 64, 1), -6.0, dtype=np.float32)
    assert refine(np.array([[132.0, 84.0]]), flat)[0] == pytest.approx([132.0, 84.0])


def test_refinement_leaves_a_point_outside_the_crop_alone() -> None:
    assert refine(np.array([[-20.0, 300.0]]), _heatmap(1.0, 60.0))[0] == pytest.approx([-20, 300])


class _Fixed:
    """A network that always answers with the same points, like a body standing still."""

    def __init__(self, xyz: NDArray[np.float64]) -> None:
        self.xyz = xyz

    def run(self, rgb: NDArray[np.uint8]) -> RawLandmarks:
        flat = np.full((64, 64, LANDMARKS), -9.0, dtype=np.float32)
        return RawLandmarks(self.xyz, np.ones(LANDMARKS), flat, 1.0)


def test_a_mirrored_crop_gives_lead_and_trail_back_under_their_own_names() -> None:
    xyz = np.zeros((LANDMARKS, 3))
    xyz[:, :2] = 128.0
    xyz[11, :2] = (60.0, 100.0)
    picture = np.zeros((300, 300, 3), dtype=np.uint8)
    network = _Fixed(xyz)
    plain = find_points(network, picture, Crop(150, 150, 256.0))  # type: ignore[arg-type] # stand-in
    mirror = find_points(network, picture, Crop(150, 150, 256.0, mirrored=True))  # type: ignore[arg-type] # stand-in
    assert plain.xy.shape == (BODY_POINTS, 2)
    assert plain.xy[11] == pytest.approx([150 - 68 - 0.5, 150 - 28 - 0.5])
    # In the mirrored crop the same output is the other shoulder, on the other side.
    assert mirror.xy[12] == pytest.approx([150 + 68 - 0.5, 150 - 28 - 0.5])
    assert mirror.xy[11] == pytest.approx([149.5, 149.5])

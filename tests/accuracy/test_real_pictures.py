"""The real pictures: their geometry is right, their checks can fail, and their papers are there."""

import math

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.accuracy.footage import (
    CAMERAS,
    CHECKED_JOINTS,
    FRAMES,
    PHOTOGRAPHS,
    cameras,
    frames,
    meet,
)
from tests.accuracy.looks import VARIANTS, Variant, varied
from tests.accuracy.real_pictures import NOBODY, PORTRAITS, findings, section, swings_found
from tests.accuracy.real_points import (
    Recording,
    by_eye,
    ratios,
    rays_missed,
    recording,
    steadiness,
)
from worker.body.joints import Joint
from worker.measure.posture import POINT_SIGMA_STATURE

Array = NDArray[np.float64]

FEW = 33
"""Frames between looked-at instants: four of them, to be quick."""


def _made(n: int = 60) -> tuple[Array, Array]:
    """Points about where the man is, and how the four cameras see them."""
    points = np.random.default_rng(3).normal((-1.0, 0.0, 0.9), (0.4, 0.4, 0.4), (n, 3))
    return points, np.stack([camera.project(points) for camera in cameras()])


@pytest.fixture(scope="module")
def seen() -> Recording:
    return recording(FEW)


def test_rays_of_exact_points_meet_in_them() -> None:
    points, pixels = _made()
    meeting = meet(pixels, cameras(), common=False)
    # OpenCV takes distortion out by iteration, good to some thousandths of a pixel.
    assert np.abs(meeting.points_m - points).max() < 1e-4
    assert meeting.sigma_px < 0.01


def test_the_spread_of_rays_gives_back_the_noise_put_in() -> None:
    _, pixels = _made(400)
    noisy = pixels + np.random.default_rng(4).normal(0.0, 2.0, pixels.shape)
    assert meet(noisy, cameras(), common=False).sigma_px == pytest.approx(2.0, rel=0.05)
    assert meet(noisy, cameras()).sigma_px == pytest.approx(2.0, rel=0.05)


def test_few_points_do_not_flatter_the_spread() -> None:
    rng = np.random.default_rng(5)
    _, pixels = _made(6)
    tries = [meet(pixels + rng.normal(0.0, 2.0, pixels.shape), cameras()) for _ in range(60)]
    typical = float(np.sqrt(np.mean([meeting.sigma_px**2 for meeting in tries])))
    assert 1.95 < typical < 2.25


def test_a_shift_of_one_camera_is_taken_out_and_one_of_single_points_is_not() -> None:
    _, pixels = _made()
    shifted = pixels.copy()
    shifted[1] += (6.0, -4.0)
    assert meet(shifted, cameras()).sigma_px < 0.3
    assert meet(shifted, cameras(), common=False).sigma_px > 1.5
    pixels[1, ::2] += (6.0, -4.0)
    assert meet(pixels, cameras()).sigma_px > 0.8


def test_the_cameras_stand_round_the_man_above_the_floor() -> None:
    centres = [-camera.rotation.T @ camera.translation_m for camera in cameras()]
    for camera, centre in zip(cameras(), centres, strict=True):
        assert np.abs(camera.rotation @ camera.rotation.T - np.eye(3)).max() < 1e-6
        assert np.linalg.det(camera.rotation) == pytest.approx(1.0)
        assert 1.0 < centre[2] < 3.0
        assert 2.0 < float(np.linalg.norm(centre - (-1.0, 0.0, 0.9))) < 6.0


def test_each_clip_has_its_frames() -> None:
    assert [len(list(frames(camera, range(1000)))) for camera in CAMERAS] == [FRAMES] * 4


@pytest.mark.parametrize("variant", VARIANTS, ids=lambda variant: variant.name)
def test_each_change_of_a_picture_is_undone_for_its_points(variant: Variant) -> None:
    spot = (90, 70)
    picture = np.full((200, 160, 3), 60, dtype=np.uint8)
    cv2.circle(picture, spot, 5, (255, 255, 255), -1)
    found = variant.change(picture)[:, :, 1].astype(np.float64)
    weight = np.where(found > 0.6 * found.max(), found, 0.0)
    rows, columns = np.mgrid[0 : found.shape[0], 0 : found.shape[1]]
    middle = np.array([(columns * weight).sum(), (rows * weight).sum()]) / weight.sum()
    back = variant.back(np.tile(middle, (33, 1)), picture)
    assert np.abs(back - spot).max() < 0.5


def test_a_mirrored_picture_gives_sides_back() -> None:
    mirrored = VARIANTS[0]
    picture = np.zeros((20, 101, 3), dtype=np.uint8)
    points = np.zeros((33, 2))
    points[Joint.LEAD_WRIST] = (10.0, 5.0)
    back = mirrored.back(points, picture)
    assert tuple(back[Joint.TRAIL_WRIST]) == (90.0, 5.0)


def test_body_points_agree_between_four_real_cameras_as_the_pipeline_states(
    seen: Recording,
) -> None:
    rows = {row.joint: row for row in rays_missed(seen)}
    assert set(rows) == {"shoulder", "elbow", "wrist", "hip", "knee", "ankle", "all"}
    # What stays is what the pipeline states; all of it is that and as much again for the moment.
    assert rows["all"].lasting < POINT_SIGMA_STATURE
    assert rows["all"].sigma < math.sqrt(2.0) * POINT_SIGMA_STATURE


def test_swapped_sides_would_be_noticed(seen: Recording) -> None:
    crossed = seen.points.copy()
    crossed[2] = crossed[2][:, [k ^ 1 for k in range(len(CHECKED_JOINTS))]]
    flat = crossed.reshape(len(CAMERAS), -1, 2)
    assert meet(flat, cameras()).sigma_px > 3.0 * seen.meeting.sigma_px


def test_joints_placed_by_eye_lie_where_they_are_found(seen: Recording) -> None:
    eye = by_eye(seen)
    assert eye.n == 35
    assert eye.sigma < math.hypot(POINT_SIGMA_STATURE, eye.stated_sigma)
    assert eye.placed_sigma < eye.stated_sigma
    # What the eye and the network both see is the calibration's.
    assert eye.shift_apart < 0.6 * eye.shift
    # Where one knee hides the other, which is which is a matter of pixels.
    assert eye.wrong_side <= 1


def test_bones_keep_their_length_and_the_published_proportions(seen: Recording) -> None:
    for ratio in ratios(seen):
        assert abs(ratio.off) < 2.0, ratio
    for segment in steadiness(seen):
        assert segment.spread < 0.10, segment
        assert segment.lead_over_trail == pytest.approx(1.0, abs=0.08), segment


def test_changed_pictures_swap_no_sides() -> None:
    some = [next(frames(CAMERAS[0], [0])), next(frames(CAMERAS[2], [50]))]
    rows = varied(some, 385.0)
    assert [row.name for row in rows] == [variant.name for variant in VARIANTS]
    for row in rows:
        assert row.n == 2 * len(CHECKED_JOINTS)
        assert row.swapped == 0, row
        assert row.sigma < POINT_SIGMA_STATURE, row


def test_people_are_found_and_nobody_is_invented() -> None:
    for row in findings():
        assert row.people == (1 if row.picture in PORTRAITS else 0), row


def test_no_swing_is_found_in_a_man_on_a_beam() -> None:
    assert swings_found() == 0


def test_every_picture_has_its_papers() -> None:
    papers = (PHOTOGRAPHS / "README.md").read_text()
    single = {path.name for path in PHOTOGRAPHS.iterdir() if path.is_file()} - {"README.md"}
    assert single == {*NOBODY, *PORTRAITS}
    for name in single:
        row = next(line for line in papers.splitlines() if line.startswith(f"| {name} |"))
        assert "CC0" in row or "public domain" in row
    assert "BSD 3-Clause" in (PHOTOGRAPHS / "four_cameras" / "LICENSE").read_text()


@pytest.mark.slow
def test_the_section_says_how_little_it_is() -> None:
    part = section(FEW, FRAMES)
    first = part.blocks[0]
    assert "prove little" in str(first)
    assert part.numbers["people_invented"] == 0.0
    assert part.numbers["portraits_found"] == 2.0

"""The real pictures: their geometry is right, their checks can fail, and their papers are there."""

import math

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.accuracy import real_pictures
from tests.accuracy.content import Table
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
    Looks,
    Recording,
    by_eye,
    look_at,
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
def looks() -> Looks:
    return look_at(FEW)


@pytest.fixture(scope="module")
def seen(looks: Looks) -> Recording:
    found = recording(looks)
    assert found is not None
    return found


def _without(looks: Looks, camera: int, *places: int) -> Looks:
    """The same with the man lost in some pictures of one camera."""
    lost = [
        tuple(None if k == camera and i in places else look for i, look in enumerate(own))
        for k, own in enumerate(looks.by_camera)
    ]
    return Looks(looks.instants, tuple(lost))


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


def test_a_man_lost_in_one_picture_costs_that_instant_and_is_counted(
    looks: Looks, seen: Recording
) -> None:
    assert (looks.found, looks.looked) == (16, 16)
    less = _without(looks, 2, 1)
    assert (less.found, less.looked) == (15, 16)
    found = recording(less)
    assert found is not None
    assert found.instants == (0, 66, 99)
    assert np.array_equal(found.points, seen.points[:, [0, 2, 3]])
    assert np.array_equal(found.repeat_sigma, seen.repeat_sigma[:, [0, 2, 3]])
    assert by_eye(found) is not None
    assert recording(_without(looks, 0, 1, 2, 3)) is None


def test_without_the_first_frame_nothing_is_said_of_joints_placed_on_it(looks: Looks) -> None:
    found = recording(_without(looks, 3, 0))
    assert found is not None
    assert found.instants == (33, 66, 99)
    assert by_eye(found) is None


@pytest.mark.parametrize("lost", [(1,), (0,), (0, 1, 2)])
def test_the_section_counts_finds_and_survives_a_miss(
    looks: Looks, monkeypatch: pytest.MonkeyPatch, lost: tuple[int, ...]
) -> None:
    less = _without(looks, 1, *lost)
    monkeypatch.setattr(real_pictures, "look_at", lambda _every: less)
    monkeypatch.setattr(real_pictures, "findings", list)
    monkeypatch.setattr(real_pictures, "swings_found", int)
    monkeypatch.setattr(real_pictures, "varied", lambda *_: [])
    monkeypatch.setattr(real_pictures, "blocks", tuple)
    part = section(FEW, FRAMES)
    tables = [block for block in part.blocks if isinstance(block, Table)]
    assert tables[0].rows[0][-1] == f"{16 - len(lost)} of 16 pictures"
    assert tables[0].rows[2][-1].startswith("none found there" if 0 in lost else "35 joints")
    assert ("by_eye_sigma_of_stature" in part.numbers) is (0 not in lost)
    assert (part.numbers["man_found"], part.numbers["man_looked_for"]) == (16 - len(lost), 16)
    # Three of four instants gone: one is left, which tells nothing of what lasts.
    assert len(tables) == (1 if len(lost) == 3 else 5)


def test_a_changed_picture_without_a_man_is_lost_and_no_number() -> None:
    man, nobody = next(frames(CAMERAS[0], [0])), np.zeros((200, 160, 3), np.uint8)
    rows = varied([man, nobody], 385.0)
    assert [(row.n, row.lost) for row in rows] == [(len(CHECKED_JOINTS), 1)] * len(VARIANTS)
    (first, *_) = varied([nobody], 385.0)
    assert (first.n, first.lost) == (0, 1)
    assert math.isnan(first.sigma)


def test_swapped_sides_would_be_noticed(seen: Recording) -> None:
    crossed = seen.points.copy()
    crossed[2] = crossed[2][:, [k ^ 1 for k in range(len(CHECKED_JOINTS))]]
    flat = crossed.reshape(len(CAMERAS), -1, 2)
    assert meet(flat, cameras()).sigma_px > 3.0 * seen.meeting.sigma_px


def test_joints_placed_by_eye_lie_where_they_are_found(seen: Recording) -> None:
    eye = by_eye(seen)
    assert eye is not None
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

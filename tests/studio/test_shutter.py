from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.studio.camera import StudioCamera
from tests.studio.dials import ClipDials, FilmDials
from tests.studio.pose import Motion
from tests.studio.shutter import STEP_PX, Plan, Sensor, plan_frame, toned
from tests.studio.swing.motion import make_motion

SLOW = FilmDials(exposure_s=1 / 120)
SHAPE = (90, 120)


def dials(film: FilmDials = SLOW) -> ClipDials:
    return ClipDials("shutter", 3, film=film)


@cache
def motion() -> Motion:
    return make_motion(dials())


def plan(start_s: float, film: FilmDials = SLOW) -> Plan:
    return plan_frame(motion(), StudioCamera(dials(film)), film, start_s)


def before_impact(film: FilmDials = SLOW) -> Plan:
    return plan(motion().planned_impacts_s[0] - 0.012, film)


def test_a_still_golfer_needs_one_instant() -> None:
    at_address = plan(0.3)
    assert len(at_address.body_cells) == len(at_address.fast_cells) == 1
    assert at_address.body[0].time_s == pytest.approx(0.3 + SLOW.exposure_s / 2.0)


def test_cells_fill_the_exposure_without_gap_or_overlap() -> None:
    film = replace(SLOW, rolling_shutter_s=0.006)
    moving = before_impact(film)
    for cells in (moving.body_cells, moving.fast_cells):
        assert cells[0, 0] == 0.0
        assert cells[-1, 1] == pytest.approx(film.exposure_s + 0.006)
        assert cells[1:, 0] == pytest.approx(cells[:-1, 1])
    assert len(moving.fast_cells) == moving.fast_a_body * len(moving.body_cells)


def test_a_fast_club_moves_about_two_pixels_a_cell() -> None:
    moving = before_impact()
    camera = StudioCamera(dials())
    head = moving.club_frames @ np.array([0.0, 0.0, 0.9, 1.0])
    pixels = camera.project(head[:, :3], 0.0)
    steps = np.linalg.norm(np.diff(pixels, axis=0), axis=1)
    assert len(moving.fast_cells) > 20
    assert steps.max() < 1.3 * STEP_PX
    assert steps.mean() > 0.5 * STEP_PX


def test_the_club_between_poses_is_where_the_motion_has_it() -> None:
    moving = before_impact()
    middles = moving.start_s + moving.fast_cells.mean(axis=1)
    for frame, time_s in zip(moving.club_frames, middles, strict=True):
        true = motion().at(float(time_s)).club_frame
        for along in (0.0, 0.9):
            place = np.array([0.0, 0.0, along, 1.0])
            assert np.linalg.norm((frame @ place - true @ place)[:3]) < 0.002


def test_a_strike_inside_the_exposure_is_an_instant_of_its_own() -> None:
    strike = motion().planned_impacts_s[0]
    struck = plan(strike - 0.002)
    assert strike in [pose.time_s for pose in struck.poses]
    flying = struck.balls[:, 0] > 1e-3
    middles = struck.start_s + struck.fast_cells.mean(axis=1)
    assert (flying == (middles > strike)).mean() > 0.95


def test_noise_is_as_large_as_it_says_and_leaves_the_mean() -> None:
    sensor = Sensor(FilmDials(noise=1.0, exposure_s=1 / 500), 0.1, SHAPE, 5)
    light = np.full((*SHAPE, 3), 0.3, np.float32)
    noisy = light.copy()
    sensor.expose(noisy, 1)
    noisy = noisy / np.float32(8191 / 1.6)  # the tone's own scale
    assert noisy.std() == pytest.approx(float(sensor.sigma(0.3)), rel=0.05)
    assert noisy.mean() == pytest.approx(0.3, abs=3e-3)


def test_a_dull_place_and_a_short_exposure_are_noisier() -> None:
    def sigma(exposure_s: float, illuminance: float, noise: float = 1.0) -> float:
        film = FilmDials(noise=noise, exposure_s=exposure_s)
        return float(Sensor(film, illuminance, SHAPE, 5).sigma(0.2))

    assert sigma(1 / 2000, 0.03) > 1.5 * sigma(1 / 500, 0.03) > 1.5 * sigma(1 / 500, 0.3)
    assert sigma(1 / 500, 0.3, noise=0.5) == pytest.approx(0.5 * sigma(1 / 500, 0.3))
    assert sigma(1 / 500, 0.3, noise=0.0) == 0.0


def test_shot_noise_grows_with_the_square_root_of_light() -> None:
    sensor = Sensor(FilmDials(noise=1.0), 1.0, SHAPE, 5)
    assert sensor.sigma(0.8) / sensor.sigma(0.2) == pytest.approx(2.0, rel=0.01)


def test_the_noise_of_a_frame_depends_on_seed_and_index_only() -> None:
    def shown(seed: int, index: int) -> bytes:
        light = np.full((*SHAPE, 3), 0.2, np.float32)
        return Sensor(FilmDials(noise=1.0), 0.1, SHAPE, seed).expose(light, index).tobytes()

    assert shown(5, 3) == shown(5, 3)
    assert len({shown(5, 3), shown(5, 4), shown(6, 3)}) == 3


@pytest.mark.parametrize(
    ("linear", "coded"), [(0.0, 0), (0.0031308, 10), (0.18, 118), (0.5, 188), (0.75, 225)]
)
def test_tones_are_srgb_up_to_the_highlights(linear: float, coded: int) -> None:
    # IEC 61966-2-1: 0.18 is 117.6, 0.5 is 187.5, 0.75 is 224.6.
    shown = toned(np.full((1, 1, 3), linear, np.float32))
    assert shown.tolist() == [[[coded] * 3]]


def test_highlights_never_turn_darker() -> None:
    light = np.linspace(0.0, 3.0, 3000, dtype=np.float32).reshape(-1, 1, 1)
    shown = toned(light).ravel().astype(int)
    assert (np.diff(shown) >= 0).all()
    assert shown[-1] >= 250

"""The pictures themselves are measured: light against light, with a ball and a club that move at a
known speed through a place where nobody stands.
"""

from dataclasses import dataclass, replace
from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.names import Hand, View
from tests.studio.camera import StudioCamera
from tests.studio.club import load_club
from tests.studio.dials import (
    Background,
    CameraDials,
    ClipDials,
    FilmDials,
    GolferDials,
    SceneDials,
)
from tests.studio.needs_gl import needs_gl
from tests.studio.pose import Array, Joint, Pose
from tests.studio.render import Studio
from tests.studio.swing.motion import make_motion

pytestmark = needs_gl

DIALS = ClipDials(
    "render",
    12,
    camera=CameraDials(distance_m=3.5),
    film=FilmDials(noise=0.0, exposure_s=1 / 250),
)
BALL_M = 0.04267
START_S = 0.5

Floats = NDArray[np.float32]


@cache
def address() -> Pose:
    return make_motion(DIALS).at(0.4)


@dataclass(frozen=True, slots=True)
class Moved:
    """The golfer at address, with ball and club wherever they are put, at constant speeds."""

    ball: tuple[float, float, float] | None = None
    ball_speed: tuple[float, float, float] = (0.0, 0.0, 0.0)
    club: tuple[float, float, float] = (0.0, 0.0, -3.0)
    club_speed: tuple[float, float, float] = (0.0, 0.0, 0.0)
    duration_s: float = 2.0
    planned_impacts_s: tuple[float, ...] = ()

    def at(self, time_s: float) -> Pose:
        since = time_s - START_S
        frame = upright(np.array(self.club) + since * np.array(self.club_speed))
        points = load_club(DIALS.swing.club).points
        club = {name: (frame @ np.append(at, 1.0))[:3] for name, at in points.items()}
        ball = None
        if self.ball is not None:
            ball = np.array(self.ball) + since * np.array(self.ball_speed)
        return replace(address(), time_s=time_s, club_frame=frame, club=club, ball=ball)


def upright(butt: Array) -> Array:
    """A club hanging straight down from ``butt``."""
    frame = np.diag([1.0, -1.0, -1.0, 1.0])
    frame[:3, 3] = butt
    return frame


def covers(dials: ClipDials, *motions: Moved) -> list[Floats]:
    """(H, W) for each motion: the share of each pixel that ball and club hide, as the pictures say.
    What is filmed before a white and before a black place differs by what is not hidden.
    """
    with Studio(dials, Moved(), StudioCamera(dials)) as studio:
        nothing = _cover(studio, Moved())
        added = [_cover(studio, motion) - nothing for motion in motions]
    for cover in added:
        cover[cover.shape[0] * 11 // 20 :] = 0.0  # their shadows lie below
    return added


def _cover(studio: Studio, motion: Moved) -> Floats:
    studio.motion = motion
    studio.plate.light[:] = 1.0
    white = studio.linear(START_S)
    studio.plate.light[:] = 0.0
    cover: Floats = 1.0 - (white - studio.linear(START_S))[..., 0]
    return cover


def middle_of(seen: Floats) -> Array:
    rows, columns = np.mgrid[0 : seen.shape[0], 0 : seen.shape[1]]
    return np.asarray(np.array([(columns * seen).sum(), (rows * seen).sum()]) / seen.sum())


def width_at_half(profile: NDArray[np.float64]) -> float:
    """Full width at half of the plateau's height, to a fraction of a pixel."""
    half = np.percentile(profile[profile > 0.3 * profile.max()], 60) / 2.0
    above = np.flatnonzero(profile > half)
    first, last = above[0], above[-1]
    before = (half - profile[first - 1]) / (profile[first] - profile[first - 1])
    after = (profile[last] - half) / (profile[last] - profile[last + 1])
    return float(last - first + 1 - before + after)


HIGH = (-0.72, 0.0, 1.3)
"""On the ball line and left of the golfer, before the trees; what moves on does not reach him."""


def scale() -> float:
    """Pixels a metre across the picture at ``HIGH``."""
    camera = StudioCamera(DIALS)
    return camera.focal_px / abs(float(camera.position[1]))


def test_the_ball_is_as_large_as_the_rules_say() -> None:
    (seen,) = covers(DIALS, Moved(ball=HIGH))
    # Off the line of sight a ball is stretched by the lens: its height is what stays.
    height = seen.sum(axis=0).max()
    assert height == pytest.approx(BALL_M * scale(), rel=0.03)


@pytest.mark.parametrize(
    "camera",
    [
        CameraDials(distance_m=3.5),
        CameraDials(distance_m=3.5, distortion=-0.1, roll_deg=4.0, azimuth_deg=-8.0),
        CameraDials(distance_m=3.5, shake_deg=0.8, distortion=0.06),
        CameraDials(distance_m=3.5, portrait=False, fov_deg=75.0),
        CameraDials(view=View.DOWN_THE_LINE, distance_m=3.5, distortion=-0.08),
    ],
)
def test_the_ball_is_drawn_where_the_camera_says(camera: CameraDials) -> None:
    place = (-0.45, -0.35, 1.45)
    dials = replace(DIALS, camera=camera)
    middle_s = START_S + DIALS.film.exposure_s / 2.0
    said = StudioCamera(dials).project(np.array(place), middle_s)
    (seen,) = covers(dials, Moved(ball=place))
    assert np.linalg.norm(middle_of(seen) - said) < 0.15


def test_a_moving_ball_smears_by_its_speed_times_the_exposure() -> None:
    for exposure_s, speed in ((1 / 250, 40.0), (1 / 120, 15.0), (1 / 500, 60.0)):
        dials = replace(DIALS, film=replace(DIALS.film, exposure_s=exposure_s))
        (seen,) = covers(dials, Moved(ball=HIGH, ball_speed=(speed, 0.0, 0.0)))
        row = round(float(middle_of(seen)[1]))
        wanted = speed * exposure_s * scale()
        assert width_at_half(seen[row - 1 : row + 2].mean(axis=0)) == pytest.approx(wanted, abs=1.0)


def test_a_moving_shaft_smears_by_its_speed_times_the_exposure() -> None:
    speed, exposure_s = 20.0, 1 / 250
    (seen,) = covers(DIALS, Moved(club=(-0.75, 0.0, 1.9), club_speed=(speed, 0.0, 0.0)))
    row = round(float(StudioCamera(DIALS).project([-0.75, 0.0, 1.35], 0.0)[1]))
    wanted = speed * exposure_s * scale()
    assert width_at_half(seen[row - 2 : row + 3].mean(axis=0)) == pytest.approx(wanted, abs=1.0)


def test_a_smear_hides_as_much_as_the_still_ball() -> None:
    still, moving = covers(
        DIALS, *(Moved(ball=HIGH, ball_speed=(speed, 0.0, 0.0)) for speed in (0.0, 25.0))
    )
    assert still.max() == pytest.approx(1.0, abs=1e-3)
    assert moving.max() < 0.5
    assert moving.sum() == pytest.approx(float(still.sum()), rel=0.02)


def test_a_rolling_shutter_leans_an_upright_shaft_by_speed_times_row_time() -> None:
    speed, rolling_s = 6.0, 0.012
    film = replace(DIALS.film, exposure_s=1 / 1000, rolling_shutter_s=rolling_s)
    dials = replace(DIALS, film=film)
    camera = StudioCamera(dials)
    (seen,) = covers(dials, Moved(club=(-0.75, 0.0, 1.9), club_speed=(speed, 0.0, 0.0)))
    rows = np.arange(*(int(camera.project([-0.75, 0.0, z], 0.0)[1]) for z in (1.6, 1.15)))
    columns = np.arange(camera.width)
    middles = [(columns * seen[row]).sum() / seen[row].sum() for row in rows]
    wanted = speed * scale() * rolling_s / (camera.height - 1)
    assert np.polyfit(rows, middles, 1)[0] == pytest.approx(wanted, rel=0.05)
    # The first row's exposure starts at the frame's time, each later one's in its turn.
    said = camera.project([-0.75, 0.0, 1.0], 0.0)[0] + speed * scale() * (
        rolling_s * rows / (camera.height - 1) + film.exposure_s / 2.0
    )
    assert middles == pytest.approx(said, abs=0.7)


@pytest.mark.parametrize("speed", [0.0, 3.0, 30.0])
def test_a_club_behind_the_golfer_is_hidden_however_fast_it_moves(speed: float) -> None:
    """A moving club was once drawn through the body: clearing its layer wiped the person's depth."""
    trunk = [address().joints[joint] for joint in (Joint.LEAD_HIP, Joint.TRAIL_SHOULDER)]
    behind = np.mean(trunk, axis=0) + np.array([0.0, 0.8, 0.3])
    with Studio(DIALS, Moved(), StudioCamera(DIALS)) as studio:
        pictures = []
        for motion in (Moved(), Moved(club=tuple(behind), club_speed=(speed, 0.0, 0.0))):
            studio.motion = motion
            pictures.append(studio.linear(START_S))
        column, row = studio.camera.project(np.mean(trunk, axis=0), START_S)
    half = int(0.06 * scale())
    part = slice(int(row) - half, int(row) + half), slice(int(column) - half, int(column) + half)
    changed = np.abs(pictures[0] - pictures[1])[part]
    assert changed.max() < 1e-3


def test_a_rolling_shutter_does_not_change_what_stands_still() -> None:
    rolling = replace(DIALS, film=replace(DIALS.film, rolling_shutter_s=0.01))
    seen = []
    for dials in (DIALS, rolling):
        with Studio(dials, Moved(ball=HIGH), StudioCamera(dials)) as studio:
            seen.append(studio.linear(START_S))
    assert np.abs(seen[1] - seen[0]).max() < 2e-3


def test_a_shaking_camera_sees_the_place_as_a_camera_turned_that_way_does() -> None:
    dials = replace(
        DIALS,
        camera=CameraDials(distance_m=3.5, shake_deg=0.8, distortion=-0.08),
        film=replace(DIALS.film, exposure_s=1 / 2000),
    )
    camera = StudioCamera(dials)
    with Studio(dials, Moved(), camera) as studio:
        shaken = studio.plate.at(START_S, 1e-4, 0.0)
    camera.still_axes = camera.axes(START_S + 0.5e-4)
    camera.dials = replace(dials, camera=replace(dials.camera, shake_deg=0.0))
    with Studio(camera.dials, Moved(), camera) as turned:
        direct = turned.plate.light
    (right, down), answer = cv2.phaseCorrelate(
        shaken.mean(axis=2).astype(np.float64), direct.mean(axis=2).astype(np.float64)
    )
    assert np.hypot(right, down) < 0.1
    assert answer > 0.5
    assert np.abs(shaken - direct).mean() < 0.01


def test_the_place_is_drawn_as_far_as_the_hand_can_turn_the_lens() -> None:
    dials = replace(
        DIALS, camera=CameraDials(distance_m=3.5, shake_deg=1.2, distortion=-0.1, fov_deg=80.0)
    )
    with Studio(dials, Moved(), StudioCamera(dials)) as studio:
        for time_s in np.arange(0.0, 20.0, 0.7):
            where = studio.plate._looked_up(float(time_s))
            assert where.min() >= 0.0
            assert (where.max(axis=(0, 1)) <= np.array(studio.plate.size) - 1).all()


@pytest.fixture(scope="module")
def swing_frames() -> "Frames":
    dials = replace(
        DIALS,
        film=FilmDials(noise=1.0, exposure_s=1 / 120, rolling_shutter_s=0.004),
        scene=SceneDials(background=Background.RANGE, bag=True, bystander=True, mat=True),
    )
    left = replace(dials, golfer=replace(dials.golfer, handed=Hand.LEFT))
    frames = []
    for each in (dials, dials, left):
        motion = make_motion(each)
        with Studio(each, motion, StudioCamera(each)) as studio:
            studio.frame(0.2, 0)
            frames.append(studio.frame(motion.planned_impacts_s[0] - 0.01, 7))
    return frames[0], frames[1], frames[2]


Frames = tuple[NDArray[np.uint8], NDArray[np.uint8], NDArray[np.uint8]]


def test_the_same_dials_give_the_same_bytes(swing_frames: Frames) -> None:
    first, again, _ = swing_frames
    assert first.tobytes() == again.tobytes()


def test_a_left_hander_is_the_mirror_of_a_right_hander(swing_frames: Frames) -> None:
    right, _, left = swing_frames
    assert (left == right[:, ::-1]).all()
    assert not (left == right).all()
    assert left.flags.c_contiguous


def test_a_frame_is_upright_bytes_of_the_dialled_size(swing_frames: Frames) -> None:
    assert swing_frames[0].shape == (1280, 720, 3)
    assert swing_frames[0].dtype == np.uint8


@pytest.mark.parametrize("place", list(Background))
def test_every_place_is_a_picture_with_a_person_in_it(place: Background) -> None:
    dials = replace(DIALS, scene=SceneDials(background=place), golfer=GolferDials())
    camera = StudioCamera(dials)
    motion = make_motion(dials)
    with Studio(dials, motion, camera) as studio:
        empty, seen = studio.plate.light, studio.linear(0.4)
    assert np.isfinite(seen).all()
    assert 0.05 < float(np.clip(seen, 0.0, 1.0).mean()) < 0.6
    pose = motion.at(0.402)
    drawn = np.abs(seen - empty).sum(axis=2) > 0.02
    joints = np.array(list(pose.joints.values()))
    columns, rows = np.rint(camera.project(joints, 0.402)).astype(int).T
    assert drawn[rows, columns].mean() > 0.85


def test_nobody_walks_far_behind_in_a_room() -> None:
    dials = replace(DIALS, scene=SceneDials(background=Background.INDOOR, bystander=True))
    with (
        pytest.raises(ValueError, match="room"),
        Studio(dials, Moved(), StudioCamera(dials)),
    ):
        pass

from dataclasses import replace

import cv2
import numpy as np
import pytest

from api.domain.names import View
from api.domain.projection import Camera
from tests.studio.camera import StudioCamera, golfer_middle, hands_at_address
from tests.studio.club import CLUB_LENGTH_M
from tests.studio.dials import (
    CameraDials,
    ClipDials,
    ClubName,
    FilmDials,
    SwingDials,
)
from tests.studio.pose import Joint
from tests.studio.shake import Shake
from tests.studio.swing.motion import make_motion

POINTS = np.random.default_rng(3).uniform((-0.9, -0.2, 0.0), (0.9, 1.3, 2.3), (60, 3))
VIEWS = (View.FACE_ON, View.DOWN_THE_LINE)


def camera(seed: int = 5, **dials: object) -> StudioCamera:
    return StudioCamera(ClipDials("camera", seed, camera=CameraDials(**dials)))  # type: ignore[arg-type]  # each test names its own dials


def by_opencv(seen: StudioCamera, time_s: float) -> np.ndarray:
    axes = seen.axes(time_s)
    matrix = np.array(
        [[seen.focal_px, 0, seen.centre[0]], [0, seen.focal_px, seen.centre[1]], [0, 0, 1.0]]
    )
    turn, _ = cv2.Rodrigues(axes)
    bent = np.array([seen.k1, 0.0, 0.0, 0.0])
    pixels, _ = cv2.projectPoints(POINTS, turn, -axes @ seen.position, matrix, bent)
    return np.asarray(pixels[:, 0])


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("distortion", [-0.12, 0.0, 0.08])
def test_projects_as_opencv_does_with_distortion_roll_and_a_shaking_hand(
    view: View, distortion: float
) -> None:
    seen = camera(view=view, distortion=distortion, roll_deg=4.0, azimuth_deg=9.0, shake_deg=0.6)
    for time_s in (0.0, 0.7, 2.31):
        assert seen.project(POINTS, time_s) == pytest.approx(by_opencv(seen, time_s), abs=1e-6)


@pytest.mark.parametrize("view", VIEWS)
def test_projects_as_the_domain_camera_does_without_distortion(view: View) -> None:
    seen = camera(view=view, azimuth_deg=-7.0, roll_deg=-3.0, offset_m=0.2, height_m=2.4)
    assert seen.down_deg > 0.0
    domain = Camera(
        place=(seen.position[0], seen.position[1], seen.position[2]),
        heading_deg=seen.heading_deg,
        down_deg=seen.down_deg,
        roll_deg=seen.roll_deg,
        focal_px=seen.focal_px,
        centre=seen.centre,
    )
    for point in POINTS:
        assert tuple(seen.project(point, 1.0)) == pytest.approx(
            domain.project((point[0], point[1], point[2]))
        )


def test_the_matrix_for_drawing_agrees_with_project() -> None:
    seen = camera(azimuth_deg=6.0, roll_deg=2.0, shake_deg=0.5)
    clip = np.c_[POINTS, np.ones(len(POINTS))] @ seen.matrix(1.3).T
    buffer = (clip[:, :2] / clip[:, 3:] + 1.0) / 2.0 * (seen.width, seen.height)
    # A frame buffer counts from a pixel's edge, OpenCV from the first one's centre.
    assert buffer - 0.5 == pytest.approx(seen.project(POINTS, 1.3), abs=1e-6)


def test_undoing_the_lens_gives_the_ray_back() -> None:
    seen = camera(distortion=-0.1)
    pixels = np.random.default_rng(1).uniform((0, 0), (seen.width, seen.height), (200, 2))
    assert seen.to_pixels(seen.to_plane(pixels)) == pytest.approx(pixels, abs=1e-6)


def test_the_field_of_view_is_along_the_long_side() -> None:
    for portrait in (True, False):
        seen = camera(portrait=portrait, fov_deg=70.0)
        half = max(seen.width, seen.height) / 2.0 / seen.focal_px
        assert 2.0 * np.degrees(np.arctan(half)) == pytest.approx(70.0)
    assert (camera().width, camera().height) == (720, 1280)


def test_a_point_behind_the_lens_has_no_pixel() -> None:
    assert np.isnan(camera().project([0.0, -9.0, 1.0], 0.0)).all()


def test_face_on_has_the_target_to_the_right_and_down_the_line_the_golfer_to_the_left() -> None:
    face_on, behind = camera(view=View.FACE_ON), camera(view=View.DOWN_THE_LINE)
    assert face_on.project([0.5, 0.7, 1.0], 0.0)[0] > face_on.project([-0.5, 0.7, 1.0], 0.0)[0]
    golfer, ball = behind.project([[0.0, 0.8, 0.5], [0.0, 0.0, 0.0]], 0.0)
    assert golfer[0] < ball[0]


@pytest.mark.parametrize("view", VIEWS)
def test_positive_azimuth_moves_far_things_to_the_right_and_keeps_the_distance(view: View) -> None:
    square, turned = camera(view=view), camera(view=view, azimuth_deg=8.0)
    pivot = (golfer_middle if view is View.FACE_ON else hands_at_address)(square.dials)
    far = pivot + 3.0 * square.still_axes[2] * np.array([1.0, 1.0, 0.0]) + np.array([0.0, 0.0, 1.0])
    assert turned.project(far, 0.0)[0] > square.project(far, 0.0)[0] + 20.0
    flat = (turned.position - pivot)[:2]
    assert np.linalg.norm(flat) == pytest.approx(4.0)
    level = pivot + np.array([0.0, 0.0, 1.0])
    assert turned.project(level, 0.0) == pytest.approx(turned.centre)


def test_positive_roll_turns_the_content_anticlockwise() -> None:
    seen = camera(roll_deg=5.0)
    right = seen.project([0.5, 0.76, 1.0], 0.0)
    assert right[0] > seen.centre[0]
    assert right[1] < seen.centre[1]
    _, direction_deg = seen.horizon(0.0)
    assert direction_deg == pytest.approx(5.0)


@pytest.mark.parametrize(("view", "way"), [(View.FACE_ON, (1, 0)), (View.DOWN_THE_LINE, (0, 1))])
def test_the_offset_goes_to_the_target_or_towards_the_golfer(
    view: View, way: tuple[int, int]
) -> None:
    moved = camera(view=view, offset_m=0.3).position - camera(view=view).position
    assert moved == pytest.approx([0.3 * way[0], 0.3 * way[1], 0.0])


def test_what_is_as_high_as_a_level_lens_lies_on_the_horizon() -> None:
    seen = camera(height_m=1.1, roll_deg=3.0)
    foot, direction_deg = seen.horizon(0.0)
    way = np.array([np.cos(np.radians(direction_deg)), -np.sin(np.radians(direction_deg))])
    off = seen.project([[-0.7, 0.5, 1.1], [0.6, 1.2, 1.1]], 0.0) - foot
    assert off[:, 0] * way[1] - off[:, 1] * way[0] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("distance_m", [3.0, 4.0, 5.0])
@pytest.mark.parametrize("club", list(ClubName))
def test_an_upright_picture_holds_head_feet_ball_and_the_upright_club(
    view: View, distance_m: float, club: ClubName
) -> None:
    dials = ClipDials(
        "framing",
        1,
        swing=SwingDials(club=club),
        camera=CameraDials(view=view, distance_m=distance_m, fov_deg=62.0),
    )
    seen, middle = StudioCamera(dials), golfer_middle(dials)
    # Hands 0.6 m to the trail side at shoulder height, the club straight up from there.
    top = 0.82 * 1.78 + CLUB_LENGTH_M[club]
    points = [(-0.6, middle[1], top), (0, middle[1], 1.8), (0.3, middle[1], 0), (0, 0, 0)]
    pixels = seen.project(points, 0.0)
    assert (pixels > 0.0).all()
    assert (pixels < (seen.width - 1, seen.height - 1)).all()
    # Only from 3 m behind, where the hands come nearer still, does the lens look up a little.
    from_near = view is View.DOWN_THE_LINE and distance_m == 3.0
    assert -6.0 < seen.down_deg < 0.0 if from_near else seen.down_deg == 0.0


def test_a_lens_too_near_for_a_wide_picture_is_tilted_until_the_ball_is_in_it() -> None:
    seen = camera(portrait=False, distance_m=3.0)
    assert seen.down_deg > 0.0
    ball = seen.project([0.0, 0.0, 0.0], 0.0)
    assert ball[1] < seen.height - 1


def test_the_ideal_camera_is_square_level_still_and_straight() -> None:
    dials = CameraDials(
        azimuth_deg=8, roll_deg=3, offset_m=0.2, shake_deg=1, distortion=-0.1, height_m=2.4
    )
    ideal = StudioCamera(ClipDials("ideal", 4, camera=dials)).ideal()
    middle = golfer_middle(ideal.dials)
    assert ideal.position == pytest.approx([middle[0], middle[1] - 4.0, 2.4])
    assert ideal.axes(0.8) == pytest.approx(np.array([[1, 0, 0], [0, 0, -1], [0, 1, 0]]), abs=1e-12)
    assert (ideal.k1, ideal.shaken, ideal.down_deg) == (0.0, False, 0.0)


def test_the_lens_stands_square_to_the_chest_or_on_the_line_through_the_hands() -> None:
    face_on, behind = camera(view=View.FACE_ON), camera(view=View.DOWN_THE_LINE)
    at = make_motion(face_on.dials).at(0.0).joints
    wrists = (at[Joint.LEAD_WRIST] + at[Joint.TRAIL_WRIST]) / 2.0
    hips = (at[Joint.LEAD_HIP] + at[Joint.TRAIL_HIP]) / 2.0
    assert behind.position == pytest.approx([wrists[0] - 4.0, wrists[1], 1.0], abs=0.005)
    assert behind.project(wrists, 0.0)[0] == pytest.approx(behind.centre[0], abs=2.0)
    assert face_on.position[0] == pytest.approx(hips[0], abs=0.04)
    # Wrists lie before the middle of the body, hips behind it.
    assert wrists[1] < face_on.position[1] + 4.0 < hips[1]


def test_the_short_side_sets_the_size() -> None:
    film = FilmDials(short_side=1080)
    seen = StudioCamera(ClipDials("size", 1, film=film, camera=CameraDials(portrait=False)))
    assert (seen.width, seen.height) == (1920, 1080)


def test_a_hand_turns_as_much_as_dialled_smoothly_and_never_past_its_bound() -> None:
    times = np.arange(0.0, 200.0, 0.01)
    angles = np.array([Shake(0.5, 9).angles(time) for time in times])
    assert np.degrees(angles.std(axis=0)) == pytest.approx([0.5, 0.5, 0.3], rel=0.1)
    assert (np.abs(angles) <= Shake(0.5, 9).bound_rad).all()
    assert np.degrees(np.abs(np.diff(angles, axis=0)).max()) < 0.15  # a step of 10 ms
    assert Shake(0.5, 9).angles(1.234).tolist() == Shake(0.5, 9).angles(1.234).tolist()
    assert Shake(0.5, 10).angles(1.234).tolist() != Shake(0.5, 9).angles(1.234).tolist()


def test_a_shaking_hand_only_turns_the_lens() -> None:
    seen = camera(shake_deg=1.0)
    axes = seen.axes(0.77)
    assert axes @ axes.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(axes) == pytest.approx(1.0)
    still = replace(seen.dials, camera=replace(seen.dials.camera, shake_deg=0.0))
    assert seen.position == pytest.approx(StudioCamera(still).position)

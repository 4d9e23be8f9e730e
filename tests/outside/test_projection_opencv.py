"""The pinhole camera against ``cv2.projectPoints``, and what it says of level and upright things.

Source: OpenCV's own projection, an independent implementation.
"""

import cv2
import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from api.domain import geometry, projection
from api.domain.projection import Camera
from worker.measure.ground import Ground

RNG = np.random.default_rng(66)
CENTRE = (360.0, 640.0)
FOCAL = 1100.0
MATRIX = np.array([[FOCAL, 0, CENTRE[0]], [0, FOCAL, CENTRE[1]], [0, 0, 1]])


def opencv_pixels(camera: Camera, world: np.ndarray) -> np.ndarray:
    """Pixels by OpenCV, with the rotation built by scipy from the camera's three angles."""
    # OpenCV's camera looks along +z with x right and y down. From looking along X, level:
    level = np.array([[0.0, -1.0, 0.0], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]])
    heading = Rotation.from_euler("z", -camera.heading_deg, degrees=True).as_matrix()
    down = Rotation.from_euler("x", camera.down_deg, degrees=True).as_matrix()
    # Content turns anticlockwise on the picture: about z (away), with y down, that is -roll.
    roll = Rotation.from_euler("z", -camera.roll_deg, degrees=True).as_matrix()
    turn = roll @ down @ level @ heading
    shift = -turn @ np.array(camera.place)
    pixels, _ = cv2.projectPoints(world, cv2.Rodrigues(turn)[0], shift, MATRIX, None)
    return np.asarray(pixels).reshape(-1, 2)


@pytest.mark.parametrize(("place", "heading"), [((0.3, -3.6, 0.95), 90.0), ((-4.2, 0.4, 0.9), 0.0)])
def test_every_point_lands_where_opencv_puts_it(
    place: tuple[float, float, float], heading: float
) -> None:
    world = RNG.uniform([-1, -0.5, 0], [1, 1.2, 2], (40, 3))
    for turn, down, roll in RNG.uniform(-15, 15, (25, 3)):
        camera = Camera(place, heading + turn, FOCAL, CENTRE, down_deg=down, roll_deg=roll)

        ours = np.array([camera.project((x, y, z)) for x, y, z in world])

        assert ours == pytest.approx(opencv_pixels(camera, world), abs=1e-6)


def test_what_lies_behind_the_lens_has_no_pixel() -> None:
    camera = Camera((-4.0, 0.4, 0.9), 0.0, FOCAL, CENTRE)

    assert camera.project((-5.0, 0.4, 0.9)) is None
    assert camera.project((-4.0, 0.4, 0.9)) is None


def seen(camera: Camera, world: tuple[float, float, float]) -> tuple[float, float]:
    pixel = camera.project(world)
    assert pixel is not None
    return pixel


def test_the_views_have_the_sides_the_trade_gives_them() -> None:
    face_on = Camera((0.0, -4.0, 0.9), 90.0, FOCAL, CENTRE)
    behind = Camera((-4.0, 0.4, 0.9), 0.0, FOCAL, CENTRE)

    # Face-on the target is to the right; down-the-line the ball is, and the golfer to the left.
    assert seen(face_on, (1.0, 0.0, 0.9))[0] > CENTRE[0]
    assert seen(behind, (0.0, 0.0, 0.0))[0] > CENTRE[0] > seen(behind, (0.0, 1.0, 0.0))[0]
    assert seen(behind, (0.0, 0.4, 1.5))[1] < CENTRE[1]


def test_a_level_segment_stays_level_only_at_lens_height() -> None:
    camera = Camera((0.0, -4.0, 0.9), 90.0, FOCAL, CENTRE)

    at_lens = geometry.elevation(seen(camera, (0, 0, 0.9)), seen(camera, (0.4, 0.4, 0.9)))
    above = geometry.elevation(seen(camera, (0, 0, 1.5)), seen(camera, (0.4, 0.4, 1.5)))

    assert at_lens == pytest.approx(0.0, abs=1e-9)
    assert above < -5


@pytest.mark.parametrize(("theta", "phi", "psi"), [(90, 35, 10), (60, -20, 8), (130, 10, -6)])
def test_the_yaw_formula_is_a_distant_cameras_view(theta: float, phi: float, psi: float) -> None:
    # From 4 km through a long lens, the pinhole's rays are parallel to a hundredth of a degree.
    rise, run = np.sin(np.radians(theta)), np.cos(np.radians(theta))
    end = (float(run), float(np.tan(np.radians(phi))), float(rise))
    heading = np.radians(90.0 + psi)
    place = (-4000 * float(np.cos(heading)), -4000 * float(np.sin(heading)), 0.0)
    camera = Camera(place, 90.0 + psi, 1e6, CENTRE)

    drawn = geometry.direction(seen(camera, (0.0, 0.0, 0.0)), seen(camera, end))

    assert drawn == pytest.approx(projection.yawed_direction(theta, phi, psi), abs=0.03)


def test_roll_adds_to_every_direction() -> None:
    level = Camera((0.0, -4.0, 0.9), 90.0, FOCAL, CENTRE)
    rolled = Camera((0.0, -4.0, 0.9), 90.0, FOCAL, CENTRE, roll_deg=7.0)
    ends = ((-0.2, 0.1, 1.4), (0.5, -0.1, 1.1))

    before = geometry.direction(*(seen(level, end) for end in ends))
    after = geometry.direction(*(seen(rolled, end) for end in ends))

    assert after - before == pytest.approx(7.0)


def butt_end_readings(lens_inside_m: float) -> tuple[float, float, float]:
    """True, first and corrected reading of one shaft, grip lengths, from one place of the lens.

    The shaft lies in the plane 0.6 m nearer than the ball and points 0.2 m inside. The truth is
    the world's, the picture OpenCV's.
    """
    camera = Camera((-4.0, lens_inside_m, 0.9), 0.0, FOCAL, CENTRE)
    grip_m, nearer_m, inside_m = 0.267, 0.6, 0.2
    hit = np.array([-nearer_m, inside_m, 0.0])
    up = np.array([0.0, 0.5, 1.1])
    world = np.array([hit + up, hit + 1.8 * up, [0.0, 0.0, 0.0], [4e6, 0.0, 0.0]])
    butt, head, ball, vanishing = ((float(x), float(y)) for x, y in opencv_pixels(camera, world))
    px_per_grip = FOCAL / 4.0 * grip_m
    line = geometry.depth_corrected_line(ball, vanishing, camera_to_ball_m=4.0, nearer_m=nearer_m)
    first = geometry.butt_end_inside(butt, head, ball, px_per_grip=px_per_grip)
    corrected = geometry.butt_end_inside(butt, head, ball, px_per_grip=px_per_grip, line=line)
    assert first is not None
    assert corrected is not None
    return inside_m / grip_m, first, corrected


@pytest.mark.parametrize("lens_inside_m", [0.0, 0.3, 0.55, 1.1])
def test_the_depth_correction_finds_the_true_ground_point(lens_inside_m: float) -> None:
    true, _, corrected = butt_end_readings(lens_inside_m)

    assert corrected == pytest.approx(true, abs=1e-4)


def test_the_first_estimate_errs_by_what_the_two_terms_say() -> None:
    # Row of a nearer point, h x / (D tan pitch); lens off the ball line, y x / D; they oppose
    # each other, so a lens on the hands' line hides most of both. The nearer scale, D / (D - x),
    # is the third: the first estimate counts its pixels as the ball's.
    nearer, distance, height, grip = 0.6, 4.0, 0.9, 0.267
    for lens_inside_m in (0.0, 0.3, 0.55, 1.1):
        true, first, _ = butt_end_readings(lens_inside_m)
        row = height * nearer / (distance * np.tan(np.arctan2(1.1, 0.5)))
        aside = lens_inside_m * nearer / distance
        nearer_scale = distance / (distance - nearer)
        expected = (true + (row - aside) / grip) * nearer_scale
        assert first == pytest.approx(expected, abs=1e-3), lens_inside_m


def test_the_first_estimate_is_a_fifth_of_a_grip_off_from_the_ball_line() -> None:
    true, first, _ = butt_end_readings(0.0)

    assert abs(first - true) > 0.2


@pytest.mark.parametrize("heading_deg", [-12.0, 0.0, 9.0])
@pytest.mark.parametrize("down_deg", [-3.0, 8.0])
@pytest.mark.parametrize("roll_deg", [-5.0, 0.0, 4.0])
def test_the_grip_end_is_found_on_the_ground_from_a_camera_that_looks_aside(
    heading_deg: float, down_deg: float, roll_deg: float
) -> None:
    camera = Camera((-4.0, 0.4, 0.9), heading_deg, FOCAL, CENTRE, down_deg, roll_deg)
    nearer_m, inside_m, grip_m = 0.6, 0.2, 0.267
    hit, up = np.array([-nearer_m, inside_m, 0.0]), np.array([0.1, 0.5, 1.1])
    world = np.array([hit + up, hit + 1.8 * up, [0.0, 0.0, 0.0], [4e6, 0.0, 0.0]])
    butt, head, ball, vanishing = ((float(x), float(y)) for x, y in opencv_pixels(camera, world))
    # Along the level line of sight, from the lens to the ball.
    turn = np.radians(heading_deg)
    distance_m = float(4.0 * np.cos(turn) - 0.4 * np.sin(turn))
    ground = Ground(
        middle=CENTRE,
        azimuth_deg=heading_deg,
        roll_deg=roll_deg,
        horizon_row=CENTRE[1] - FOCAL * float(np.tan(np.radians(down_deg))),
        px_per_m=FOCAL / distance_m,
        distance_m=distance_m,
        nearer_m=nearer_m,
    )

    found = ground.inside_grips(butt, head, ball)

    assert found == pytest.approx(inside_m / grip_m, abs=1e-6)
    assert ground.vanishing_point() == pytest.approx(vanishing, abs=1e-2)

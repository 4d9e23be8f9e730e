"""Plane and space angles against numpy's vectors and scipy's rotations.

Sources: scipy.spatial.transform.Rotation and numpy.linalg, independent implementations.
"""

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from api.domain import geometry, projection

RNG = np.random.default_rng(1903)
# Degrees: what double precision leaves of an angle found through acos near its ends.
NEAR = 1e-5


def rotated(vector: np.ndarray, degrees: float) -> np.ndarray:
    """``vector`` (x, y down) turned anticlockwise on the picture, by scipy."""
    turn = Rotation.from_euler("z", -degrees, degrees=True)
    return np.asarray(turn.apply([vector[0], vector[1], 0.0]))[:2]


@pytest.mark.parametrize("degrees", [*range(-180, 361, 15), 0.001, 179.999])
def test_a_segment_turned_by_scipy_reads_that_direction(degrees: float) -> None:
    start = np.array([320.0, 480.0])
    end = start + rotated(np.array([150.0, 0.0]), degrees)

    answer = geometry.direction(tuple(start), tuple(end))

    assert geometry.angle_between(answer, degrees) == pytest.approx(0.0, abs=1e-9)


def test_an_angle_at_a_vertex_is_numpys_angle_between_vectors() -> None:
    for vertex, first, second in RNG.uniform(0, 2000, (500, 3, 2)):
        one, two = first - vertex, second - vertex
        cosine = one @ two / (np.linalg.norm(one) * np.linalg.norm(two))
        expected = np.degrees(np.arccos(np.clip(cosine, -1, 1)))

        answer = geometry.angle_at(tuple(vertex), tuple(first), tuple(second))

        assert answer == pytest.approx(float(expected), abs=NEAR)


def test_turning_arm_and_shaft_together_leaves_their_angle() -> None:
    spots = RNG.uniform(100, 900, (200, 4, 2))
    for ends, degrees in zip(spots, RNG.uniform(-180, 180, 200), strict=True):
        before = geometry.lead_arm_shaft_angle(*(tuple(end) for end in ends))
        after = geometry.lead_arm_shaft_angle(*(tuple(rotated(end, degrees)) for end in ends))

        assert after == pytest.approx(before, abs=1e-8)


def test_turning_the_shaft_alone_changes_the_angle_by_that_much() -> None:
    shoulder, wrist = (500.0, 300.0), np.array([300.0, 300.0])
    for degrees in np.linspace(1, 179, 60):
        head = wrist + rotated(np.array([280.0, 0.0]), float(degrees))

        answer = geometry.lead_arm_shaft_angle(shoulder, tuple(wrist), tuple(wrist), tuple(head))

        assert answer == pytest.approx(float(degrees), abs=1e-9)


def picture_angles(space: np.ndarray) -> tuple[float, float]:
    """Direction in the picture and lean in depth of (right, up, away), degrees."""
    right, up, away = space
    across = float(np.hypot(right, up))
    return float(np.degrees(np.arctan2(up, right))), float(np.degrees(np.arctan2(away, across)))


def test_yaw_in_the_exact_form_is_scipys_rotation_about_the_vertical() -> None:
    for space in RNG.normal(size=(300, 3)):
        theta, _ = picture_angles(space)
        # tan(phi) of the formula is depth over length in the picture.
        phi = float(np.degrees(np.arctan2(space[2], np.hypot(space[0], space[1]))))
        psi = float(RNG.uniform(-25, 25))
        # Right-up-away is a left-handed frame: moving far things right is +psi about +up.
        right, up, _ = Rotation.from_euler("y", psi, degrees=True).apply(space)
        expected = float(np.degrees(np.arctan2(up, right)))

        answer = projection.yawed_direction(theta, phi, psi)

        assert geometry.angle_between(answer, expected) == pytest.approx(0.0, abs=1e-8)


def test_tilt_in_the_exact_form_is_scipys_rotation_about_the_level_axis() -> None:
    for space in RNG.normal(size=(300, 3)):
        theta, phi = picture_angles(space)
        tau = float(RNG.uniform(-25, 25))
        right, up, _ = Rotation.from_euler("x", -tau, degrees=True).apply(space)
        expected = float(np.degrees(np.arctan2(up, right)))

        answer = projection.pitched_direction(theta, phi, tau)

        assert geometry.angle_between(answer, expected) == pytest.approx(0.0, abs=1e-8)


def test_the_angle_in_space_is_numpys_angle_between_vectors() -> None:
    for one, two in RNG.normal(size=(300, 2, 3)):
        first, second = picture_angles(one), picture_angles(two)
        cosine = one @ two / (np.linalg.norm(one) * np.linalg.norm(two))
        expected = float(np.degrees(np.arccos(np.clip(cosine, -1, 1))))

        alpha = geometry.angle_between(first[0], second[0])

        answer = projection.angle_in_space(alpha, first[1], second[1])
        assert answer == pytest.approx(expected, abs=NEAR)


def test_the_short_form_stays_within_an_eighth_of_a_degree() -> None:
    worst = 0.0
    for theta in range(0, 181, 2):
        for phi in range(-35, 36, 5):
            for psi in range(-10, 11, 2):
                exact = projection.yaw_effect(theta, phi, psi)
                worst = max(worst, abs(exact - projection.yaw_effect_approx(theta, phi, psi)))

    assert 0.05 < worst < 0.125

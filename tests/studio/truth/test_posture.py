"""Posture, turns and sways on a figure whose joints are put by hand."""

import math
from dataclasses import replace

import numpy as np
import pytest

from api.domain.names import View
from tests.studio.pose import Joint, Pose
from tests.studio.truth.body_recipes import (
    HIPS,
    SHOULDERS,
    turn_in_space,
    turn_seen,
    width_seen,
)
from tests.studio.truth.posture_recipes import (
    ELBOW,
    _bend_of,
    lean_seen,
    side_tilt_in_space,
    spine_tilt_in_space,
)
from tests.studio.truth.sights import Look, Scene, see
from tests.studio.truth.stick import CLUB_M, DOWN_THE_LINE, FACE_ON, GRIP_M, Stick
from tests.studio.truth.track import Figure, Track


class Turning(Stick):
    """The stick golfer whose shoulders turn 90 degrees a second about the vertical, away from the
    target: the lead one towards the ball line (-Y).
    """

    def at(self, time_s: float) -> Pose:
        pose = Stick().at(time_s)
        middle = np.array([0.0, 0.6, 1.4])
        turn = math.radians(-90.0 * time_s)
        line = 0.2 * np.array([math.cos(turn), math.sin(turn), 0.0])
        pose.joints[Joint.LEAD_SHOULDER] = middle + line
        pose.joints[Joint.TRAIL_SHOULDER] = middle - line
        return pose


@pytest.fixture(scope="module")
def turning() -> Scene:
    track = Track(Turning(), 0.0, 1.2)
    return Scene(track, View.FACE_ON, FACE_ON, FACE_ON, CLUB_M, GRIP_M, 1.78)


@pytest.mark.parametrize("turned_deg", [20.0, 60.0, 85.0])
def test_a_turn_in_space_is_positive_away_from_the_target(
    turning: Scene, turned_deg: float
) -> None:
    assert turn_in_space(turning, (0.0, turned_deg / 90.0), SHOULDERS) == pytest.approx(turned_deg)
    assert turn_in_space(turning, (0.0, 1.0), HIPS) == pytest.approx(0.0)


def test_a_turn_seen_comes_from_the_shortening(turning: Scene) -> None:
    # At 60 degrees each shoulder is 0.2 cos 60 aside and 0.2 sin 60 nearer or farther: a pinhole at
    # 4.6 m shows the width 0.2 (0.5 / (4.6 - d) + 0.5 / (4.6 + d)), d = 0.2 sin 60.
    depth = 0.2 * math.sin(math.radians(60.0))
    share = 4.6 * 0.5 * (0.5 / (4.6 - depth) + 0.5 / (4.6 + depth))
    expected = math.degrees(math.acos(share))
    look = Look(turning, FACE_ON)
    assert turn_seen(look, (0.0, 60.0 / 90.0), SHOULDERS) == pytest.approx(expected, abs=1e-6)
    assert expected == pytest.approx(60.0, abs=0.1)
    assert width_seen(look(0.0), SHOULDERS) > 0


def leaning(forward_deg: float, aside_deg: float) -> Figure:
    """Mid-shoulders half a metre up the spine, forward to the ball line and away from the target."""
    figure = Track(Stick(), 0.0, 0.1).figures[0]
    forward, aside = math.tan(math.radians(forward_deg)), math.tan(math.radians(aside_deg))
    spine = 0.5 * np.array([-aside, -forward, 1.0])
    joints = dict(figure.joints)
    for one, two in ((SHOULDERS[0], HIPS[0]), (SHOULDERS[1], HIPS[1])):
        joints[one] = joints[two] + spine
    return replace(figure, joints=joints)


def test_the_spine_tilts_to_the_ball_line_and_away_from_the_target_positive() -> None:
    figure = leaning(35.0, 8.0)
    assert spine_tilt_in_space(figure) == pytest.approx(35.0)
    assert side_tilt_in_space(figure) == pytest.approx(8.0)
    # In the picture from behind right is the ball's side; from the front left is away from the target.
    # The shoulders stand nearer to the lens than the hips by a few per cent: the sign is what counts.
    assert lean_seen(see(figure, DOWN_THE_LINE, 0.0)) == pytest.approx(35.0, abs=2.0)
    assert -lean_seen(see(figure, FACE_ON, 0.0)) == pytest.approx(8.0, abs=2.0)


def test_a_straight_arm_bends_by_nothing_and_a_right_angle_by_ninety() -> None:
    figure = Track(Stick(), 0.0, 0.1).figures[0]
    assert _bend_of(figure.joints, ELBOW) == pytest.approx(0.0, abs=1e-6)
    bent = dict(figure.joints)
    bent[Joint.LEAD_WRIST] = bent[Joint.LEAD_ELBOW] + np.array([0.3, 0.0, 0.0])
    assert _bend_of(bent, ELBOW) == pytest.approx(90.0)

"""Checkpoints of a whole swing of the stick golfer, worked out by hand."""

import math

import numpy as np
import pytest

from api.domain import events_timing
from api.domain.names import KeyframeId, View
from tests.studio.pose import Joint, Pose
from tests.studio.truth.definitions import checkpoints_of, swings_of
from tests.studio.truth.instants import NO_DOWNSWING
from tests.studio.truth.names import Moment, TruthId
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.sights import Scene
from tests.studio.truth.stick import CLUB_M, DOWN_THE_LINE, FACE_ON, GRIP_M, SHOULDER, Stick
from tests.studio.truth.track import Track
from tests.studio.truth.when import Absent, Instant, Instants

Found = dict[tuple[TruthId, str, str], CheckpointTruth]


def scene(stick: Stick, view: View) -> Scene:
    camera = FACE_ON if view is View.FACE_ON else DOWN_THE_LINE
    track = Track(stick, 0.0, stick.duration_s)
    return Scene(track, view, camera, camera, CLUB_M, GRIP_M, 1.78)


def by_id(stick: Stick, view: View) -> Found:
    (swing,) = swings_of(scene(stick, view))
    return {(one.id, one.at, one.part): one for one in swing.checkpoints}


@pytest.fixture(scope="module")
def face_on() -> Found:
    return by_id(Stick(), View.FACE_ON)


@pytest.fixture(scope="module")
def behind() -> Found:
    return by_id(Stick(), View.DOWN_THE_LINE)


def test_the_stick_makes_an_upright_l(face_on: Found) -> None:
    # phi = 2 theta: at theta = 90 arm and shaft make 180 - 90, in the picture's plane and in space.
    truth = face_on[TruthId.LEAD_ARM_SHAFT_ANGLE, "lead_arm_parallel", ""]
    assert truth.value == pytest.approx(90.0, abs=0.02)
    assert truth.space == pytest.approx(90.0, abs=0.02)
    assert face_on[TruthId.LEAD_ARM_SHAFT_ANGLE, "top", ""].value == pytest.approx(60.0, abs=1e-3)


def test_a_level_arm_is_seen_later_by_a_low_lens_when_the_wrist_is_farther_from_it() -> None:
    # Face-on at 4 m, lens 1 m high; the shoulder 1.521 m high. Were the wrist 0.3 m farther from the lens
    # than the shoulder, the picture would show an arm that is level in space below level: by
    # f h (1/4 - 1/4.3) down over f 0.6 / 4.3 across, h = 0.521.
    class Deep(Stick):
        def at(self, time_s: float) -> Pose:
            pose = Stick().at(time_s)
            pose.joints[Joint.LEAD_WRIST] = pose.joints[Joint.LEAD_WRIST] + np.array(
                [0.0, 0.3, 0.0]
            )
            return pose

    height = float(SHOULDER[2]) - 1.0
    across = -(SHOULDER[0] - 0.6) / 4.3 + SHOULDER[0] / 4.0
    expected = -math.degrees(math.atan(height * (1 / 4 - 1 / 4.3) / across))
    found = by_id(Deep(), View.FACE_ON)
    truth = found[TruthId.LEAD_ARM_SHAFT_ANGLE, "lead_arm_parallel", "arm_elevation"]
    assert truth.ideal == pytest.approx(expected, abs=0.05)
    assert truth.space == pytest.approx(0.0, abs=0.02)
    (swing,) = swings_of(scene(Deep(), View.FACE_ON))
    one, two = (
        swing.instants[key] for key in (KeyframeId.LEAD_ARM_PARALLEL, Moment.ARM_LEVEL_SEEN)
    )
    assert isinstance(one, Instant)
    assert isinstance(two, Instant)
    assert two.life_s > one.life_s + 0.01


def test_the_share_of_the_set_is_the_arms_angle_passing_the_leg(
    face_on: Found,
) -> None:
    # The angle is 180 - theta: at address 180, at the leg 180 - 27.67, at parallel 90.
    leg = math.degrees(math.asin((0.30 - 0.04267 / 2) / 0.6))
    assert face_on[TruthId.SET_BEFORE_TRAIL_LEG, "", ""].value == pytest.approx(
        leg / 90.0, abs=1e-3
    )


def test_the_tempo_is_the_products(face_on: Found) -> None:
    truth = face_on[TruthId.TEMPO_RATIO, "", ""].value
    assert truth == pytest.approx(events_timing.tempo_ratio(1.0, 1.8, 2.1), abs=0.005)


def test_a_body_that_does_not_move_has_no_turn_and_no_sway(
    face_on: Found,
) -> None:
    for id_ in (TruthId.PELVIS_SWAY, TruthId.HEAD_SWAY, TruthId.TRIGGER_SHIFT):
        assert face_on[id_, "", ""].value == pytest.approx(0.0, abs=1e-9)
    assert face_on[TruthId.CHEST_TURN, "top", ""].value == pytest.approx(0.0, abs=1e-6)


def test_the_ball_lies_where_it_lies_between_the_feet(
    face_on: Found,
) -> None:
    # Trail ankle at -0.30, lead at -0.10, ball at 0: one and a half widths from the trail foot.
    truth = face_on[TruthId.BALL_POSITION, "address", ""]
    assert truth.value == pytest.approx(1.5)
    assert truth.space == pytest.approx(1.5)


def test_a_pause_is_as_long_as_it_is() -> None:
    stick = Stick(pause=(0.8, 1.0))
    truth = by_id(stick, View.FACE_ON)[TruthId.PAUSE_LENGTH, "", ""]
    assert truth.space == pytest.approx(1.0, abs=0.06)
    assert truth.ideal == pytest.approx(1.0, abs=0.06)


def test_the_finish_is_held_to_the_films_end(face_on: Found) -> None:
    assert face_on[TruthId.FINISH_HOLD, "", ""].value == pytest.approx(4.0 - 2.4, abs=0.01)


def test_a_shaft_along_the_target_line_points_at_the_lens(
    behind: Found,
) -> None:
    truth = behind[TruthId.SHAFT_PITCH, "delivery", ""]
    assert isinstance(truth.ideal, Absent)
    assert truth.space == pytest.approx(0.0, abs=1e-3)
    assert behind[TruthId.SHAFT_PITCH, "address", ""].space == pytest.approx(90.0, abs=0.01)


def test_what_a_view_cannot_show_has_a_reason_and_its_number_in_space(
    behind: Found,
) -> None:
    truth = behind[TruthId.LEAD_ARM_SHAFT_ANGLE, "lead_arm_parallel", ""]
    assert truth.value == Absent("not to be seen down the line")
    assert truth.space == pytest.approx(90.0, abs=0.02)


def test_a_swing_without_a_downswing_gives_its_reason_at_each_number() -> None:
    found = by_id(Stick(stop_at_top=True), View.FACE_ON)
    assert found[TruthId.TEMPO_RATIO, "", ""].value == Absent(NO_DOWNSWING)
    assert found[TruthId.WRIST_SET_KEPT, "", ""].value == Absent(NO_DOWNSWING)
    assert isinstance(found[TruthId.CHEST_TURN, "top", ""].value, float)


def test_every_checkpoint_of_the_trade_is_there(face_on: Found) -> None:
    assert {one.id for one in face_on.values()} == set(TruthId)


def test_the_recipes_only_need_instants_that_a_swing_has() -> None:
    film = scene(Stick(), View.FACE_ON)
    nothing: Instants = {key: Absent("none") for key in (*KeyframeId, *Moment)}
    assert all(isinstance(one.value, Absent) for one in checkpoints_of(film, nothing))

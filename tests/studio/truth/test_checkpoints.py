"""Checkpoints worked out by hand, and the product's own formulas on the same figures' pictures.

The trade notes' vectors (T1 to T8, 300 pixels a metre, y down) are lifted into the picture's plane in
space: what they say about a picture must come out of space too.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from api.domain import events_timing, geometry
from api.domain.measurement import Point
from api.domain.names import KeyframeId, View
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.club_recipes import (
    NO_GROUND_HIT,
    arm_shaft_in_space,
    arm_shaft_seen,
    arm_shaft_turn,
    butt_inside_in_space,
    butt_inside_seen,
)
from tests.studio.truth.definitions import checkpoints_of, swings_of
from tests.studio.truth.instants import NO_DOWNSWING
from tests.studio.truth.names import Moment, TruthId
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.sights import Scene, see
from tests.studio.truth.stick import CLUB_M, DOWN_THE_LINE, FACE_ON, GRIP_M, Stick
from tests.studio.truth.track import Figure, Track
from tests.studio.truth.when import Absent, Instants

K = KeyframeId
PX_PER_M = 300.0
Found = dict[tuple[TruthId, str, str], CheckpointTruth]


def point(pixel: Array) -> Point:
    return float(pixel[0]), float(pixel[1])


def held(figure: Figure, **places: Array) -> Figure:
    """A figure with some of its joints and club points elsewhere, by name."""
    joints = {name: places.get(name.value, place) for name, place in figure.joints.items()}
    club = {name: places.get(name.value, place) for name, place in figure.club.items()}
    return replace(figure, joints=joints, club=club)


@pytest.fixture(scope="module")
def stance() -> Figure:
    return Track(Stick(), 0.0, 0.1).figures[0]


# ---------------------------------------------------------------- T1 to T3: arm and shaft


def face_on_place(pixel: Point, depth_m: float = 0.0) -> Array:
    """A picture of the notes put upright into the plane of the ball line: x to X, y down to -Z."""
    return np.array([pixel[0] / PX_PER_M, depth_m, 2.0 - pixel[1] / PX_PER_M])


def arm_and_shaft(stance: Figure, clubhead: Point) -> Figure:
    return held(
        stance,
        lead_shoulder=face_on_place((500, 300)),
        lead_wrist=face_on_place((300, 300)),
        butt=face_on_place((300, 300)),
        hosel=face_on_place(clubhead),
    )


@pytest.mark.parametrize(
    ("clubhead", "angle"),
    [((300, 20), 90.0), ((251.379, 24.254), 100.0), ((395.766, 36.886), 70.0)],
)
def test_the_vectors_of_arm_and_shaft_hold_in_space_and_in_both_formulas(
    stance: Figure, clubhead: Point, angle: float
) -> None:
    figure = arm_and_shaft(stance, clubhead)
    seen = see(figure, FACE_ON, 0.0)
    product = geometry.lead_arm_shaft_angle(
        point(seen.joints[Joint.LEAD_SHOULDER]),
        point(seen.joints[Joint.LEAD_WRIST]),
        point(seen.club[ClubPoint.BUTT]),
        point(seen.club[ClubPoint.HOSEL]),
    )
    assert arm_shaft_in_space(figure) == pytest.approx(angle, abs=1e-3)
    assert arm_shaft_seen(seen) == pytest.approx(angle, abs=1e-3)
    assert product == pytest.approx(arm_shaft_seen(seen), abs=1e-9)


def test_a_shaft_that_leans_towards_the_lens_is_not_its_picture(stance: Figure) -> None:
    # Arm level along X; the shaft up and towards the lens by 45 degrees: square to the arm in space;
    # a parallel picture would show 90, and so does the lens that stands right before the wrist.
    wrist = np.array([0.0, 0.0, 1.0])
    figure = held(
        stance,
        lead_shoulder=wrist + np.array([0.6, 0.0, 0.0]),
        lead_wrist=wrist,
        butt=wrist,
        hosel=wrist + np.array([0.3, -0.6, 0.6]),
    )
    # In space cos = 0.3 / 0.9; in the picture tan = 0.6 / 0.3, each at its own depth: the same ratio.
    assert arm_shaft_in_space(figure) == pytest.approx(math.degrees(math.acos(1 / 3)))
    assert arm_shaft_seen(see(figure, FACE_ON, 0.0)) == pytest.approx(math.degrees(math.atan(2.0)))


def test_both_formulas_agree_on_any_figure(stance: Figure) -> None:
    random = np.random.default_rng(7)
    for _ in range(50):
        places = random.uniform(-0.7, 0.7, (4, 3)) + np.array([0.0, 0.5, 1.2])
        names = ("lead_shoulder", "lead_wrist", "butt", "hosel")
        figure = held(stance, **dict(zip(names, places, strict=True)))
        seen = see(figure, FACE_ON, 0.0)
        pixels = [
            point(seen.joints[Joint.LEAD_SHOULDER]),
            point(seen.joints[Joint.LEAD_WRIST]),
            point(seen.club[ClubPoint.BUTT]),
            point(seen.club[ClubPoint.HOSEL]),
        ]
        assert arm_shaft_turn(seen) == pytest.approx(geometry.arm_shaft_turn(*pixels), abs=1e-9)
        assert arm_shaft_seen(seen) == pytest.approx(
            geometry.lead_arm_shaft_angle(*pixels), abs=1e-9
        )


# ---------------------------------------------------------------- T5 to T8: where the butt end points


def pitched(stance: Figure, pitch_deg: float) -> Figure:
    """Butt end at (420, 555), ball at (620, 900) in the notes' picture: X = 0, y down the ground."""
    butt = np.array([0.0, (620 - 420) / PX_PER_M, (900 - 555) / PX_PER_M])
    pitch = math.radians(pitch_deg)
    shaft = CLUB_M * np.array([0.0, math.cos(pitch), math.sin(pitch)])
    return replace(held(stance, butt=butt, hosel=butt + shaft), ball=np.zeros(3))


@pytest.mark.parametrize(("pitch_deg", "grips"), [(60.0, 0.010), (69.4, 0.878), (45.0, -1.810)])
def test_the_vectors_of_the_butt_end_hold_in_space_and_in_both_formulas(
    stance: Figure, pitch_deg: float, grips: float
) -> None:
    figure = pitched(stance, pitch_deg)
    seen = see(figure, DOWN_THE_LINE, 0.0)
    assert seen.ball is not None
    grip_px = DOWN_THE_LINE.focal_px / 4.0 * GRIP_M  # all of it is 4 m from the lens
    product = geometry.butt_end_inside(
        point(seen.club[ClubPoint.BUTT]),
        point(seen.club[ClubPoint.HOSEL]),
        point(seen.ball),
        px_per_grip=grip_px,
    )
    assert butt_inside_in_space(figure, GRIP_M) == pytest.approx(grips, abs=5e-4)
    assert butt_inside_seen(seen, seen.ball, grip_px) == pytest.approx(grips, abs=5e-4)
    assert product == pytest.approx(butt_inside_seen(seen, seen.ball, grip_px), abs=1e-9)


@pytest.mark.parametrize("pitch_deg", [0.0, -10.0])
def test_a_level_shaft_or_a_high_butt_end_hits_no_ground(stance: Figure, pitch_deg: float) -> None:
    figure = pitched(stance, pitch_deg)
    seen = see(figure, DOWN_THE_LINE, 0.0)
    assert seen.ball is not None
    assert butt_inside_in_space(figure, GRIP_M) == Absent(NO_GROUND_HIT)
    assert butt_inside_seen(seen, seen.ball, 80.0) == Absent(NO_GROUND_HIT)


def test_the_products_depth_correction_leads_from_the_picture_to_the_ground(stance: Figure) -> None:
    # A butt end 0.6 m nearer to the lens than the ball, a shaft that leans that way too. Where the line
    # meets the ground is worked out in space; given how much nearer that is, the product's corrected
    # picture estimate must come to the same number, though the uncorrected one does not.
    butt, hosel = np.array([-0.6, 0.62, 1.1]), np.array([-0.55, 0.92, 1.95])
    figure = replace(held(stance, butt=butt, hosel=hosel), ball=np.zeros(3))
    hit = butt + (butt - hosel) * butt[2] / (hosel - butt)[2]
    seen = see(figure, DOWN_THE_LINE, 0.0)
    assert seen.ball is not None
    vanishing = ((DOWN_THE_LINE.width - 1) / 2, (DOWN_THE_LINE.height - 1) / 2)
    line = geometry.depth_corrected_line(
        point(seen.ball), vanishing, camera_to_ball_m=4.0, nearer_m=-float(hit[0])
    )
    grip_px = DOWN_THE_LINE.focal_px / 4.0 * GRIP_M
    ends = point(seen.club[ClubPoint.BUTT]), point(seen.club[ClubPoint.HOSEL])
    corrected = geometry.butt_end_inside(*ends, point(seen.ball), px_per_grip=grip_px, line=line)
    space = butt_inside_in_space(figure, GRIP_M)
    assert space == pytest.approx(float(hit[1]) / GRIP_M)
    assert corrected == pytest.approx(space, abs=1e-9)
    raw = butt_inside_seen(seen, seen.ball, grip_px)
    assert isinstance(raw, float)
    assert isinstance(space, float)
    assert abs(raw - space) > 0.05


# ---------------------------------------------------------------- a whole swing


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

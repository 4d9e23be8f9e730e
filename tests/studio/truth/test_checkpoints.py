"""Checkpoints worked out by hand, and the product's own formulas on the same figures' pictures.

The trade notes' vectors (T1 to T8, 300 pixels a metre, y down) are lifted into the picture's plane in
space: what they say about a picture must come out of space too.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from api.domain import geometry
from api.domain.checkpoint_formulas import FORMULAS
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Missing, Point
from api.domain.names import Hand, KeyframeId, PointName
from api.domain.picture_formulas import Picture
from tests.studio.pose import Array, ClubPoint, Joint
from tests.studio.truth.club_recipes import (
    NO_GROUND_HIT,
    arm_shaft_in_space,
    arm_shaft_seen,
    arm_shaft_turn,
    butt_inside_in_space,
    butt_inside_seen,
    pitch_seen,
)
from tests.studio.truth.names import TruthId
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.sights import see
from tests.studio.truth.stick import CLUB_M, DOWN_THE_LINE, FACE_ON, GRIP_M, Stick
from tests.studio.truth.track import Figure, Track, elevation
from tests.studio.truth.when import Absent

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


@pytest.mark.parametrize("pitch_deg", [58.7, 60.0, 69.4, 45.0, 5.0, -5.0])
def test_the_pitch_of_those_shafts_is_the_same_in_space_in_the_picture_and_in_the_products_formula(
    stance: Figure, pitch_deg: float
) -> None:
    """Acute, to level: a clubhead below the grip end has the pitch of one as far above it (C14)."""
    figure = pitched(stance, pitch_deg)
    seen = see(figure, DOWN_THE_LINE, 0.0)
    points = {
        PointName.BUTT: point(seen.club[ClubPoint.BUTT]),
        PointName.CLUBHEAD: point(seen.club[ClubPoint.HOSEL]),
    }
    certain = dict.fromkeys(CHECKPOINTS[CheckpointId.SHAFT_PITCH].inputs, 0.0)
    product = FORMULAS[CheckpointId.SHAFT_PITCH](points, certain, Picture(Hand.RIGHT, 1080))
    assert not isinstance(product, Missing)
    assert abs(elevation(figure.shaft)) == pytest.approx(abs(pitch_deg))
    assert pitch_seen(seen.shaft) == pytest.approx(abs(pitch_deg))
    assert product[0] == pytest.approx(abs(pitch_deg))


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

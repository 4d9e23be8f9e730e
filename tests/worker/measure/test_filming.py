import math
from dataclasses import replace

import cv2
import numpy as np
import pytest

from api.domain.measurement import Estimate
from api.domain.names import View
from tests.worker.measure.exact_points import exact
from worker.body.joints import BodyTrack, Joint
from worker.body.swing_network import SwingPoint
from worker.measure.filming import (
    Filmed,
    Size,
    azimuth_by_lines,
    filmed,
    person_out,
    picture_problems,
    shake_deg,
    swing_problems,
)
from worker.measure.seen import view_unclear
from worker.swing.steady import still

SIZE = Size(720, 1280)
FINE = Filmed(None, Estimate(0.02, 0.004), Estimate(0.2, 0.1), Estimate(4.0, 0.8), 0)


def _moves(sway_px: float, pictures: int = 60) -> dict[int, np.ndarray]:
    """A lens that turns to and fro by this, one sigma, along both axes."""
    random = np.random.default_rng(7)
    moves = {}
    for number, shift in enumerate(random.normal(0.0, sway_px, (pictures, 2))):
        matrix = still()
        matrix[:, 2] = shift
        moves[number] = matrix
    return moves


def test_shake_is_told_in_degrees_at_the_lens() -> None:
    """Of a focal length 0.8 of the longer side, and as unsure as that is."""
    judged = shake_deg(_moves(6.0, 4000), SIZE)
    assert judged is not None
    assert judged.value == pytest.approx(math.degrees(6.0 / (0.8 * 1280)), rel=0.05)
    assert judged.sigma / judged.value == pytest.approx(0.2)


def test_a_turn_about_the_middle_of_the_picture_is_no_wandering() -> None:
    turn = np.radians(np.linspace(-1.0, 1.0, 40))
    moves = {}
    for number, angle in enumerate(turn):
        c, s = math.cos(angle), math.sin(angle)
        rotation = np.array([[c, -s], [s, c]])
        moves[number] = np.column_stack([rotation, SIZE.middle - rotation @ SIZE.middle])
    judged = shake_deg(moves, SIZE)
    assert judged is not None
    assert judged.value == pytest.approx(0.0, abs=1e-9)


def test_from_few_pictures_no_shake_is_told() -> None:
    assert shake_deg(_moves(6.0, 5), SIZE) is None


def codes(swing: Filmed) -> list[str]:
    return [each.code for each in swing_problems([swing])]


@pytest.mark.parametrize(
    ("swing", "told"),
    [
        (FINE, []),
        (Filmed(None, None, None, Estimate(4.0, 0.8), 0), []),
        (Filmed(None, Estimate(0.3, 0.06), None, Estimate(4.0, 0.8), 0), []),
        (Filmed(None, Estimate(0.5, 0.1), None, Estimate(4.0, 0.8), 0), ["camera_moves"]),
        (Filmed(None, None, Estimate(0.6, 0.1), Estimate(4.0, 0.8), 0), []),
        (Filmed(None, None, Estimate(0.8, 0.1), Estimate(4.0, 0.8), 0), ["camera_high"]),
        (Filmed(None, None, Estimate(-0.4, 0.1), Estimate(4.0, 0.8), 0), []),
        (Filmed(None, None, Estimate(-0.6, 0.1), Estimate(4.0, 0.8), 0), ["camera_low"]),
        (Filmed(None, None, None, Estimate(2.0, 0.42), 0), []),
        (Filmed(None, None, None, Estimate(1.5, 0.32), 0), ["camera_near"]),
        (Filmed(None, None, None, Estimate(4.0, 0.8), 2), []),
        (Filmed(None, None, None, Estimate(4.0, 0.8), 3), ["club_cut_off"]),
    ],
)
def test_a_problem_is_told_only_where_all_of_its_interval_is_beyond_the_limit(
    swing: Filmed, told: list[str]
) -> None:
    assert codes(swing) == told


def test_two_swings_with_one_problem_tell_it_once() -> None:
    shaken = Filmed(None, Estimate(0.5, 0.1), None, Estimate(4.0, 0.8), 0)
    assert [each.code for each in swing_problems([shaken, FINE, shaken])] == ["camera_moves"]


@pytest.mark.parametrize("roll_deg", [0.0, 5.0])
@pytest.mark.parametrize("name", ["face_on_neutral", "down_the_line_neutral"])
def test_a_lens_of_the_right_height_is_found_there(name: str, roll_deg: float) -> None:
    """Kept clips as a perfect network sees them, level and rolled; truth is the lens less the hands in space."""
    clip = exact(name, roll_deg=roll_deg)
    _, stand = clip.stood()
    truth = clip.truth
    hands = [truth.frames.index("lead_wrist"), truth.frames.index("trail_wrist")]
    first_s = float(truth.frames.life_s[0])
    at = truth.frames.life_s <= first_s + 0.2
    above = truth.dials.camera.height_m - float(np.median(truth.frames.world_m[at][:, hands, 2]))
    body = clip.points.as_body()
    size = Size(clip.place.width_px, 1280)
    judged = filmed(
        {},
        clip.points,
        body.part(first_s, first_s + 0.2),
        clip.setting,
        stand,
        size,
        truth.view,
        until_s=float(body.times_s[-1]),
    )
    assert judged.above_hands_m is not None
    assert judged.above_hands_m.value == pytest.approx(above, abs=0.06)
    assert judged.club_out == 0
    assert codes(judged) == []


@pytest.mark.parametrize("azimuth_deg", [-45.0, -30.0, -15.0, 0.0, 15.0, 30.0, 45.0])
@pytest.mark.parametrize("name", ["face_on_neutral", "down_the_line_neutral"])
def test_the_bodys_lines_tell_where_the_camera_stands(name: str, azimuth_deg: float) -> None:
    """Points without an error; the golfer's own lines are a few degrees off the target line."""
    clip = exact(name, azimuth_deg=azimuth_deg)
    first_s = float(clip.points.times_s[0])
    address = clip.points.as_body().part(first_s, first_s + 0.2)
    judged = azimuth_by_lines(clip.points, address, clip.setting, clip.truth.view)
    assert judged is not None
    assert judged.value == pytest.approx(azimuth_deg, abs=6.0)
    unclear = view_unclear(None, None, judged)
    assert unclear == (abs(azimuth_deg) > 15.0)


def test_without_a_frame_of_the_address_no_line_is_read() -> None:
    clip = exact("face_on_neutral")
    body = clip.points.as_body()
    late = BodyTrack(body.frames, body.times_s + 100.0, body.xy, body.seen)
    assert azimuth_by_lines(clip.points, late, clip.setting, View.FACE_ON) is None


def test_a_clubhead_above_the_picture_is_counted() -> None:
    clip = exact("face_on_neutral")
    _, stand = clip.stood()
    body = clip.points.as_body()
    highest = float(clip.points.of(SwingPoint.HOSEL)[:, 1].min())
    lowered = clip.points.xy.copy()
    lowered[..., 1] -= highest + 200.0
    points = replace(clip.points, xy=lowered)
    end_s = float(body.times_s[-1])
    judged = filmed({}, points, body, clip.setting, stand, SIZE, View.FACE_ON, end_s)
    assert judged.club_out >= 3
    assert "club_cut_off" in codes(judged)
    assert filmed({}, None, body, clip.setting, None, SIZE, View.FACE_ON, end_s).club_out == 0


def _moved(body: BodyTrack, down_px: float) -> BodyTrack:
    xy = body.xy.copy()
    xy[..., 1] += down_px
    return BodyTrack(body.frames, body.times_s, xy, body.seen)


def test_feet_below_the_picture_are_told_when_clear_of_its_edge() -> None:
    body = exact("face_on_neutral").points.as_body()
    lowest = float(np.median(body.of(Joint.LEAD_TOE)[:, 1]))
    assert not person_out(body, SIZE)
    assert not person_out(_moved(body, SIZE.height - lowest - 5.0), SIZE)
    assert person_out(_moved(body, SIZE.height - lowest + 60.0), SIZE)


def _scene(contrast: float, soft: float = 0.0) -> np.ndarray:
    """Posts before a wall, 640 rows high."""
    picture = np.full((640, 360, 3), 20, dtype=np.uint8)

    for left in range(40, 340, 120):
        picture[60:600, left : left + 60] = round(20 + contrast)
    return cv2.GaussianBlur(picture, (0, 0), soft) if soft else picture


def test_dark_and_blurred_pictures_are_told_when_all_of_them_are() -> None:
    clear, dark, soft = _scene(180.0), _scene(10.0), _scene(180.0, 6.5)
    assert picture_problems([clear] * 3) == []
    assert [each.code for each in picture_problems([dark] * 3)] == ["picture_dark"]
    assert [each.code for each in picture_problems([soft] * 3)] == ["picture_blurred"]
    assert picture_problems([clear, dark, soft]) == []
    assert picture_problems([]) == []

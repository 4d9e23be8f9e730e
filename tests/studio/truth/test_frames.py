"""Each point where its own row sees it, and how long the clubhead smears: worked by hand."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from tests.studio.pose import Array, ClubPoint, Joint, Pose
from tests.studio.truth.contents import BALL
from tests.studio.truth.frames import Shutter, frame_truths, mirrored, through
from tests.studio.truth.stick import BALL_RADIUS_M, FACE_ON, Stick
from tests.studio.truth.track import Track

ROWS, WIDTH = 1000, 600


@dataclass(frozen=True, slots=True)
class Flat:
    """A picture 600 wide and 1000 high at 100 pixels a metre: x = 300 + 100 X, y = 1000 - 100 Z."""

    width: int = WIDTH
    height: int = ROWS

    def project(self, points: Array, time_s: float) -> Array:
        del time_s
        return np.stack([300 + 100 * points[..., 0], 1000 - 100 * points[..., 2]], axis=-1)


class Falling(Stick):
    """Everything of the club falls: Z = 8 - 5 t, 500 pixels a second down the picture."""

    def at(self, time_s: float) -> Pose:
        pose = Stick().at(time_s)
        place = np.array([0.0, 0.0, 8.0 - 5.0 * time_s])
        return replace(pose, club=dict.fromkeys(ClubPoint, place))


def frame_of(motion: Stick, shutter: Shutter, start_s: float) -> tuple[Array, float]:
    """Pixels (p, 2) and blur of one frame."""
    track = Track(motion, 0.0, 1.5)
    frames = frame_truths(track, Flat(), shutter, np.array([start_s]), np.array([0.0]))
    return frames.pixels[0], float(frames.blur_px[0])


HOSEL = len(Joint) + list(ClubPoint).index(ClubPoint.HOSEL)


def test_without_a_rolling_shutter_a_point_is_where_mid_exposure_finds_it() -> None:
    pixels, blur = frame_of(Falling(), Shutter(0.02, 0.0, ROWS), 0.5)
    assert pixels[HOSEL] == pytest.approx([300.0, 1000 - 100 * (8.0 - 5.0 * 0.51)])
    assert blur == pytest.approx(500 * 0.02)  # speed times exposure


def test_a_rolling_shutter_sees_each_point_in_its_own_rows_time() -> None:
    # y = 200 + 500 t and t = 0.5 + 0.01 + 0.1 y / 1000: y = (200 + 500 * 0.51) / (1 - 0.05).
    pixels, blur = frame_of(Falling(), Shutter(0.02, 0.1, ROWS), 0.5)
    assert pixels[HOSEL, 1] == pytest.approx((200 + 500 * 0.51) / 0.95, abs=1e-6)
    assert blur == pytest.approx(500 * 0.02)


def test_the_life_time_of_a_frame_is_its_middle_rows_mid_exposure() -> None:
    track = Track(Falling(), 0.0, 1.5)
    shutter = Shutter(0.02, 0.1, ROWS)
    frames = frame_truths(track, Flat(), shutter, np.array([0.5]), np.array([0.0]))
    assert frames.life_s[0] == pytest.approx(0.5 + 0.05 + 0.01)
    assert frames.world_m[0, HOSEL, 2] == pytest.approx(8.0 - 5.0 * 0.56)


def test_a_fast_clubhead_is_where_the_motion_itself_has_it_then() -> None:
    # On its way down the stick's clubhead does 20 m/s on an arc. Whatever row it is seen in, the motion
    # at that row's time must have it there.
    stick, shutter = Stick(), Shutter(1 / 500, 0.016, FACE_ON.height)
    track = Track(stick, 0.0, 3.0)
    start_s = 2.05
    frames = frame_truths(track, FACE_ON, shutter, np.array([start_s]), np.array([0.0]))
    seen = frames.pixels[0, HOSEL]
    then = start_s + seen[1] / FACE_ON.height * 0.016 + 1 / 1000
    expected = FACE_ON.project(stick.at(then).club[ClubPoint.HOSEL][None], then)[0]
    assert seen == pytest.approx(expected, abs=0.01)


def test_a_struck_ball_is_seen_on_its_own_path_not_on_a_polynomial() -> None:
    # The ball rests 0.0213 m up: row 997.87 of 1000, so its time is start + 0.1 * 0.99787 + 0.01; it
    # leaves at 0.55 s with 50 m/s along X, 5000 pixels a second.
    motion = Stick(struck_s=0.55)
    pixels, _ = frame_of(motion, Shutter(0.02, 0.1, ROWS), 0.5)
    row = 1000 - 100 * BALL_RADIUS_M
    seen_s = 0.5 + 0.1 * row / 1000 + 0.01
    assert pixels[-1] == pytest.approx([300 + 5000 * (seen_s - 0.55), row])


def test_a_ball_not_yet_struck_lies_still() -> None:
    pixels, _ = frame_of(Stick(), Shutter(0.02, 0.1, ROWS), 0.5)
    assert pixels[-1] == pytest.approx([300.0, 1000 - 100 * BALL_RADIUS_M])


def test_a_left_handers_film_is_the_mirror_image_and_space_stays() -> None:
    track = Track(Stick(), 0.0, 1.5)
    shutter = Shutter(0.02, 0.0, ROWS)
    frames = frame_truths(track, Flat(), shutter, np.array([0.5]), np.array([0.0]))
    left = mirrored(frames, WIDTH)
    assert left.track(BALL)[0] == pytest.approx([599 - 300.0, frames.track(BALL)[0, 1]])
    assert np.array_equal(left.world_m, frames.world_m)


def test_the_polynomial_goes_through_its_nodes_and_is_exact_for_its_degree() -> None:
    times = np.linspace(0.0, 1.0, 5)
    nodes = np.stack([times**4 - times, 2 * times**3], axis=-1)[:, None]
    at = through(times, nodes, np.array([0.37]))
    assert at[0] == pytest.approx([0.37**4 - 0.37, 2 * 0.37**3])

"""What the swing network is taught is true: places against the studio's own truth, names against the
network's, clips against those that are kept for looking.
"""

import cv2
import numpy as np
import pytest

from api.domain.names import Hand
from tests.studio.camera import StudioCamera
from tests.studio.guard import Set, set_of
from tests.studio.needs_gl import needs_gl
from tests.studio.sets import standard
from tests.studio.swing.motion import make_motion
from tests.studio.truth.frames import Shutter, frame_truths
from tests.studio.truth.track import Track
from tests.training.recipe import CANVAS, POINTS, _by_rows, _Cut, _world, learning_dials, samples_of
from worker.body.swing_network import SwingPoint


def test_the_network_names_its_points_in_the_recipes_order() -> None:
    assert [point.name.lower() for point in SwingPoint] == list(POINTS)


@pytest.mark.parametrize("index", [0, 1, 700])
def test_it_learns_from_right_handed_practice_clips_that_nobody_looks_at(index: int) -> None:
    dials = learning_dials(index)
    assert set_of(dials.seed) is Set.PRACTICE
    assert dials.seed not in {clip.seed for clip in standard(Set.PRACTICE)}
    assert dials.golfer.handed is Hand.RIGHT


@pytest.mark.parametrize("index", [2, 5])
def test_places_are_those_of_the_frames_own_truth(index: int) -> None:
    """Each point when its own row is exposed. Two pixels of 1280: straight lines between three times
    of the read-out stand for the truth's curve.
    """
    dials = learning_dials(index)
    motion, camera = make_motion(dials), StudioCamera(dials)
    starts = np.array([0.4, 1.2])
    track = Track(motion, 0.0, 1.6)
    truth = frame_truths(track, camera, Shutter.of(dials.film, camera.height), starts, starts)
    film = dials.film
    for row, start in enumerate(starts):
        shares = np.linspace(0.0, 1.0, 3)
        times = [float(t) for t in start + film.exposure_s / 2 + shares * film.rolling_shutter_s]
        seen = _by_rows(camera, [_world(motion.at(t)) for t in times], times)
        for name, place in zip(truth.points, truth.pixels[row], strict=True):
            assert seen[POINTS.index(name)] == pytest.approx(place, abs=2.0), name


def test_a_spot_in_the_cut_lies_where_its_label_says() -> None:
    dials = learning_dials(2)
    camera = StudioCamera(dials)
    frame = _Cut(camera, make_motion(dials).at(0.0))
    picture = np.zeros((camera.height, camera.width, 3), np.uint8)
    middle = np.array([camera.width // 2, camera.height // 2])
    cv2.circle(picture, (int(middle[0]), int(middle[1])), 8, (255, 255, 255), -1)
    gray = frame.cut(picture)[:, :, 0].astype(float)
    rows, columns = np.mgrid[0:CANVAS, 0:CANVAS]
    spot = np.array([(columns * gray).sum(), (rows * gray).sum()]) / gray.sum()
    assert frame.to_canvas(middle.astype(float)) == pytest.approx(spot, abs=0.2)


@needs_gl
def test_a_sample_shows_the_golfer_where_the_cover_is() -> None:
    (sample,) = samples_of(learning_dials(0), 1)
    assert sample.picture.shape == (CANVAS, CANVAS, 4)
    inside = sample.pixels[[POINTS.index("lead_hip"), POINTS.index("trail_knee")]]
    assert all(sample.picture[round(float(y)), round(float(x)), 3] > 200 for x, y in inside)

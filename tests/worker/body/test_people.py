import numpy as np
import pytest

from api.domain.errors import ClipRefused
from api.domain.refusals import RefusalCode
from worker.body.crops import Crop
from worker.body.detector import Person, anchors, letterbox, overlap
from worker.body.people import choose_golfer


def _person(x: float, side: float, score: float = 0.9) -> Person:
    return Person(score, Crop(x, 300.0, side), (x - 50, 100, x + 50, 500))


def test_nobody_in_view_is_refused() -> None:
    with pytest.raises(ClipRefused) as refusal:
        choose_golfer([[], [], []], 720, 1280)
    assert refusal.value.code == RefusalCode.NOBODY_IN_VIEW


def test_somebody_in_a_minority_of_frames_is_nobody() -> None:
    with pytest.raises(ClipRefused) as refusal:
        choose_golfer([[_person(360, 600)], [], []], 720, 1280)
    assert refusal.value.code == RefusalCode.NOBODY_IN_VIEW


def test_two_people_equally_close_are_refused() -> None:
    frames = [[_person(200, 600), _person(500, 560)] for _ in range(5)]
    with pytest.raises(ClipRefused) as refusal:
        choose_golfer(frames, 720, 1280)
    assert refusal.value.code == RefusalCode.SEVERAL_PEOPLE


def test_a_second_person_the_detector_sees_now_and_then_is_refused() -> None:
    """Side by side, the second of two golfers scored 0.41, 0.56, 0.94, 0.26 and nothing."""
    both = [[_person(160, 400), _person(480, 390, score)] for score in (0.41, 0.56, 0.94)]
    alone = [[_person(160, 400)]] * 2
    with pytest.raises(ClipRefused) as refusal:
        choose_golfer([*both, *alone], 640, 603)
    assert refusal.value.code == RefusalCode.SEVERAL_PEOPLE


def test_a_doubtful_second_figure_does_not_refuse_the_clip() -> None:
    frames = [[_person(360, 600), _person(600, 560, 0.35)] for _ in range(5)]
    assert all(p is not None and p.crop.x == 360 for p in choose_golfer(frames, 720, 1280))


def test_a_small_figure_in_the_distance_does_not_refuse_the_clip() -> None:
    frames = [[_person(60, 200, 0.95), _person(360, 600)] for _ in range(5)]
    chosen = choose_golfer(frames, 720, 1280)
    assert [p.crop.side for p in chosen if p] == [600.0] * 5


def test_a_passer_by_in_one_frame_does_not_refuse_the_clip() -> None:
    frames = [[_person(360, 600)] for _ in range(4)] + [[_person(360, 600), _person(650, 580)]]
    assert all(p is not None and p.crop.x == 360 for p in choose_golfer(frames, 720, 1280))


def test_anchors_are_the_centres_of_the_detectors_cells() -> None:
    table = anchors()
    assert table.shape == (2254, 2)
    assert table[0] == pytest.approx([4.0, 4.0])
    assert table[-1] == pytest.approx([208.0, 208.0])


def test_letterbox_keeps_the_shape_and_says_how_to_come_back() -> None:
    square, scale, left, top = letterbox(np.full((1280, 720, 3), 200, dtype=np.uint8))
    assert square.shape == (224, 224, 3)
    assert scale == pytest.approx(224 / 1280)
    assert (left, top) == (49.0, 0.0)
    assert square[100, 10].max() == 0
    assert square[100, 112].min() == 200


def test_overlap_of_boxes() -> None:
    assert overlap((0, 0, 2, 2), (1, 0, 3, 2)) == pytest.approx(1 / 3)
    assert overlap((0, 0, 1, 1), (2, 2, 3, 3)) == 0.0

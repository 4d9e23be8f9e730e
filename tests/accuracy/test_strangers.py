"""The independent renderer's clips in the report's terms."""

from pathlib import Path

import pytest

from api.domain.names import KeyframeId, View
from tests.accuracy.conventions import CONVENTIONS
from tests.accuracy.strangers import USUAL_PLACE, find_strangers, load_strangers
from tests.accuracy.truths import Absent, TrueInstant, TrueValue

clips_here = pytest.mark.skipif(
    not USUAL_PLACE.is_dir(), reason="the strangers' clips do not lie beside the repository"
)


def test_an_absent_folder_says_so(tmp_path: Path) -> None:
    found = find_strangers(tmp_path / "nowhere")
    assert isinstance(found, Absent)
    assert "nowhere" in found.reason


def test_an_empty_folder_is_not_a_set(tmp_path: Path) -> None:
    (tmp_path / "alone.mp4").write_bytes(b"")
    found = find_strangers(tmp_path)
    assert isinstance(found, Absent)
    assert "holds no clip" in found.reason


@clips_here
def test_all_ten_are_read_with_the_reading_of_their_view() -> None:
    clips = load_strangers(USUAL_PLACE)
    assert len(clips) == 10
    for clip in clips:
        (swing,) = clip.swings
        name = "lead_arm_shaft_angle" if clip.view is View.FACE_ON else "butt_end_inside"
        assert isinstance(swing.checkpoints[name], TrueValue)
        assert len(clip.points) == len(clip.frame_times_s)
        assert {"lead_shoulder", "lead_wrist", "butt", "clubhead", "ball"} <= clip.points[0].keys()


@clips_here
def test_the_butt_end_is_metres_over_their_own_grip() -> None:
    (clip,) = (clip for clip in load_strangers(USUAL_PLACE) if clip.name == "dev_dtl_lift")
    value = clip.swings[0].checkpoints["butt_end_inside"]
    assert isinstance(value, TrueValue)
    assert value.ideal == pytest.approx(0.428 / 0.265)
    assert value.actual == 1.65


@clips_here
def test_their_pause_is_a_stay() -> None:
    (clip,) = (clip for clip in load_strangers(USUAL_PLACE) if clip.name == "dev_fo_pause")
    at = clip.swings[0].instants[KeyframeId.LEAD_ARM_PARALLEL]
    assert isinstance(at, TrueInstant)
    assert at.to_s - at.from_s == pytest.approx(1.6)
    # The wrist does not move more than its sway while it lasts: 1 cm is some 3 pixels here.
    first, last = (clip.points[clip.nearest_frame(time)]["lead_wrist"] for time in (1.7, 3.1))
    assert first == pytest.approx(last, abs=5.0)


def test_every_convention_says_all_of_it() -> None:
    for one in CONVENTIONS:
        assert all([one.what, one.ours, one.theirs, one.difference, one.explained])

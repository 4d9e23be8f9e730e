import numpy as np
import pytest

from api.domain.measurement import ClipFacts, Missing, Swing
from api.domain.names import CheckpointId, View
from tests.worker.swing.moving import golfer
from worker.body.joints import BodyTrack, Joint
from worker.measure.seen import see, view_seen, withheld_if_contradicted
from worker.measure.tracks import tracks_to_json

FACTS = ClipFacts(720, 1280, 200, 3.3, 60.0, variable_rate=False, rotation_deg=0, has_audio=False)


def _still(shoulder_px: float) -> BodyTrack:
    times = np.arange(0.0, 0.6, 1 / 15)
    track = golfer(times, np.full(len(times), -75.0))
    track.xy[:, Joint.LEAD_SHOULDER, 0] = 300.0 + shoulder_px / 2
    track.xy[:, Joint.TRAIL_SHOULDER, 0] = 300.0 - shoulder_px / 2
    return track


@pytest.mark.parametrize(
    ("shoulder_px", "seen"), [(90.0, View.FACE_ON), (67.0, None), (15.0, View.DOWN_THE_LINE)]
)
def test_the_view_is_seen_from_the_width_of_the_shoulders(
    shoulder_px: float, seen: View | None
) -> None:
    assert view_seen(_still(shoulder_px)) is seen  # legs are 180 px


def test_a_view_that_contradicts_the_students_word_is_told() -> None:
    seen = see(_still(15.0), View.FACE_ON, FACTS, ())
    assert {problem.code for problem in seen.problems} == {"view_contradicts", "no_swing"}
    assert seen.azimuth_deg is None
    assert seen.roll_deg is None


def test_a_contradicted_view_withholds_every_reading() -> None:
    swing = Swing({}, {checkpoint: Missing("no shaft") for checkpoint in CheckpointId})
    seen = see(_still(15.0), View.FACE_ON, FACTS, (swing,))
    (judged,) = withheld_if_contradicted((swing,), seen)
    reasons = [reading for reading in judged.checkpoints.values() if isinstance(reading, Missing)]
    assert all("looks down-the-line" in reason.reason for reason in reasons)
    agreed = see(_still(90.0), View.FACE_ON, FACTS, (swing,))
    assert withheld_if_contradicted((swing,), agreed) == (swing,)


def test_tracks_as_json_use_names_and_frames_as_text() -> None:
    out = tracks_to_json({})
    assert out == {"schema": "fairlead.tracks/1", "frames": {}}

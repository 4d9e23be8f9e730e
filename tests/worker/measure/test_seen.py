import numpy as np
import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import ClipFacts, Estimate, Keyframe, Missing, Reading, Swing
from api.domain.names import Band, KeyframeId, Unit, View
from tests.worker.measure.exact_points import Exact, exact
from tests.worker.swing.moving import golfer
from worker.body.joints import BodyTrack, Joint
from worker.measure.ideal import Stand
from worker.measure.seen import (
    IN_ANY_VIEW,
    PLACE,
    plays_other_hand,
    see,
    view_seen,
    withheld_if_contradicted,
)
from worker.measure.tracks import tracks_to_json
from worker.swing.instants import Instant

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


def test_shoulders_taken_for_each_other_tell_no_view() -> None:
    """A square golfer's line seemed narrow where it was on its way from one side to the other."""
    flipped = _still(90.0)
    lead, trail = (flipped.xy[:, joint, 0] for joint in (Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER))
    lead[:], trail[:] = 300.0 + np.resize([45.0, 10.0, -15.0], len(lead)), 300.0
    trail[:] = 600.0 - lead
    assert view_seen(flipped) is None


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


UNCLEAR_PX = 60.0
"""A shoulder line of a third of the leg: neither view."""


def _time_and_angle() -> Swing:
    tempo = Reading(3.0, 0.1, 2.8, 3.2, Unit.RATIO, Band.GOOD, 5, {})
    angle = Reading(90.0, 2.0, 86.0, 94.0, Unit.DEGREES, Band.GOOD, 5, {})
    return Swing({}, {CheckpointId.TEMPO_RATIO: tempo, CheckpointId.LEAD_ARM_SHAFT_ANGLE: angle})


@pytest.mark.parametrize("declared", list(View))
def test_a_camera_between_the_views_is_told_and_only_times_are_read(declared: View) -> None:
    """An oblique camera got readings without a word: neither view was seen, so none was contradicted."""
    swing = _time_and_angle()
    seen = see(_still(UNCLEAR_PX), declared, FACTS, (swing,))
    assert seen.seen is None
    (told,) = seen.problems
    assert (told.code, told.severity) == ("view_unclear", "serious")
    assert PLACE[declared] in told.message
    (judged,) = withheld_if_contradicted((swing,), seen)
    kept = swing.checkpoints[CheckpointId.TEMPO_RATIO]
    assert judged.checkpoints[CheckpointId.TEMPO_RATIO] == kept
    withheld = judged.checkpoints[CheckpointId.LEAD_ARM_SHAFT_ANGLE]
    assert isinstance(withheld, Missing)
    assert "between the two views" in withheld.reason


def _after_a_finish() -> BodyTrack:
    """A second in a finish, hands up and shoulders turned away, then a broad address."""
    times = np.arange(0.0, 3.0, 1 / 15)
    track = golfer(times, np.where(times < 1.5, -200.0, -75.0))
    for joint, side in ((Joint.LEAD_SHOULDER, 1), (Joint.TRAIL_SHOULDER, -1)):
        track.xy[:, joint, 0] = 300.0 + side * np.where(times < 1.5, 7.0, 45.0)
    return track


def test_the_view_is_judged_where_a_swing_starts_and_not_where_the_film_does() -> None:
    swing = _time_and_angle()
    seen = see(_after_a_finish(), View.FACE_ON, FACTS, (swing,), starts_s=(2.5,))
    assert (seen.seen, seen.problems) == (View.FACE_ON, ())


def test_without_a_swing_or_an_address_nothing_is_said_of_the_view() -> None:
    """It said that only times were read, and that there was no swing."""
    seen = see(_after_a_finish(), View.FACE_ON, FACTS, ())
    assert (seen.seen, [told.code for told in seen.problems]) == (None, ["no_swing"])
    oblique = see(_still(UNCLEAR_PX), View.FACE_ON, FACTS, ())
    assert [told.code for told in oblique.problems] == ["no_swing"]


@pytest.mark.parametrize(("azimuth_deg", "told"), [(1.0, []), (-88.0, ["view_contradicts"])])
def test_lines_in_depth_settle_whether_narrow_shoulders_contradict(
    azimuth_deg: float, told: list[str]
) -> None:
    swing = _time_and_angle()
    azimuth = Estimate(azimuth_deg, 4.0)
    seen = see(_still(15.0), View.FACE_ON, FACTS, (swing,), azimuth=azimuth, starts_s=(0.5,))
    assert [problem.code for problem in seen.problems] == told


def test_narrow_shoulders_seen_squarely_are_no_camera_between_the_views() -> None:
    """A square clip would be withheld for its golfer's build: the body's lines in depth settle it."""
    swing = _time_and_angle()
    stand = Stand(Estimate(1.0, 1.9), Estimate(0.0, 0.7))
    square = see(_still(UNCLEAR_PX), View.FACE_ON, FACTS, (swing,), stand, Estimate(2.0, 4.0))
    assert square.problems == ()
    oblique = see(_still(90.0), View.FACE_ON, FACTS, (swing,), stand, Estimate(-34.0, 4.0))
    assert [problem.code for problem in oblique.problems] == ["view_unclear"]


def test_only_times_are_read_alike_from_anywhere() -> None:
    assert {
        CheckpointId.TEMPO_RATIO,
        CheckpointId.PAUSE_LENGTH,
        CheckpointId.FINISH_HOLD,
    } == IN_ANY_VIEW


@pytest.mark.parametrize(
    ("azimuth", "told"),
    [
        (Estimate(20.0, 1.9), "view_unclear"),
        (Estimate(-20.0, 1.9), "view_unclear"),
        (Estimate(18.0, 1.9), "camera_off_line"),
        (Estimate(20.0, 3.0), "camera_off_line"),
    ],
)
def test_a_camera_surely_farther_off_than_was_tried_is_between_the_views(
    azimuth: Estimate, told: str
) -> None:
    """Said once: a camera between the views is not told to be off its line as well."""
    swing = _time_and_angle()
    stand = Stand(azimuth, Estimate(0.0, 0.7))
    seen = see(_still(90.0), View.FACE_ON, FACTS, (swing,), stand)
    assert [problem.code for problem in seen.problems] == [told]
    (judged,) = withheld_if_contradicted((swing,), seen)
    withheld = isinstance(judged.checkpoints[CheckpointId.LEAD_ARM_SHAFT_ANGLE], Missing)
    assert withheld == (told == "view_unclear")


def test_tracks_as_json_use_names_and_frames_as_text() -> None:
    out = tracks_to_json({})
    assert out == {"schema": "fairlead.tracks/1", "frames": {}}


def mirrored(clip: Exact) -> BodyTrack:
    """A left-hander taken for a right-hander."""
    right = clip.points.as_body()
    xy = right.xy.copy()
    xy[..., 0] = clip.place.width_px - 1 - xy[..., 0]
    return BodyTrack(right.frames, right.times_s, xy, right.seen)


def swing_of(clip: Exact, *keys: KeyframeId) -> Swing:
    found: dict[KeyframeId, Keyframe | Missing] = {}
    for key in keys:
        at = clip.instants[key]
        assert isinstance(at, Instant)
        found[key] = Keyframe(at.time_s, at.sigma_s, 0)
    return Swing(found, {checkpoint: Missing("no shaft") for checkpoint in CheckpointId})


@pytest.mark.parametrize("name", ["face_on_neutral", "face_on_two_swings", "down_the_line_roll"])
def test_a_golfer_of_the_other_hand_is_noticed(name: str) -> None:
    """Joints of kept clips, as they are and mirrored. Mirrored, face-on, no backswing is found."""
    clip = exact(name)
    view = clip.truth.view
    swing = swing_of(clip, KeyframeId.ADDRESS)
    assert plays_other_hand(clip.points.as_body(), view, (swing,)) is False
    assert plays_other_hand(mirrored(clip), view, (swing,)) is True


def test_a_three_quarter_swing_is_no_swing_of_the_other_hand() -> None:
    """The hands first rise above the shoulders on the way through; the backswing was found all the same."""
    clip = exact("face_on_neutral")
    body = clip.points.as_body()
    impact = clip.instants[KeyframeId.IMPACT]
    assert isinstance(impact, Instant)
    xy = body.xy.copy()
    back = body.times_s < impact.time_s
    below = body.shoulders[:, 1] + 5.0
    xy[back, 15:23, 1] = np.maximum(xy[back, 15:23, 1], below[back, np.newaxis])
    low = BodyTrack(body.frames, body.times_s, xy, body.seen)
    assert plays_other_hand(low, View.FACE_ON, ()) is True
    assert plays_other_hand(low, View.FACE_ON, (swing_of(clip, KeyframeId.IMPACT),)) is False


def test_a_top_alone_may_be_the_mirror_image_of_a_held_finish() -> None:
    """Films of the wrong hand were measured, and a sure sway told, once a stay high up was a top."""
    clip = exact("face_on_neutral")
    top = swing_of(clip, KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP)
    assert plays_other_hand(mirrored(clip), View.FACE_ON, (top,)) is True
    assert plays_other_hand(clip.points.as_body(), View.FACE_ON, (top,)) is False


def test_where_nothing_was_found_from_behind_no_hand_is_told() -> None:
    clip = exact("down_the_line_roll")
    assert plays_other_hand(mirrored(clip), View.DOWN_THE_LINE, ()) is None


def test_the_wrong_hand_withholds_every_reading_and_says_what_to_check() -> None:
    clip = exact("down_the_line_roll")
    swing = swing_of(clip, KeyframeId.ADDRESS)
    seen = see(mirrored(clip), View.DOWN_THE_LINE, FACTS, (swing,))
    assert "hand_contradicts" in {problem.code for problem in seen.problems}
    (judged,) = withheld_if_contradicted((swing,), seen)
    reasons = {each.reason for each in judged.checkpoints.values() if isinstance(each, Missing)}
    assert len(reasons) == 1
    assert "other side" in reasons.pop()


@pytest.mark.parametrize(
    ("azimuth", "roll", "told"),
    [
        (Estimate(2.0, 1.5), Estimate(0.5, 0.7), set()),
        (Estimate(12.0, 1.8), Estimate(0.5, 0.7), {"camera_off_line"}),
        (Estimate(-12.0, 1.8), Estimate(5.0, 0.7), {"camera_off_line", "camera_not_level"}),
        (Estimate(7.0, 3.0), Estimate(2.5, 0.7), set()),
    ],
)
def test_a_camera_off_its_place_is_told_only_when_clear(
    azimuth: Estimate, roll: Estimate, told: set[str]
) -> None:
    swing = Swing({}, {})
    seen = see(_still(90.0), View.FACE_ON, FACTS, (swing,), Stand(azimuth, roll))
    assert {problem.code for problem in seen.problems} == told
    assert seen.azimuth_deg == azimuth

"""From truth files of the studio to the report's terms."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.names import Hand, KeyframeId, View
from tests.accuracy import studio_truth, truths
from tests.accuracy.studio_truth import factors_of, girth_of, key_of
from tests.accuracy.truths import TrueInstant
from tests.studio.dials import ClipDials, FilmDials, GolferDials, SwingDials
from tests.studio.truth.contents import Frames, InstantTruth, SwingTruth
from tests.studio.truth.names import Sight, TruthId, Unit
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.when import Absent

LAP = KeyframeId.LEAD_ARM_PARALLEL.value
ANGLE = CheckpointTruth(
    TruthId.LEAD_ARM_SHAFT_ANGLE, LAP, "", Unit.DEGREES, Sight.IDEAL, 90.0, 92.0, 95.0
)


@pytest.mark.parametrize(
    ("checkpoint", "key"),
    [
        (ANGLE, "lead_arm_shaft_angle"),
        (replace(ANGLE, at="top"), "lead_arm_shaft_angle_at_top"),
        (replace(ANGLE, at="address"), "lead_arm_shaft_angle at address"),
        (replace(ANGLE, part="from the grip"), f"lead_arm_shaft_angle at {LAP}, from the grip"),
        (replace(ANGLE, id=TruthId.TEMPO_RATIO, at=""), "tempo_ratio"),
        (replace(ANGLE, id=TruthId.SHAFT_PITCH, at="address"), "shaft_pitch_at_address"),
        (replace(ANGLE, id=TruthId.SHAFT_PITCH, at="delivery"), "shaft_pitch_at_delivery"),
        (
            replace(ANGLE, id=TruthId.SHAFT_PITCH, at="hands_past_trail_leg"),
            "shaft_pitch at hands_past_trail_leg",
        ),
        (
            replace(ANGLE, id=TruthId.SPINE_TILT, at="top", part="change"),
            "spine_tilt_change_at_top",
        ),
        (
            replace(ANGLE, id=TruthId.CLUBHEAD_INSIDE_EARLY, at="shaft_level_back"),
            "clubhead_inside_early",
        ),
    ],
)
def test_only_the_number_a_reading_means_has_the_plain_id(
    checkpoint: CheckpointTruth, key: str
) -> None:
    assert key_of(checkpoint) == key


def test_the_value_is_the_defined_sights() -> None:
    swing = SwingTruth({}, {}, (ANGLE,))
    ideal = studio_truth._swing(swing).checkpoints["lead_arm_shaft_angle"]
    assert ideal == truths.TrueValue(90.0, 92.0)
    butt = replace(ANGLE, id=TruthId.BUTT_END_INSIDE, defined=Sight.SPACE, actual=Absent("no ball"))
    space = studio_truth._swing(SwingTruth({}, {}, (butt,))).checkpoints["butt_end_inside"]
    assert space == truths.TrueValue(95.0, None)


def test_a_value_that_is_none_keeps_its_reason() -> None:
    none = replace(ANGLE, ideal=Absent("no ground hit"))
    swing = studio_truth._swing(SwingTruth({}, {}, (none,)))
    assert swing.checkpoints["lead_arm_shaft_angle"] == truths.Absent("no ground hit")


def test_instants_are_on_the_files_clock_with_their_stay() -> None:
    at = InstantTruth(life_s=1.0, file_s=4.0, from_file_s=4.0, to_file_s=6.0)
    swing = SwingTruth({KeyframeId.TOP: at, KeyframeId.IMPACT: Absent("stops")}, {}, ())
    instants = studio_truth._swing(swing).instants
    assert instants[KeyframeId.TOP] == TrueInstant(4.0, 4.0, 6.0)
    assert instants[KeyframeId.IMPACT] == truths.Absent("stops")


def test_points_behind_the_lens_are_left_out() -> None:
    pixels = np.array([[[1.0, 2.0], [np.nan, np.nan]]])
    frames = Frames(
        ("hosel", "butt"), np.zeros(1), np.zeros(1), np.zeros((1, 2, 3)), pixels, np.zeros(1)
    )
    assert studio_truth._points(frames, 0) == {"clubhead": (1.0, 2.0)}


def test_dials_become_factors() -> None:
    dials = ClipDials(
        "c",
        1,
        golfer=GolferDials(girth=1.1, handed=Hand.LEFT),
        swing=SwingDials(swings=2),
        film=FilmDials(fps=240.0, slow_motion=8.0, exposure_s=0.001),
    )
    factors = factors_of(dials)
    assert (factors.frame_rate, factors.exposure_s, factors.build) == (240.0, 0.001, "man")
    assert factors.dials["girth"] == "broad"
    assert factors.dials["handed"] == "left"
    assert factors.dials["file"] == "slowed"
    assert factors.dials["swing"] == "several in a file"
    assert girth_of(GolferDials(girth=0.9)) == "slim"
    assert dials.camera.view is View.FACE_ON

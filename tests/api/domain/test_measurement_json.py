"""What is written can be read again, exactly; what does not fit is refused at its place."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.domain.checkpoint_ids import CheckpointId
from api.domain.errors import Invalid
from api.domain.measurement import (
    ClipFacts,
    Estimate,
    Finding,
    Keyframe,
    Measurement,
    Missing,
    Problem,
    Reading,
    Seen,
    Swing,
)
from api.domain.measurement_json import (
    from_json,
    reading_from_json,
    reading_to_json,
    to_json,
)
from api.domain.names import Band, KeyframeId, PointName, Unit, View

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
COUNTS = st.integers(0, 10**6)
TEXTS = st.text(max_size=20)
MISSING = st.builds(Missing, TEXTS)
READINGS = st.builds(
    Reading,
    value=NUMBERS,
    sigma=NUMBERS,
    low=NUMBERS,
    high=NUMBERS,
    unit=st.sampled_from(Unit),
    band=st.sampled_from(Band),
    frame=COUNTS,
    points=st.dictionaries(st.sampled_from(PointName), st.tuples(NUMBERS, NUMBERS), max_size=3),
    inputs=st.dictionaries(TEXTS, NUMBERS, max_size=3),
)
SWINGS = st.builds(
    Swing,
    keyframes=st.dictionaries(
        st.sampled_from(KeyframeId), st.builds(Keyframe, NUMBERS, NUMBERS, COUNTS) | MISSING
    ),
    checkpoints=st.dictionaries(st.sampled_from(CheckpointId), READINGS | MISSING),
    findings=st.lists(
        st.builds(
            Finding,
            TEXTS,
            st.booleans(),
            st.lists(st.sampled_from(CheckpointId), max_size=2).map(tuple),
        ),
        max_size=2,
    ).map(tuple),
)
MEASUREMENTS = st.builds(
    Measurement,
    clip=st.builds(
        ClipFacts, COUNTS, COUNTS, COUNTS, NUMBERS, NUMBERS, st.booleans(), COUNTS, st.booleans()
    ),
    view=st.builds(
        Seen,
        st.sampled_from(View),
        st.none() | st.sampled_from(View),
        st.none() | st.builds(Estimate, NUMBERS, NUMBERS),
        st.none() | st.builds(Estimate, NUMBERS, NUMBERS),
        st.lists(st.builds(Problem, TEXTS, TEXTS, TEXTS), max_size=2).map(tuple),
    ),
    swings=st.lists(SWINGS, max_size=2).map(tuple),
    timing=st.dictionaries(TEXTS, NUMBERS, max_size=3),
    pipeline=TEXTS,
    models=st.dictionaries(TEXTS, TEXTS, max_size=2),
)

READING = Reading(
    value=91.5,
    sigma=3.5,
    low=84.6,
    high=98.4,
    unit=Unit.DEGREES,
    band=Band.GOOD,
    frame=123,
    points={PointName.LEAD_SHOULDER: (500.0, 300.0)},
    inputs={"sigma_view": 2.0},
)
MEASUREMENT = Measurement(
    clip=ClipFacts(
        1080, 1920, 360, 6.0, 59.94, variable_rate=False, rotation_deg=90, has_audio=True
    ),
    view=Seen(
        View.FACE_ON, None, Estimate(2.0, 3.0), None, (Problem("roll", "info", "Level it."),)
    ),
    swings=(
        Swing(
            {KeyframeId.TOP: Keyframe(1.5, 0.004, 90), KeyframeId.FINISH: Missing("cut off")},
            {
                CheckpointId.LEAD_ARM_SHAFT_ANGLE: READING,
                CheckpointId.BUTT_END_INSIDE: Missing("other view"),
            },
            (Finding("under_set", sure=False, because=(CheckpointId.LEAD_ARM_SHAFT_ANGLE,)),),
        ),
    ),
    timing={"total_s": 4.2},
    pipeline="1",
    models={"body": "ab12"},
)


@given(MEASUREMENTS)
def test_a_measurement_comes_back_through_text(measurement: Measurement) -> None:
    text = json.dumps(to_json(measurement), allow_nan=False)

    assert from_json(json.loads(text)) == measurement


def test_the_shape_is_the_published_one() -> None:
    assert to_json(MEASUREMENT) == {
        "schema": "fairlead.measurement/1",
        "clip": {
            "width": 1080,
            "height": 1920,
            "frames": 360,
            "duration_s": 6.0,
            "frame_rate": 59.94,
            "variable_rate": False,
            "rotation_deg": 90,
            "has_audio": True,
        },
        "view": {
            "declared": "face-on",
            "seen": None,
            "azimuth_deg": {"value": 2.0, "sigma": 3.0},
            "roll_deg": None,
            "problems": [{"code": "roll", "severity": "info", "message": "Level it."}],
        },
        "swings": [
            {
                "keyframes": {
                    "top": {"time_s": 1.5, "sigma_s": 0.004, "frame": 90},
                    "finish": {"missing": "cut off"},
                },
                "checkpoints": {
                    "lead_arm_shaft_angle": {
                        "value": 91.5,
                        "sigma": 3.5,
                        "low": 84.6,
                        "high": 98.4,
                        "unit": "deg",
                        "band": "good",
                        "frame": 123,
                        "points": {"lead_shoulder": [500.0, 300.0]},
                        "inputs": {"sigma_view": 2.0},
                    },
                    "butt_end_inside": {"missing": "other view"},
                },
                "findings": [
                    {"code": "under_set", "sure": False, "because": ["lead_arm_shaft_angle"]}
                ],
            }
        ],
        "timing": {"total_s": 4.2},
        "made_by": {"pipeline": "1", "models": {"body": "ab12"}},
    }


@pytest.mark.parametrize("broken", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("place", ["value", "sigma", "low", "high", "points", "inputs"])
def test_no_number_that_is_none_is_written(place: str, broken: float) -> None:
    worth: Any = broken
    if place == "points":
        worth = {PointName.BALL: (0.0, broken)}
    if place == "inputs":
        worth = {"sigma_view": broken}

    with pytest.raises(ValueError, match="no measurement may hold"):
        reading_to_json(replace(READING, **{place: worth}))


def test_a_reading_comes_back_alone() -> None:
    assert reading_from_json(reading_to_json(READING)) == READING
    assert reading_from_json(reading_to_json(Missing("why"))) == Missing("why")


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda data: data.update(schema="other/9"), "measurement.schema"),
        (lambda data: data.pop("clip"), "measurement.clip is missing"),
        (lambda data: data["clip"].update(width=10.5), "measurement.clip.width must be a whole"),
        (lambda data: data["clip"].update(width=True), "measurement.clip.width must be a whole"),
        (lambda data: data["clip"].update(has_audio=1), "has_audio must be true or false"),
        (lambda data: data["clip"].update(duration_s="6"), "duration_s must be a number"),
        (lambda data: data["clip"].update(duration_s=math.nan), "duration_s must be a finite"),
        (lambda data: data["clip"].update(duration_s=10**400), "duration_s must be a finite"),
        (lambda data: data["view"].update(declared="above"), "declared must be a known name"),
        (lambda data: data["view"].update(problems={}), "problems must be a list"),
        (lambda data: data.update(timing=[]), "measurement.timing must be an object"),
        (lambda data: data["swings"][0]["keyframes"].update(lunch={}), "lunch must be a known"),
        (
            lambda data: data["swings"][0]["checkpoints"]["lead_arm_shaft_angle"]["points"].update(
                ball=[1, 2, 3]
            ),
            r"measurement.swings\[0\].checkpoints.lead_arm_shaft_angle.points.ball must be \[x, y\]",
        ),
        (lambda data: data["made_by"].update(models={"a": 1}), "models.a must be text"),
    ],
)
def test_what_does_not_fit_is_refused_at_its_place(
    change: Callable[[Any], object], place: str
) -> None:
    data = to_json(MEASUREMENT)
    change(data)

    with pytest.raises(Invalid, match=place):
        from_json(data)


@pytest.mark.parametrize("nonsense", [None, [], 3, "text"])
def test_what_is_no_object_at_all_is_refused(nonsense: object) -> None:
    with pytest.raises(Invalid, match="must be an object"):
        from_json(nonsense)

"""Numbers in words agree with the interval that stands beside them."""

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Keyframe, Missing, Reading
from api.domain.names import Band, KeyframeId, Unit
from worker.picture.strokes import text_size, wrap
from worker.picture.words import sentences, title, value_words

ANGLE = CheckpointId.LEAD_ARM_SHAFT_ANGLE
BUTT_END = CheckpointId.BUTT_END_INSIDE


def angle(value: float, low: float, high: float, band: Band = Band.GOOD) -> Reading:
    return Reading(value, 1.0, low, high, Unit.DEGREES, band, 5, {})


def grips(value: float, low: float, high: float) -> Reading:
    return Reading(value, 0.2, low, high, Unit.GRIP_LENGTHS, Band.TOO_CLOSE, 5, {})


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        (angle(92.4, 86.3, 98.5), "92° ± 6"),
        (angle(85.02, 76.78, 93.26), "85° ± 8"),
        (angle(92.4, 92.3, 92.5), "92° ± 1"),
        (angle(175.0, 160.0, 180.0), "175° ± 15"),
        (grips(-0.06, -0.59, 0.46), "−0.1 ± 0.5 grip lengths"),  # noqa: RUF001 - a minus sign is meant
        (grips(-0.04, -0.24, 0.16), "0.0 ± 0.2 grip lengths"),
    ],
)
def test_the_half_interval_is_rounded_to_the_nearest_and_never_to_nought(
    reading: Reading, words: str
) -> None:
    assert value_words(reading) == words


@pytest.mark.parametrize(
    ("band", "start"),
    [
        (Band.GOOD, "On target (80 to 100°)."),
        (Band.WATCH, "Just off target (80 to 100°)."),
        (Band.OUTSIDE, "Off target (80 to 100°)."),
        (Band.TOO_CLOSE, "Too close to call (target 80 to 100°)."),
    ],
)
def test_each_band_is_a_sentence(band: Band, start: str) -> None:
    head, judged = sentences(ANGLE, angle(92.0, 86.0, 98.0, band))
    assert head == "Lead arm to shaft angle: 92° ± 6"
    assert judged == f"{start} 19 times in 20 between 86 and 98°."


def test_no_reading_gives_the_reason() -> None:
    assert sentences(BUTT_END, Missing("The ball is hidden.")) == [
        "Where the grip end points: no reading",
        "The ball is hidden.",
    ]


def test_an_instant_has_a_name_and_a_time() -> None:
    assert title(KeyframeId.TOP, Keyframe(1.734, 0.01, 104)) == "Top, at 1.73 s"


def test_wrapped_lines_fit_and_lose_no_word() -> None:
    words = "The line through the grip end does not reach the ground: the shaft is level."
    lines = wrap(words, 20, 200)
    assert " ".join(lines) == words
    assert all(text_size(line, 20)[0] <= 200 for line in lines)
    assert wrap("", 20, 200) == []

"""A clip proves a drill only by what was seen on it and is clear of the limits."""

from collections.abc import Mapping

import pytest

from api.domain.bands import Bands
from api.domain.drill_library import DRILLS
from api.domain.drills import Drill
from api.domain.measurement import Missing, Reading
from api.domain.names import CheckpointId
from api.domain.proof import Verdict, prove
from tests.api.domain.test_findings import reading

ANGLE, PAUSE = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.PAUSE_LENGTH
STOP = DRILLS["stop-and-look"]


def verdicts(
    readings: Mapping[CheckpointId, Reading | Missing], **asked: object
) -> dict[str, Verdict]:
    found = prove(STOP, readings, **asked)  # type: ignore[arg-type]  # named by the test
    return {one.checkpoint.value: one.verdict for one in found}


@pytest.mark.parametrize(
    ("value", "sigma", "verdict"),
    [
        (90.0, 3.0, Verdict.MET),
        (98.0, 3.0, Verdict.TOO_CLOSE),
        (102.0, 3.0, Verdict.TOO_CLOSE),
        (120.0, 3.0, Verdict.NOT_MET),
        (60.0, 3.0, Verdict.NOT_MET),
    ],
)
def test_the_angle_must_be_clearly_in_its_target(
    value: float, sigma: float, verdict: Verdict
) -> None:
    assert verdicts({ANGLE: reading(ANGLE, value, sigma)})[ANGLE] is verdict


@pytest.mark.parametrize(
    ("held_s", "verdict"),
    [(2.4, Verdict.MET), (1.7, Verdict.MET), (1.62, Verdict.TOO_CLOSE), (1.0, Verdict.NOT_MET)],
)
def test_four_fifths_of_the_asked_pause_are_enough(held_s: float, verdict: Verdict) -> None:
    assert STOP.dose.pause_s == 2.0
    assert verdicts({PAUSE: reading(PAUSE, held_s, 0.02)})[PAUSE] is verdict


def test_the_assignments_own_pause_and_the_students_own_bands_rule() -> None:
    seen = {PAUSE: reading(PAUSE, 1.0, 0.02), ANGLE: reading(ANGLE, 70.0, 1.0)}
    own = {ANGLE: Bands(watch_low=55, good_low=65, good_high=75, watch_high=85)}
    assert verdicts(seen, pause_s=1.0, bands=own) == {
        ANGLE: Verdict.MET,
        PAUSE: Verdict.MET,
    }
    assert verdicts(seen)[ANGLE] is Verdict.NOT_MET


def test_what_was_not_seen_proves_nothing_and_says_why() -> None:
    (angle, pause) = prove(STOP, {ANGLE: Missing("The shaft could not be found.")})
    assert (angle.verdict, angle.why) == (Verdict.NOT_SEEN, "The shaft could not be found.")
    assert pause.verdict is Verdict.NOT_SEEN


@pytest.mark.parametrize("drill", DRILLS.values(), ids=lambda drill: drill.id)
def test_every_drill_of_the_library_can_be_asked(drill: Drill) -> None:
    assert len(prove(drill, {})) >= len(drill.checks)

"""A clip proves a drill only by what was seen on it and is clear of the limits."""

from collections.abc import Mapping
from dataclasses import replace

import pytest

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.drill_library import DRILLS
from api.domain.drills import Drill
from api.domain.measurement import Estimate, Missing, Reading
from api.domain.names import KeyframeId
from api.domain.picture_formulas import CUT_OFF
from api.domain.proof import (
    FILM_ON,
    HINGE_HANDS,
    HINGE_SHAFT,
    NO_CLUB_IN_STOP,
    NO_HINGE,
    NO_PLACE,
    NO_STOP,
    PLAYS_SLOWLY,
    SLOW_COUNTED,
    STAY_ARM,
    STILL_HELD,
    Part,
    Proof,
    Verdict,
    prove,
    stay_from,
    stay_length,
    with_sigma,
)
from tests.api.domain.test_findings import reading

ANGLE, PAUSE = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.PAUSE_LENGTH
FINISH = CheckpointId.FINISH_HOLD
STOP, HINGE = DRILLS["stop-and-look"], DRILLS["diagonal-hinge"]
LEVEL = KeyframeId.LEAD_ARM_PARALLEL


def stopped(held_s: float, seen: Mapping[str, Estimate] | None = None) -> Reading:
    """A pause with what was seen of it, by the names of its inputs; with the lead arm level unless told."""
    place = seen or {stay_from(LEVEL): Estimate(0.0, 0.02)}
    inputs = {
        key: value for name, one in place.items() for key, value in with_sigma(name, one).items()
    }
    return replace(reading(PAUSE, held_s, 0.02), inputs=inputs)


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
    assert verdicts({PAUSE: stopped(held_s)})[PAUSE] is verdict


def test_the_assignments_own_pause_and_the_students_own_bands_rule() -> None:
    seen = {PAUSE: stopped(1.0), ANGLE: reading(ANGLE, 70.0, 1.0)}
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


class TestWhatAPauseIsOf:
    """Every pause a coach chose was asked as a stop in the swing."""

    @pytest.mark.parametrize("pause_s", [None, 6.0])
    def test_a_held_finish_is_asked_of_the_finish(self, pause_s: float | None) -> None:
        """Held for six seconds without a stop it was "not met"; given up at once after a stop it was "met"."""
        drill = DRILLS["finish-and-hold"]
        held = {PAUSE: reading(PAUSE, 0.1, 0.02), FINISH: reading(FINISH, 6.0, 0.1)}
        dropped = {PAUSE: reading(PAUSE, 6.0, 0.02), FINISH: reading(FINISH, 0.1, 0.02)}
        (met,), (not_met,) = (prove(drill, seen, pause_s=pause_s) for seen in (held, dropped))
        assert (met.checkpoint, met.verdict, met.where) == (FINISH, Verdict.MET, None)
        assert not_met.verdict is Verdict.NOT_MET

    def test_two_seconds_of_the_usual_count_of_three_are_still(self) -> None:
        """As the drill itself says of the next clip."""
        drill = DRILLS["finish-and-hold"]
        (one,) = prove(drill, {FINISH: reading(FINISH, 2.3, 0.1)})
        assert one.verdict is Verdict.MET
        assert one.least == pytest.approx(2.0)
        assert "two seconds" in drill.next_clip

    @pytest.mark.parametrize(
        ("held_s", "cut_off", "verdict", "why"),
        [
            (3.0, 1.0, Verdict.MET, STILL_HELD),
            (3.0, 0.0, Verdict.MET, ""),
            (1.0, 1.0, Verdict.NOT_SEEN, FILM_ON),
            (2.0, 1.0, Verdict.NOT_SEEN, FILM_ON),
            (1.0, 0.0, Verdict.NOT_MET, ""),
        ],
    )
    def test_a_film_that_ends_too_soon_shows_no_finish_that_is_too_short(
        self, held_s: float, cut_off: float, verdict: Verdict, why: str
    ) -> None:
        seen = replace(reading(FINISH, held_s, 0.1), inputs={CUT_OFF: cut_off})
        (one,) = prove(DRILLS["finish-and-hold"], {FINISH: seen})
        assert (one.verdict, one.why) == (verdict, why)

    @pytest.mark.parametrize(
        "key", ["press-then-go", "wall-at-the-hip", "wall-behind-you", "trail-hand-set"]
    )
    @pytest.mark.parametrize("pause_s", [None, 4.0])
    def test_a_pause_that_no_clip_can_show_is_not_asked(
        self, key: str, pause_s: float | None
    ) -> None:
        asked = prove(DRILLS[key], {PAUSE: reading(PAUSE, 0.1, 0.02)}, pause_s=pause_s)
        assert [one.checkpoint for one in asked] == list(DRILLS[key].checks)

    def test_no_pause_asks_for_none(self) -> None:
        assert prove(DRILLS["finish-and-hold"], {}, pause_s=0.0) == ()


class TestSlowSwing:
    """Seconds of a swing that plays slowly are there only where the student said that it is slow."""

    @pytest.mark.parametrize(
        ("held_s", "verdict", "why"),
        [(2.4, Verdict.MET, SLOW_COUNTED), (1.0, Verdict.NOT_MET, "")],
    )
    def test_what_speaks_for_the_student_says_that_the_film_was_believed(
        self, held_s: float, verdict: Verdict, why: str
    ) -> None:
        seen = stopped(held_s)
        found = pause_proof(replace(seen, inputs={**seen.inputs, PLAYS_SLOWLY: 1.0}))
        assert (found.verdict, found.why) == (verdict, why)


class TestPosition:
    """C12: the pause begins within a quarter of a second of the position that was asked for."""

    @pytest.mark.parametrize(
        ("off_s", "verdict"),
        [
            (0.0, Verdict.MET),
            (0.15, Verdict.MET),
            (-0.15, Verdict.MET),
            (0.24, Verdict.TOO_CLOSE),
            (0.6, Verdict.NOT_MET),
            (-0.6, Verdict.NOT_MET),
        ],
    )
    def test_a_stop_somewhere_else_is_not_the_stop_that_was_asked(
        self, off_s: float, verdict: Verdict
    ) -> None:
        """A stop of two seconds at the top was taken for one with the lead arm level."""
        found = pause_proof(stopped(2.4, {stay_from(LEVEL): Estimate(off_s, 0.03)}))
        assert (found.verdict, found.where) == (verdict, LEVEL)
        assert bool(found.why) is (verdict is not Verdict.MET)

    def test_the_student_is_told_where_it_was(self) -> None:
        late = {stay_from(LEVEL): Estimate(0.62, 0.03), STAY_ARM: Estimate(38.4, 3.0)}
        assert pause_proof(stopped(2.4, late)).why == (
            "The stop came 0.6 seconds after your lead arm was level. "
            "The arm stood about 38 degrees above level in it."
        )

    @pytest.mark.parametrize(
        ("length_s", "verdict"),
        [(1.6, Verdict.MET), (1.05, Verdict.TOO_CLOSE), (0.7, Verdict.NOT_MET)],
    )
    def test_a_shorter_stop_there_is_judged_by_its_own_length(
        self, length_s: float, verdict: Verdict
    ) -> None:
        """A longer one at the top hid it."""
        there = {
            stay_from(LEVEL): Estimate(0.0, 0.03),
            stay_length(LEVEL): Estimate(length_s, 0.03),
        }
        found = prove(STOP, {PAUSE: stopped(2.4, there)}, pause_s=1.3)
        one = next(one for one in found if one.checkpoint is PAUSE)
        assert (one.verdict, one.value) == (verdict, length_s)

    def test_a_place_that_was_not_seen_proves_nothing(self) -> None:
        found = pause_proof(reading(PAUSE, 2.4, 0.02))
        assert (found.verdict, found.why) == (Verdict.NOT_SEEN, NO_PLACE)
        assert pause_proof(reading(PAUSE, 1.0, 0.02)).verdict is Verdict.NOT_MET

    @pytest.mark.parametrize(
        ("arm_deg", "verdict"),
        [(-4.0, Verdict.MET), (-14.0, Verdict.TOO_CLOSE), (-40.0, Verdict.NOT_MET)],
    )
    def test_an_arm_that_never_got_level_is_told_by_its_slope(
        self, arm_deg: float, verdict: Verdict
    ) -> None:
        seen = {STAY_ARM: Estimate(arm_deg, 3.0)}
        assert pause_proof(stopped(2.4, seen)).verdict is verdict

    def test_a_drill_without_a_named_position_asks_for_none(self) -> None:
        found = prove(DRILLS["ten-and-five"], {PAUSE: reading(PAUSE, 2.4, 0.02)})[-1]
        assert (found.verdict, found.where) == (Verdict.MET, None)


class TestHinge:
    """The stop with the shaft at 45 degrees, from the stay itself."""

    @pytest.mark.parametrize(
        ("shaft_deg", "verdict"),
        [
            (20.0, Verdict.NOT_MET),
            (45.0, Verdict.MET),
            (53.0, Verdict.TOO_CLOSE),
            (70.0, Verdict.NOT_MET),
        ],
    )
    def test_a_stop_at_another_slope_shows(self, shaft_deg: float, verdict: Verdict) -> None:
        """It was read where the shaft first passed 45 degrees, which it does in every swing."""
        (found,) = hinge_proofs(stopped(3.0, {HINGE_SHAFT: Estimate(shaft_deg, 2.0)}))
        assert (found.part, found.unit.value, found.verdict) == (Part.SHAFT, "deg", verdict)
        assert (found.least, found.most, found.value) == (35.0, 55.0, shaft_deg)

    def test_without_a_stop_or_a_club_it_says_so(self) -> None:
        assert hinge_proofs(reading(PAUSE, 0.0, 0.02))[0].why == NO_STOP
        assert hinge_proofs(reading(PAUSE, 3.0, 0.02))[0].why == NO_CLUB_IN_STOP
        assert hinge_proofs(Missing("Dark."))[0].why == "Dark."

    @pytest.mark.parametrize(
        ("hands", "verdict"),
        [(0.05, Verdict.MET), (0.28, Verdict.TOO_CLOSE), (0.9, Verdict.NOT_MET)],
    )
    def test_a_face_on_clip_shows_the_hands_too(self, hands: float, verdict: Verdict) -> None:
        seen = {HINGE_SHAFT: Estimate(45.0, 2.0), HINGE_HANDS: Estimate(hands, 0.05)}
        _, found = hinge_proofs(stopped(3.0, seen))
        assert (found.part, found.unit.value, found.verdict) == (Part.VALUE, "shoulder", verdict)

    def test_hands_are_not_judged_where_the_club_was_elsewhere(self) -> None:
        seen = {HINGE_SHAFT: Estimate(70.0, 2.0), HINGE_HANDS: Estimate(0.0, 0.05)}
        _, found = hinge_proofs(stopped(3.0, seen))
        assert (found.verdict, found.why) == (Verdict.NOT_SEEN, NO_HINGE)


def pause_proof(pause: Reading | Missing) -> Proof:
    return next(one for one in prove(STOP, {PAUSE: pause}) if one.checkpoint is PAUSE)


def hinge_proofs(pause: Reading | Missing) -> list[Proof]:
    hands = CheckpointId.HANDS_OVER_TRAIL_SHOULDER
    return [one for one in prove(HINGE, {PAUSE: pause}) if one.checkpoint is hands]

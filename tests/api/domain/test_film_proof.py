"""A drill is proved by all swings of all clips: no part borrowed from another swing, no denial lost in a join."""

from dataclasses import replace

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.drill_library import DRILLS
from api.domain.film_proof import (
    IN_ANOTHER_SWING,
    NO_STOP_ASKED,
    NOT_IN_SWING,
    ClipOfSwings,
    FilmProof,
    Readings,
    prove_film,
)
from api.domain.measurement import Estimate, Missing
from api.domain.names import KeyframeId, Purpose, View
from api.domain.proof import HINGE_HANDS, HINGE_SHAFT, Part, Verdict, stay_from
from tests.api.domain.test_findings import reading
from tests.api.domain.test_proof import stopped

ANGLE, PAUSE = CheckpointId.LEAD_ARM_SHAFT_ANGLE, CheckpointId.PAUSE_LENGTH
BUTT_END, FINISH = CheckpointId.BUTT_END_INSIDE, CheckpointId.FINISH_HOLD
HANDS = CheckpointId.HANDS_OVER_TRAIL_SHOULDER
LEVEL = stay_from(KeyframeId.LEAD_ARM_PARALLEL)
FRONT, BEHIND = View.FACE_ON, View.DOWN_THE_LINE
UPRIGHT, WIDE = reading(ANGLE, 90.0, 3.0), reading(ANGLE, 130.0, 3.0)
LATE = stopped(2.4, {LEVEL: Estimate(1.2, 0.03)})
NO_PAUSE = reading(PAUSE, 0.1, 0.02)

Found = dict[tuple[CheckpointId, Part], FilmProof]


def found(
    drill: str, clips: dict[View, list[Readings]], *, purpose: Purpose = Purpose.PAUSE
) -> Found:
    seen = [ClipOfSwings(view, swings) for view, swings in clips.items()]
    proofs = prove_film(DRILLS[drill], seen, purpose=purpose)
    return {(one.proof.checkpoint, one.proof.part): one for one in proofs}


def pause(drill: str, clips: dict[View, list[Readings]], **more: Purpose) -> FilmProof:
    return found(drill, clips, **more)[PAUSE, Part.VALUE]


def tally(one: FilmProof) -> tuple[int, int, int]:
    return one.swings, one.swings_met, one.swings_unseen


class TestTwoClips:
    @pytest.mark.parametrize("sigma_s", [0.02, 0.2])
    def test_a_stop_clearly_elsewhere_on_one_clip_stays_so(self, sigma_s: float) -> None:
        """The surer clip's place alone was kept: a denial went without a word."""
        behind = replace(stopped(2.4), sigma=sigma_s / 10.0)
        one = pause("stop-and-look", {FRONT: [{PAUSE: LATE}], BEHIND: [{PAUSE: behind}]})
        assert (one.proof.verdict, one.view, one.swing) == (Verdict.NOT_MET, FRONT, 0)
        assert one.proof.why.startswith("The two clips disagree: it is seen down-the-line")
        assert "1.2 seconds after your lead arm was level" in one.proof.why
        assert tally(one) == (2, 1, 0)

    def test_where_both_deny_it_nothing_disagrees(self) -> None:
        one = pause("stop-and-look", {FRONT: [{PAUSE: LATE}], BEHIND: [{PAUSE: NO_PAUSE}]})
        assert one.proof.verdict is Verdict.NOT_MET
        assert "disagree" not in one.proof.why

    @pytest.mark.parametrize(
        "unsure", [Missing("Dark."), replace(stopped(2.4), inputs={}), stopped(1.62)]
    )
    def test_what_one_clip_cannot_say_takes_nothing_from_the_other(self, unsure: Missing) -> None:
        one = pause("stop-and-look", {FRONT: [{PAUSE: unsure}], BEHIND: [{PAUSE: stopped(2.4)}]})
        assert (one.proof.verdict, one.view) == (Verdict.MET, BEHIND)

    def test_hands_clearly_wrong_face_on_stay_wrong(self) -> None:
        """They were lost where the down-the-line clip's pause was the surer."""
        shaft = {HINGE_SHAFT: Estimate(45.0, 2.0)}
        front = stopped(3.0, shaft | {HINGE_HANDS: Estimate(0.9, 0.05)})
        behind = replace(stopped(3.0, shaft), sigma=0.001)
        asked = found("diagonal-hinge", {BEHIND: [{PAUSE: behind}], FRONT: [{PAUSE: front}]})
        hands = asked[HANDS, Part.VALUE]
        assert (hands.proof.verdict, hands.view, hands.swings) == (Verdict.NOT_MET, FRONT, 1)
        assert asked[HANDS, Part.SHAFT].swings == 2
        assert list(asked) == [
            (BUTT_END, Part.VALUE),
            (HANDS, Part.SHAFT),
            (HANDS, Part.VALUE),
            (PAUSE, Part.VALUE),
        ]

    def test_a_shaft_at_another_slope_on_one_clip_stays_so(self) -> None:
        front = stopped(3.0, {HINGE_SHAFT: Estimate(75.0, 2.0)})
        behind = stopped(3.0, {HINGE_SHAFT: Estimate(45.0, 2.0)})
        asked = found("diagonal-hinge", {FRONT: [{PAUSE: front}], BEHIND: [{PAUSE: behind}]})
        shaft = asked[HANDS, Part.SHAFT]
        assert (shaft.proof.verdict, shaft.proof.value, shaft.view) == (
            Verdict.NOT_MET,
            75.0,
            FRONT,
        )
        assert "disagree" in shaft.proof.why

    def test_a_number_is_told_by_the_clip_that_can_show_it(self) -> None:
        other = Missing("This is read from a face-on clip.")
        dark = Missing("Dark.")
        asked = found("stop-and-look", {BEHIND: [{ANGLE: other}], FRONT: [{ANGLE: dark}]})
        angle = asked[ANGLE, Part.VALUE]
        assert (angle.proof.why, angle.view, angle.swings) == ("Dark.", FRONT, 1)

    def test_without_such_a_clip_nothing_is_counted(self) -> None:
        other = Missing("This is read from a face-on clip.")
        angle = found("stop-and-look", {BEHIND: [{ANGLE: other}]})[ANGLE, Part.VALUE]
        assert (angle.proof.verdict, angle.proof.why) == (Verdict.NOT_SEEN, other.reason)
        assert (angle.view, angle.swing, tally(angle)) == (None, None, (0, 0, 0))


class TestSwings:
    def test_a_stop_in_the_second_swing_is_seen(self) -> None:
        """Only the first was read, which may be a rehearsal."""
        one = pause("stop-and-look", {FRONT: [{PAUSE: NO_PAUSE}, {PAUSE: stopped(2.4)}]})
        assert (one.proof.verdict, one.proof.value, one.swing) == (Verdict.MET, 2.4, 1)
        assert tally(one) == (2, 1, 0)

    def test_four_of_five_are_counted(self) -> None:
        good, bad = {PAUSE: stopped(2.4)}, {PAUSE: NO_PAUSE}
        one = pause("stop-and-look", {FRONT: [good, good, bad, good, good]})
        assert (one.swing, tally(one)) == (0, (5, 4, 0))

    def test_what_was_not_seen_in_a_swing_is_counted_apart(self) -> None:
        swings: list[Readings] = [{PAUSE: Missing("Dark.")}, {PAUSE: NO_PAUSE}]
        one = pause("stop-and-look", {FRONT: swings})
        assert (one.proof.verdict, one.swing, tally(one)) == (Verdict.NOT_MET, 1, (2, 0, 1))

    def test_the_nearest_miss_is_told(self) -> None:
        swings: list[Readings] = [{FINISH: reading(FINISH, held, 0.05)} for held in (0.4, 1.5, 0.9)]
        one = found("finish-and-hold", {FRONT: swings})[FINISH, Part.VALUE]
        assert (one.proof.verdict, one.swing) == (Verdict.NOT_MET, 1)

    def test_a_stop_in_one_swing_does_not_make_good_the_angle_of_another(self) -> None:
        """The angle is asked of the stop; swing one has the angle alone, swing two the stop alone."""
        swings: list[Readings] = [
            {ANGLE: UPRIGHT, PAUSE: NO_PAUSE},
            {ANGLE: WIDE, PAUSE: stopped(2.4)},
        ]
        asked = found("stop-and-look", {FRONT: swings})
        angle, stop = asked[ANGLE, Part.VALUE], asked[PAUSE, Part.VALUE]
        assert (stop.proof.verdict, stop.swing) == (Verdict.MET, 1)
        assert (angle.proof.verdict, angle.proof.value, angle.swing) == (Verdict.NOT_MET, 130.0, 1)
        assert angle.proof.why == IN_ANOTHER_SWING
        assert tally(angle) == (2, 1, 0)

    def test_length_and_place_of_two_stops_make_none(self) -> None:
        swings: list[Readings] = [{PAUSE: LATE}, {PAUSE: stopped(0.9)}]
        one = pause("stop-and-look", {FRONT: swings})
        assert (one.proof.verdict, one.swings_met) == (Verdict.NOT_MET, 0)

    def test_shaft_and_hands_of_two_stops_make_no_hinge(self) -> None:
        wrong_hands = {HINGE_SHAFT: Estimate(45.0, 2.0), HINGE_HANDS: Estimate(0.9, 0.05)}
        wrong_shaft = {HINGE_SHAFT: Estimate(75.0, 2.0), HINGE_HANDS: Estimate(0.0, 0.05)}
        swings: list[Readings] = [
            {PAUSE: stopped(3.0, wrong_hands)},
            {PAUSE: stopped(3.0, wrong_shaft)},
        ]
        asked = found("diagonal-hinge", {FRONT: swings})
        parts = [asked[HANDS, part].proof.verdict for part in (Part.SHAFT, Part.VALUE)]
        assert parts == [Verdict.MET, Verdict.NOT_MET]

    def test_hands_that_another_swing_showed_are_not_those_of_this_one(self) -> None:
        seen = {HINGE_SHAFT: Estimate(75.0, 2.0), HINGE_HANDS: Estimate(0.0, 0.05)}
        swings: list[Readings] = [
            {PAUSE: stopped(3.0, {HINGE_SHAFT: Estimate(45.0, 2.0)})},
            {PAUSE: stopped(3.0, seen)},
        ]
        asked = found("diagonal-hinge", {FRONT: swings})
        assert asked[HANDS, Part.SHAFT].proof.verdict is Verdict.MET
        hands = asked[HANDS, Part.VALUE].proof
        assert (hands.verdict, hands.value, hands.why) == (Verdict.NOT_SEEN, None, NOT_IN_SWING)

    def test_a_number_read_elsewhere_than_at_the_stop_is_met_by_any_swing(self) -> None:
        """The stop of this drill is at the trail thigh, the angle is read later."""
        place = {stay_from(KeyframeId.HANDS_PAST_TRAIL_LEG): Estimate(0.0, 0.02)}
        swings: list[Readings] = [
            {ANGLE: UPRIGHT, PAUSE: NO_PAUSE},
            {ANGLE: WIDE, PAUSE: stopped(2.4, place)},
        ]
        asked = found("thigh-then-set", {FRONT: swings})
        assert {one.proof.verdict for one in asked.values()} == {Verdict.MET}
        assert [one.swing for one in asked.values()] == [0, 1]


class TestFullSwing:
    def test_a_stop_that_is_there_counts_and_none_is_missed(self) -> None:
        swings: list[Readings] = [{PAUSE: NO_PAUSE}, {PAUSE: stopped(2.4)}]
        one = pause("stop-and-look", {FRONT: swings}, purpose=Purpose.FULL)
        assert (one.proof.verdict, one.swing, tally(one)) == (Verdict.MET, 1, (2, 1, 1))
        without = pause("stop-and-look", {FRONT: swings[:1]}, purpose=Purpose.FULL)
        assert (without.proof.verdict, without.proof.why) == (Verdict.NOT_SEEN, NO_STOP_ASKED)

    def test_every_full_swing_has_a_finish(self) -> None:
        swings: list[Readings] = [{FINISH: reading(FINISH, 0.3, 0.05)}]
        one = found("finish-and-hold", {FRONT: swings}, purpose=Purpose.FULL)[FINISH, Part.VALUE]
        assert one.proof.verdict is Verdict.NOT_MET

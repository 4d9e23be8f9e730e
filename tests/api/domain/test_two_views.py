"""Two clips are read together where they agree, and say so where they do not."""

from dataclasses import replace

import pytest

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, NO_GROUND_HIT
from api.domain.findings import find
from api.domain.measurement import Missing, Reading
from api.domain.names import Band
from api.domain.picture_formulas import CUT_OFF
from api.domain.two_views import join
from tests.api.domain.test_findings import reading

TEMPO, BUTT_END = CheckpointId.TEMPO_RATIO, CheckpointId.BUTT_END_INSIDE
TURN = CheckpointId.CHEST_TURN_AT_PARALLEL
FINISH = CheckpointId.FINISH_HOLD
OTHER = Missing("This is read from the other view.")


def cut_off(held: Reading) -> Reading:
    return replace(held, inputs={CUT_OFF: 1.0})


def test_what_one_view_shows_is_taken_as_it_is() -> None:
    turn, butt = reading(TURN, 50.0, 3.0), reading(BUTT_END, 0.4, 0.1)
    joined = join({TURN: turn, BUTT_END: OTHER}, {TURN: OTHER, BUTT_END: butt})
    assert joined.readings[TURN] == turn
    assert joined.readings[BUTT_END] == butt
    assert joined.disagreements == ()


def test_what_both_show_is_weighed_by_certainty() -> None:
    joined = join({TEMPO: reading(TEMPO, 3.0, 0.1)}, {TEMPO: reading(TEMPO, 3.2, 0.2)})
    together = joined.readings[TEMPO]
    assert isinstance(together, Reading)
    assert abs(together.value - 3.04) < 1e-9  # (4 * 3.0 + 1 * 3.2) / 5
    assert abs(together.sigma - 0.2 / 5**0.5) < 1e-9


def test_what_both_show_has_the_inputs_of_neither() -> None:
    """The surer clip's alone went on: what the other saw of a stop's place was lost."""
    front = replace(reading(TEMPO, 3.0, 0.1), inputs={"takeaway_s": 1.0})
    behind = replace(reading(TEMPO, 3.1, 0.2), inputs={"takeaway_s": 4.0})
    together = join({TEMPO: front}, {TEMPO: behind}).readings[TEMPO]
    assert isinstance(together, Reading)
    assert (together.inputs, together.points) == ({}, {})


@pytest.mark.parametrize("cut_first", [True, False])
def test_a_finish_that_one_film_cut_off_does_not_disagree_with_a_longer_one(
    *, cut_first: bool
) -> None:
    cut, whole = cut_off(reading(FINISH, 1.2, 0.05)), reading(FINISH, 4.0, 0.1)
    front, behind = (cut, whole) if cut_first else (whole, cut)
    joined = join({FINISH: front}, {FINISH: behind})
    assert (joined.readings[FINISH], joined.disagreements) == (whole, ())


def test_a_finish_held_longer_than_the_other_until_the_film_ended_differs() -> None:
    longer = cut_off(reading(FINISH, 4.0, 0.1))
    assert len(join({FINISH: reading(FINISH, 1.2, 0.05)}, {FINISH: longer}).disagreements) == 1


def test_where_they_differ_there_is_no_number_and_the_difference_is_told() -> None:
    joined = join({TEMPO: reading(TEMPO, 2.5, 0.1)}, {TEMPO: reading(TEMPO, 3.5, 0.1)})
    missing = joined.readings[TEMPO]
    assert isinstance(missing, Missing)
    assert "2.50" in missing.reason
    assert "3.50" in missing.reason
    (apart,) = joined.disagreements
    assert (apart.checkpoint, apart.face_on, apart.down_the_line) == (TEMPO, 2.5, 3.5)


def test_a_pattern_may_rest_on_both_views() -> None:
    """Arm lift: the shaft from behind, the turn of the chest from the front."""
    behind = {BUTT_END: reading(BUTT_END, 2.4, 0.1)}
    front = {TURN: reading(TURN, 10.0, 3.0)}
    codes = {finding.code for finding in find(join(front, behind).readings)}
    alone = {finding.code for finding in find(behind)}
    assert "arm_lift" in codes
    assert "arm_lift" not in alone


def test_the_reason_is_that_of_the_clip_that_could_have_shown_it() -> None:
    """ "No ground hit" from behind says something of the shaft; "read from the other view" says nothing."""
    front = {BUTT_END: Missing("This is read from a down-the-line clip.")}
    joined = join(front, {BUTT_END: Missing(NO_GROUND_HIT)})
    assert joined.readings[BUTT_END] == Missing(NO_GROUND_HIT)
    assert find(joined.readings) == ()


def test_every_checkpoint_of_either_view_is_in_the_join() -> None:
    none = dict.fromkeys(CHECKPOINTS, OTHER)
    assert set(join(none, none).readings) == set(CHECKPOINTS)


def test_what_both_show_is_held_against_the_students_own_bands() -> None:
    both = {TEMPO: reading(TEMPO, 3.0, 0.02)}
    own = {TEMPO: Bands(1.5, 1.8, 2.2, 2.5)}
    usual, theirs = join(both, both).readings[TEMPO], join(both, both, bands=own).readings[TEMPO]
    assert isinstance(usual, Reading)
    assert isinstance(theirs, Reading)
    assert (usual.band, theirs.band) == (Band.GOOD, Band.OUTSIDE)

"""Every true thing has a row that says what became of it."""

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest

from api.domain.measurement import Missing
from api.domain.names import KeyframeId, View
from tests.accuracy.made_up import (
    ANGLE,
    angle_reading,
    found_swing,
    measured,
    true_clip,
    true_swing,
)
from tests.accuracy.measuring import CRASHED, REFUSED, Measured
from tests.accuracy.rows import (
    Kind,
    Row,
    Status,
    clip_row_from_json,
    row_from_json,
    row_to_json,
)
from tests.accuracy.scoring import ClipScore, score_clip
from tests.accuracy.tally import tally_all
from tests.accuracy.truths import TrueInstant


@pytest.fixture
def video(tmp_path: Path) -> Path:
    path = tmp_path / "c.mp4"
    path.write_bytes(b"not looked into")
    return path


def _of(score: ClipScore, name: str) -> Row:
    (row,) = [row for row in score.rows if row.id == name]
    return row


def test_a_found_swing_has_its_errors(video: Path) -> None:
    score = score_clip(true_clip(video), measured(found_swing(0.03)))
    top = _of(score, "top")
    assert top.status is Status.GIVEN
    assert top.error == pytest.approx(30.0)
    assert top.inside is False  # 1.96 sigmas are 19.6 ms
    assert top.sure_wrong is False  # two half-widths are 39.2 ms
    assert (top.true_frame, top.frame, top.frames_off) == (108, 110, 2)
    assert top.frames_allowed == 2  # 66 frames from address to impact, over 30


def test_a_reading_is_scored_against_both_cameras(video: Path) -> None:
    row = _of(score_clip(true_clip(video), measured(found_swing())), ANGLE.value)
    assert row.error == pytest.approx(2.0)
    assert row.error_actual == pytest.approx(0.0)
    assert row.z == pytest.approx(2.0 / 3.0)
    assert row.inside is True
    assert row.inside_actual is True


def test_surely_wrong_is_more_than_two_half_widths_off(video: Path) -> None:
    for value, wrong in ((90.0 + 11.7, False), (90.0 + 11.8, True)):  # 2 * 1.96 * 3 = 11.76
        score = score_clip(true_clip(video), measured(found_swing(reading=angle_reading(value))))
        assert _of(score, ANGLE.value).sure_wrong is wrong


def test_what_is_not_looked_for_is_neither_failure_nor_success(
    video: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    untried = frozenset({"delivery", "finish"})
    monkeypatch.setattr("tests.accuracy.scoring.NOT_LOOKED_FOR_YET", untried)
    score = score_clip(true_clip(video), measured(found_swing()))
    assert _of(score, "delivery").status is Status.NOT_LOOKED_FOR
    assert _of(score, "finish").status is Status.NOT_LOOKED_FOR


def test_withheld_keeps_its_reason(video: Path) -> None:
    missing = {KeyframeId.IMPACT: Missing("No ball was seen to leave its place.")}
    row = _of(score_clip(true_clip(video), measured(found_swing(missing=missing))), "impact")
    assert (row.status, row.reason) == (Status.WITHHELD, "No ball was seen to leave its place.")
    assert row.error is None


def test_a_value_where_truth_has_none_is_invented_and_surely_wrong(video: Path) -> None:
    clip = true_clip(video, swings=(true_swing(absent=(KeyframeId.IMPACT,)),))
    row = _of(score_clip(clip, measured(found_swing())), "impact")
    assert row.status is Status.INVENTED
    assert row.sure_wrong
    assert row.frames_allowed is None  # no impact, no length to take it from


def test_nothing_where_truth_has_none_is_right(video: Path) -> None:
    clip = true_clip(video, swings=(true_swing(absent=(KeyframeId.IMPACT,)),))
    missing = {KeyframeId.IMPACT: Missing("No downswing was found.")}
    row = _of(score_clip(clip, measured(found_swing(missing=missing))), "impact")
    assert row.status is Status.RIGHTLY_NONE


def test_an_instant_truth_does_not_know_is_said_so(video: Path) -> None:
    swing = true_swing()
    instants = dict(swing.instants)
    del instants[KeyframeId.ADDRESS]
    clip = true_clip(video, swings=(replace(swing, instants=instants),))
    score = score_clip(clip, measured(found_swing()))
    assert _of(score, "address").status is Status.NO_TRUTH
    # The takeaway ends the address: the published tolerance is taken from there.
    assert _of(score, "top").frames_allowed == 2


@pytest.mark.parametrize(("late_s", "error_ms"), [(-0.02, -20.0), (0.1, 0.0), (0.33, 30.0)])
def test_in_a_stop_any_time_of_the_stay_is_as_right(
    video: Path, late_s: float, error_ms: float
) -> None:
    swing = true_swing()
    at = swing.instants[KeyframeId.TOP]
    assert isinstance(at, TrueInstant)
    stays = {**swing.instants, KeyframeId.TOP: replace(at, to_s=at.time_s + 0.3)}
    clip = true_clip(video, swings=(replace(swing, instants=stays),))
    top = _of(score_clip(clip, measured(found_swing(late_s))), "top")
    assert top.error == pytest.approx(error_ms)


def test_a_missed_swing_still_has_its_rows(video: Path) -> None:
    clip = true_clip(video, swings=(true_swing(), true_swing(1.85, angle=100.0)))
    score = score_clip(clip, measured(found_swing()))
    assert (score.clip.missed, score.clip.invented) == (1, 0)
    lost = [row for row in score.rows if row.swing == 1]
    assert {row.status for row in lost} == {Status.NO_SWING}
    assert {row.id for row in lost if row.kind is Kind.CHECKPOINT} == {ANGLE.value}
    assert len([row for row in lost if row.kind is Kind.INSTANT]) == len(KeyframeId)


def test_what_an_invented_swing_gives_is_given_where_there_is_none(video: Path) -> None:
    alone = score_clip(true_clip(video), measured(found_swing()))
    score = score_clip(true_clip(video), measured(found_swing(), found_swing(1.9)))
    assert (score.clip.swings_true, score.clip.swings_found, score.clip.invented) == (1, 2, 1)
    assert tuple(row for row in score.rows if row.swing == 0) == alone.rows
    invented = [row for row in score.rows if row.swing == 1]
    assert {row.status for row in invented} == {Status.INVENTED}
    assert all(row.sure_wrong and row.value is not None for row in invented)
    given = [row for row in alone.rows if row.status is Status.GIVEN]
    assert {row.id for row in invented} == {row.id for row in given}
    assert [(t.true, t.given) for t in tally_all(score.rows)] == [
        (t.true, t.given) for t in tally_all(alone.rows)
    ]


def test_the_pipelines_wording_takes_nothing_out_of_the_count(
    video: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    untried = frozenset({"delivery", "finish"})
    monkeypatch.setattr("tests.accuracy.scoring.NOT_LOOKED_FOR_YET", untried)
    missing = {KeyframeId.IMPACT: Missing("This is not looked for yet; a coach can mark it.")}
    reading = Missing("This is not looked for yet.")
    score = score_clip(true_clip(video), measured(found_swing(missing=missing, reading=reading)))
    assert _of(score, "impact").status is Status.WITHHELD
    assert _of(score, ANGLE.value).status is Status.WITHHELD
    other = {KeyframeId.FINISH: Missing("Some other words.")}
    row = _of(score_clip(true_clip(video), measured(found_swing(missing=other))), "finish")
    assert row.status is Status.NOT_LOOKED_FOR


@pytest.mark.parametrize(
    ("outcome", "status"), [(REFUSED, Status.REFUSED), (CRASHED, Status.CRASHED)]
)
def test_a_clip_without_measurement_has_the_same_true_rows(
    video: Path, outcome: str, status: Status
) -> None:
    broken = Measured(outcome, "too_dark: words", None, 0.5, 0.6)
    score = score_clip(true_clip(video), broken)
    assert (score.clip.outcome, score.clip.reason) == (outcome, "too_dark: words")
    assert Counter(row.status for row in score.rows) == {status: len(KeyframeId) + 1}
    assert all(row.reason == "too_dark: words" for row in score.rows)


def test_the_other_views_reading_and_instant_are_not_counted(video: Path) -> None:
    missing = {KeyframeId.HANDS_PAST_TRAIL_LEG: Missing("This is read from a face-on clip.")}
    clip = true_clip(video, view=View.DOWN_THE_LINE)
    score = score_clip(clip, measured(found_swing(missing=missing)))
    assert _of(score, "hands_past_trail_leg").status is Status.NOT_LOOKED_FOR
    assert ANGLE.value not in {row.id for row in score.rows}


def test_rows_survive_json(video: Path) -> None:
    score = score_clip(true_clip(video), measured(found_swing(0.01)))
    for row in score.rows:
        assert row_from_json(row_to_json(row)) == row
    assert clip_row_from_json(row_to_json(score.clip)) == score.clip

"""Counts, shares of correct events and coverage over rows, worked by hand."""

from dataclasses import replace

import pytest

from api.domain.names import KeyframeId
from tests.accuracy.made_up import instant_row, reading_row
from tests.accuracy.rows import LOST, Row, Status
from tests.accuracy.tally import share_of_correct_events, tally, tally_all


def test_withheld_and_missed_count_among_the_true_ones() -> None:
    rows = [
        reading_row("a", 1.0),
        reading_row("b", -3.0),
        reading_row("c", None),
        reading_row("d", None, status=Status.NO_SWING),
        reading_row("e", None, status=Status.REFUSED),
        reading_row("f", None, status=Status.CRASHED),
    ]
    one = tally(rows)
    assert (one.true, one.given) == (6, 2)
    assert one.counts[Status.WITHHELD] == 1
    assert one.errors is not None
    assert one.errors.mean == pytest.approx(-1.0)
    assert one.errors_actual is not None
    assert one.errors_actual.mean == pytest.approx(-2.0)


def test_what_is_rightly_none_or_invented_is_no_true_value() -> None:
    rows = [
        reading_row("a", 1.0),
        reading_row("b", None, status=Status.RIGHTLY_NONE),
        reading_row("c", 5.0, status=Status.INVENTED),
    ]
    one = tally(rows)
    assert (one.true, one.given, one.sure_wrong) == (1, 1, 1)


def test_coverage_counts_given_ones_only() -> None:
    rows = [reading_row("a", 3.9), reading_row("b", 4.0), reading_row("c", None)]
    inside = tally(rows).inside  # 1.96 * 2 = 3.92
    assert (inside.count, inside.total) == (1, 2)


def test_share_of_correct_events_by_the_published_rule() -> None:
    rows = [
        instant_row("a", 0.0),
        instant_row("b", 34.0),  # 108 -> 110: two frames, allowed
        instant_row("c", 51.0),  # three frames
        instant_row("d", None),  # withheld: not correct
        instant_row("e", None, status=Status.NO_SWING),  # missed: not correct
        instant_row("f", 0.0, allowed=None),  # stops at the top: the rule does not apply
    ]
    one = tally(rows)
    assert one.correct is not None
    assert (one.correct.count, one.correct.total) == (2, 5)
    assert one.correct_of_given is not None
    assert (one.correct_of_given.count, one.correct_of_given.total) == (2, 3)


def test_our_own_tolerance_is_in_milliseconds() -> None:
    key = KeyframeId.LEAD_ARM_PARALLEL  # 20 ms
    rows = [instant_row(name, e, key=key) for name, e in (("a", 20.0), ("b", -20.1), ("c", None))]
    one = tally(rows)
    assert one.own is not None
    assert (one.own.count, one.own.total) == (1, 3)
    assert one.own_of_given is not None
    assert (one.own_of_given.count, one.own_of_given.total) == (1, 2)


def test_what_is_never_looked_for_has_no_tally_and_no_share(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("tests.accuracy.tally.NOT_LOOKED_FOR_YET", frozenset({"finish"}))
    rows = [
        instant_row("a", None, key=KeyframeId.FINISH, status=Status.NOT_LOOKED_FOR),
        instant_row("b", None, key=KeyframeId.FINISH, status=Status.NO_SWING),
        instant_row("a", 0.0),
    ]
    assert [one.id for one in tally_all(rows)] == ["top"]
    of_all, of_given = share_of_correct_events(rows)
    assert (of_all.count, of_all.total) == (1, 1)
    assert of_given.total == 1


def test_what_truth_does_not_know_has_no_tally() -> None:
    row = instant_row("a", 5.0, key=KeyframeId.ADDRESS, status=Status.NO_TRUTH)
    assert row.error is None
    assert tally_all([row]) == []


def test_instants_come_in_order_and_before_the_checkpoints() -> None:
    rows: list[Row] = [
        reading_row("a", 0.0),
        instant_row("a", 0.0, key=KeyframeId.IMPACT),
        instant_row("a", 0.0, key=KeyframeId.TAKEAWAY),
    ]
    assert [one.id for one in tally_all(rows)] == ["takeaway", "impact", "lead_arm_shaft_angle"]


@pytest.mark.parametrize("status", LOST)
def test_what_is_lost_on_every_clip_keeps_its_line(status: Status) -> None:
    rows = [instant_row(name, None, status=status) for name in "ab"]
    assert [(one.id, one.true, one.given) for one in tally_all(rows)] == [("top", 2, 0)]
    of_all, _ = share_of_correct_events(rows)
    assert (of_all.count, of_all.total) == (0, 2)


def test_the_half_width_is_the_median_of_those_given() -> None:
    rows = [reading_row(name, 0.0, sigma) for name, sigma in (("a", 1.0), ("b", 2.0), ("c", 9.0))]
    assert tally([*rows, reading_row("d", None)]).half_width == pytest.approx(3.92, abs=0.001)
    assert tally([reading_row("d", None)]).half_width is None


@pytest.mark.parametrize("sigma", [None, float("nan"), float("inf")])
def test_a_value_without_a_sigma_is_counted(sigma: float | None) -> None:
    bare = replace(reading_row("a", 50.0), sigma=sigma)
    one = tally([bare, reading_row("b", 1.0), reading_row("c", None)])
    assert one.without_sigma == 1

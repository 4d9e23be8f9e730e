"""The shape of a swing, on made tracks with known answers; and real swings where they are at hand."""

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.accuracy import real_swings
from tests.accuracy.content import Table
from tests.accuracy.real_swings import ABSENT, available, survivals
from tests.accuracy.studio_beside_real import (
    Compared,
    _outside,
    _shape_table,
    blocks,
    compare_with_real,
    real_shapes,
)
from tests.accuracy.studio_tracks import SAMPLED, face_on_track, studio_tracks
from tests.accuracy.swing_shape import (
    ACROSS_DOWN,
    ACROSS_UP,
    ARM_LOW,
    LEG_LOW,
    SHAPES,
    SIZES,
    UP_UP,
    elevation,
    shape_of,
    sizes_of,
)
from worker.body.joints import BodyTrack, Joint

Array = NDArray[np.float64]

needs_tracks = pytest.mark.skipif(not available(), reason=ABSENT)

ARM, TORSO = 140.0, 100.0


def _swing(times_s: Array, *, top_deg: float = 40.0) -> BodyTrack:
    """Arm from -80 at 1.0 s to the top at 2.0 s, down to -80 at 2.3 s, evenly; torso upright."""
    arm = np.interp(times_s, [0.0, 1.0, 2.0, 2.3, 3.0], [-80.0, -80.0, top_deg, -80.0, -200.0])
    turn = np.radians(arm)
    xy = np.zeros((len(times_s), 33, 2))
    xy[:, Joint.LEAD_SHOULDER], xy[:, Joint.TRAIL_SHOULDER] = (40.0, 0.0), (-40.0, 0.0)
    xy[:, Joint.LEAD_HIP], xy[:, Joint.TRAIL_HIP] = (20.0, TORSO), (-20.0, TORSO)
    reach = ARM * np.stack([-np.cos(turn), -np.sin(turn)], axis=1)
    xy[:, 15:23] = (xy[:, Joint.LEAD_SHOULDER] + reach)[:, np.newaxis]
    n = len(times_s)
    return BodyTrack(np.arange(n), times_s, xy, np.ones((n, 33)))


def test_elevation_is_what_was_put_in_and_runs_on_past_the_trail_side() -> None:
    times = np.arange(0.0, 3.0, 0.02)
    arm = elevation(_swing(times))
    assert arm[0] == pytest.approx(-80.0)
    assert arm[-1] < -180.0
    assert arm.max() == pytest.approx(40.0, abs=0.01)


def test_every_measure_of_a_made_swing_is_right() -> None:
    shape = shape_of(_swing(np.arange(0.0, 3.0, 0.002)))
    assert shape is not None
    assert set(shape) == set(SHAPES)
    # Back: -60 to 40 at 120 degrees a second, 0.833 s. Down: 400 a second, 0.25 s. The top is taken
    # as the middle of two degrees below it: 1/60 s before to 1/200 s after, so 5.8 ms early.
    early = (2.0 / 120.0 - 2.0 / 400.0) / 2.0
    back, down = 100.0 / 120.0 - early, 0.25 + early
    assert shape["time back over time down"] == pytest.approx(back / down, rel=0.01)
    assert shape["arm level, share of the way back"] == pytest.approx(0.5 / back, abs=0.01)
    assert shape["arm level, share of the way down"] == pytest.approx(
        (0.1 + early) / down, abs=0.01
    )
    rate = shape["arm's turning rate at level, per time down"]
    assert rate == pytest.approx(120.0 * down, rel=0.01)
    assert shape["arm half-way back in time"] == pytest.approx(-60.0 + 60.0 * back, abs=0.5)
    assert shape["hands across at level"] == pytest.approx((ARM - 40.0) / TORSO, abs=0.01)
    assert shape["hands up at level"] == pytest.approx(1.0, abs=0.01)


def test_every_size_of_a_made_swing_is_right() -> None:
    track = _swing(np.arange(0.0, 3.0, 0.002))
    track.xy[:, Joint.LEAD_ANKLE] = (20.0, TORSO + 210.0)
    sizes = sizes_of(track)
    assert sizes is not None
    assert set(sizes) == set(SIZES)
    # Between samples the wrist is taken on the chord, some millionths inside the circle.
    assert sizes[ARM_LOW] == pytest.approx(ARM / TORSO, rel=1e-5)
    assert sizes[LEG_LOW] == pytest.approx(2.1)
    assert sizes[ACROSS_UP] == pytest.approx((ARM - 40.0) / ARM, abs=0.01)
    assert sizes[ACROSS_DOWN] == pytest.approx((ARM - 40.0) / ARM, abs=0.01)
    assert sizes[UP_UP] == pytest.approx(TORSO / ARM, abs=0.01)
    assert sizes_of(_swing(np.arange(0.0, 3.0, 0.02), top_deg=-10.0)) is None


def _row(measure: str, inside: float) -> Compared:
    return Compared(measure, "torso", 35, 8, (0.0, 1.0, 2.0, 3.0, 4.0), (1.0, 2.0, 3.0), inside)


def test_what_lies_outside_is_said_to_be_unexplained() -> None:
    shapes, sizes = [_row("one", 1.0), _row("two", 0.25), _row("three", 0.5)], [_row("arm", 1.0)]
    said = _outside(shapes, sizes)
    assert "unexplained: two. " in str(said[0])
    assert "nothing here tells which" in str(said[0])
    assert isinstance(said[1], Table)
    assert _outside(shapes[::2], sizes) == ()


def test_the_number_of_the_studios_swings_stands_beside_the_real_ones() -> None:
    note = _shape_table([_row("one", 1.0)]).note
    assert "35 real swings, face-on, right-handed, beside 8 of the studio" in note


@pytest.mark.parametrize(("stretch", "size"), [(4.0, 1.0), (1.0, 0.3)])
def test_neither_rate_nor_size_changes_the_shape(stretch: float, size: float) -> None:
    track = _swing(np.arange(0.0, 3.0, 0.004))
    other = BodyTrack(track.frames, track.times_s * stretch, track.xy * size, track.seen)
    first, second = shape_of(track), shape_of(other)
    assert first is not None
    assert second is not None
    assert second == pytest.approx(first)


@pytest.mark.parametrize("top_deg", [-10.0, -70.0])
def test_a_swing_that_stays_below_level_has_no_shape(top_deg: float) -> None:
    assert shape_of(_swing(np.arange(0.0, 3.0, 0.02), top_deg=top_deg)) is None


def test_the_studios_swing_has_a_shape_and_hangs_its_arm_at_address() -> None:
    track = face_on_track(SAMPLED[0])
    assert shape_of(track) is not None
    assert -95.0 < elevation(track)[0] < -65.0


@needs_tracks
def test_the_logic_survives_real_swings_and_human_clicks() -> None:
    rows = survivals()
    assert [row.n for row in rows] == [39, 39, 39]
    for row in rows:
        assert row.one_swing >= 0.95, row
        assert row.in_order >= 0.95, row
    assert rows[0].moved_frames == 0.0
    assert rows[1].moved_frames < rows[2].moved_frames < 0.5


@needs_tracks
def test_real_swings_are_compared_measure_by_measure_and_in_sum_only() -> None:
    assert len(real_shapes()) >= 30
    rows = compare_with_real([face_on_track(SAMPLED[0])])
    assert [row.measure for row in rows] == list(SHAPES)
    for row in rows:
        assert list(row.real) == sorted(row.real)
        assert row.inside in {0.0, 1.0}


@needs_tracks
def test_counted_by_the_arm_the_studios_hands_lie_among_the_real_ones() -> None:
    """What the section's words on the torso lean on."""
    rows = {
        (row.measure, row.unit): row for row in compare_with_real(studio_tracks(), sizes_of, SIZES)
    }
    for limb in (ARM_LOW, LEG_LOW):
        assert rows[limb, "torso"].studio[1] > rows[limb, "torso"].real[2]
    for hands in (ACROSS_UP, ACROSS_DOWN):
        assert rows[hands, "lead arm"].inside == 1.0
    assert rows[UP_UP, "lead arm"].studio[1] < rows[UP_UP, "lead arm"].real[1]


@needs_tracks
def test_a_motion_unlike_a_swing_falls_outside_the_real_ones() -> None:
    wrong = compare_with_real([_swing(np.arange(0.0, 3.0, 0.004), top_deg=10.0)])
    assert sum(row.inside == 0.0 for row in wrong) >= 4


def test_absent_tracks_are_said_to_be_absent(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(real_swings, "REAL", tmp_path / "nothing")
    said = blocks()
    assert len(said) == 1
    assert ABSENT in str(said[0])

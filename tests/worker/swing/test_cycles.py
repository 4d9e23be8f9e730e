import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.names import View
from tests.worker.swing.moving import arm_elevation, golfer
from worker.body.joints import BodyTrack, Joint
from worker.swing.cycles import find_swings

LOOKS = 1 / 15


def _times(end: float) -> NDArray[np.float64]:
    return np.arange(0.0, end, LOOKS)


def _joined(first: BodyTrack, second: BodyTrack) -> BodyTrack:
    return BodyTrack(
        np.arange(len(first) + len(second)),
        np.concatenate([first.times_s, second.times_s + first.times_s[-1] + LOOKS]),
        np.concatenate([first.xy, second.xy]),
        np.concatenate([first.seen, second.seen]),
    )


def _one(end: float = 4.0, **moments: float) -> BodyTrack:
    moments = {"start": 1.0, "top": 1.8, "impact": 2.1, **moments}
    return golfer(_times(end), arm_elevation(_times(end), **moments), noise_px=0.5)


def test_one_swing_is_found_to_within_two_looks() -> None:
    (swing,) = find_swings(_one(), View.FACE_ON)
    assert swing.start_s == pytest.approx(1.0, abs=2 * LOOKS)
    assert swing.top_s == pytest.approx(1.8, abs=2 * LOOKS)
    assert swing.impact_s == pytest.approx(2.1, abs=2 * LOOKS)


def test_standing_still_is_no_swing() -> None:
    times = _times(3.0)
    track = golfer(times, np.full(len(times), -75.0), noise_px=0.5)
    assert find_swings(track, View.FACE_ON) == []


def test_two_swings_in_a_file_are_two() -> None:
    swings = find_swings(_joined(_one(), _one()), View.FACE_ON)
    assert len(swings) == 2
    assert swings[1].start_s > swings[0].end_s


def test_a_pause_at_level_is_one_swing_and_not_two() -> None:
    (swing,) = find_swings(_one(6.0, pause_s=2.0), View.FACE_ON)
    assert swing.impact_s == pytest.approx(4.1, abs=2 * LOOKS)


def test_a_backswing_alone_has_no_impact() -> None:
    track = _one().part(0.0, 1.85)
    (swing,) = find_swings(track, View.FACE_ON)
    assert swing.impact_s is None


def test_a_clip_that_starts_in_the_follow_through_has_no_swing() -> None:
    assert find_swings(_one().part(2.05, 4.0), View.FACE_ON) == []


def test_hands_raised_apart_are_no_swing() -> None:
    track = _one()
    xy = track.xy.copy()
    xy[:, [15, 17, 19, 21], 0] += 140.0
    apart = BodyTrack(track.frames, track.times_s, xy, track.seen)
    assert find_swings(apart, View.FACE_ON) == []


def test_a_file_slowed_four_times_is_told_and_its_start_is_no_later() -> None:
    """A quarter of the speed is no stillness: between two looks the hands hardly move long after they began."""
    start, times = 2.0, _times(12.0)
    moments = {"start": start, "top": start + 3.2, "impact": start + 4.4}
    turn = arm_elevation(times, **moments)
    # A soft start, as hands have: the square of time for its first second.
    since = np.clip(times - start, 0.0, 1.0)
    turn = np.where(times < start + 1.0, -75.0 + (turn + 75.0) * since, turn)
    (slow,) = find_swings(golfer(times, turn, noise_px=0.3), View.FACE_ON)
    (usual,) = find_swings(_one(), View.FACE_ON)

    assert usual.slowed < 1.3
    assert slow.slowed > 1.5 * usual.slowed
    assert slow.start_s == pytest.approx(start, abs=0.3)


def test_hands_that_sink_for_a_look_in_the_follow_through_are_no_second_swing() -> None:
    track = _one()
    raised = np.flatnonzero(track.times_s > 2.4)
    hands, hips = track.hands[:, 1], track.hips[:, 1]
    sunk = int(raised[1])
    assert hips[sunk] - hands[sunk] > 0.65 * track.torso_px()
    xy = track.xy.copy()
    xy[sunk, 15:23, 1] = hips[sunk] - 0.3 * track.torso_px()
    dipped = BodyTrack(track.frames, track.times_s, xy, track.seen)

    (swing,) = find_swings(dipped, View.DOWN_THE_LINE)
    assert swing.impact_s == pytest.approx(2.1, abs=2 * LOOKS)


REHEARSED = {
    "at once": ((1.0, -75.0), (1.7, 20.0), (2.2, -70.0), (2.9, 45.0), (3.2, -75.0), (3.55, -200.0)),
    "after a breath": (
        (1.0, -75.0),
        (1.7, 20.0),
        (2.2, -70.0),
        (2.7, -73.0),
        (3.2, -70.0),
        (3.9, 45.0),
        (4.2, -75.0),
        (4.55, -200.0),
    ),
}


@pytest.mark.parametrize("knots", REHEARSED.values(), ids=REHEARSED.keys())
def test_a_rehearsed_backswing_does_not_swallow_the_swing(
    knots: tuple[tuple[float, float], ...],
) -> None:
    """Its end and the real backswing were taken for one swing, with an impact nobody made."""
    times = _times(6.0)
    x, y = np.array(knots).T
    rehearsal, swing = find_swings(
        golfer(times, np.interp(times, x, y), noise_px=0.5), View.FACE_ON
    )

    assert rehearsal.impact_s is None
    assert rehearsal.start_s == pytest.approx(1.0, abs=2 * LOOKS)
    assert rehearsal.top_s == pytest.approx(1.7, abs=2 * LOOKS)
    assert rehearsal.end_s < swing.start_s < swing.raised_s
    assert swing.top_s == pytest.approx(x[-3], abs=2 * LOOKS)
    assert swing.impact_s == pytest.approx(x[-2], abs=2 * LOOKS)


def test_hands_lost_for_a_look_at_the_top_are_no_rehearsal() -> None:
    track = _one(6.0, pause_s=2.0)
    sunk = int(np.argmin(np.abs(track.times_s - 2.5)))
    xy = track.xy.copy()
    xy[sunk, 15:23, 1] = track.hips[sunk, 1] + 20.0
    lost = BodyTrack(track.frames, track.times_s, xy, track.seen)

    (swing,) = find_swings(lost, View.FACE_ON)
    assert swing.start_s == pytest.approx(1.0, abs=2 * LOOKS)
    assert swing.impact_s == pytest.approx(4.1, abs=2 * LOOKS)


def _from_behind(
    *, rise: float, hands_to: float = 0.2, opens_to: float = 0.15, end: float = 4.0
) -> BodyTrack:
    """Hands that rise from 1.0 s to 1.6 s, rest up there and come down from 2.6 s to 3.0 s, all in torso lengths.

    ``rise``: above the mid-hip; ``hands_to``: on the ball's side of the mid-shoulder; ``opens_to``: width of the
    shoulders. They begin at -0.2, 0.2 and 0.15.
    """
    times = _times(end)
    up = np.interp(times, (1.0, 1.6, 2.6, 3.0), (0.0, 1.0, 1.0, 0.0))
    track = golfer(times, np.full(len(times), -75.0))
    xy, torso = track.xy.copy(), track.torso_px()
    middle = track.shoulders[:, 0]
    wide = torso * (0.15 + (opens_to - 0.15) * up) / 2.0
    xy[:, Joint.LEAD_SHOULDER, 0], xy[:, Joint.TRAIL_SHOULDER, 0] = middle + wide, middle - wide
    xy[:, 15:23, 0] = (middle + torso * (0.2 + (hands_to - 0.2) * up))[:, None]
    xy[:, 15:23, 1] = (track.hips[:, 1] - torso * (-0.2 + (rise + 0.2) * up))[:, None]
    xy += np.random.default_rng(5).normal(0.0, 0.5, xy.shape)
    return BodyTrack(track.frames, track.times_s, xy, track.seen)


@pytest.mark.parametrize(
    ("rise", "hands_to"),
    [(1.5, 0.05), (1.3, 0.2), (0.9, 0.8)],
    ids=["both hands on the cap", "before the face", "the club held up in front"],
)
def test_from_behind_hands_raised_without_a_turn_are_no_swing(rise: float, hands_to: float) -> None:
    assert find_swings(_from_behind(rise=rise, hands_to=hands_to), View.DOWN_THE_LINE) == []


@pytest.mark.parametrize(
    ("rise", "hands_to", "opens_to"),
    [(1.4, -0.5, 0.5), (1.0, 0.1, 0.45), (1.4, -0.3, 0.15)],
    ids=["to the top", "stopped at level, hands in front", "shoulders poorly seen"],
)
def test_from_behind_a_backswing_alone_stays_a_swing(
    rise: float, hands_to: float, opens_to: float
) -> None:
    track = _from_behind(rise=rise, hands_to=hands_to, opens_to=opens_to)
    (swing,) = find_swings(track, View.DOWN_THE_LINE)
    assert swing.impact_s is None
    assert swing.start_s == pytest.approx(1.0, abs=2 * LOOKS)


def test_from_behind_a_swing_after_a_touch_of_the_cap_is_found() -> None:
    (swing,) = find_swings(
        _joined(_from_behind(rise=1.5), _from_behind(rise=1.4, hands_to=-0.5)), View.DOWN_THE_LINE
    )
    assert swing.start_s == pytest.approx(5.0, abs=3 * LOOKS)

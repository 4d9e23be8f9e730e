"""Pauses: short interruptions are bridged, as the notes on pauses have it (C12: 70 ms), and noise is no motion."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.names import KeyframeId, PointName
from api.domain.onsets import Onset
from tests.studio.truth.names import TruthId
from tests.worker.measure.exact_points import Exact, exact
from worker.measure import rhythm
from worker.measure.looks import Album, Looks
from worker.measure.rhythm import _below
from worker.swing.instants import Instant

TIMES = np.arange(61) / 60.0
TRUE_PARTS = {Onset.PELVIS: "pelvis_shift", Onset.CHEST: "chest_turn", Onset.HANDS: "hands"}


def slow_between(first: int, last: int, *fast: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Over the threshold everywhere but from sample ``first`` to ``last``, and there in ``fast``."""
    over = np.ones(len(TIMES))
    over[first : last + 1] = -1.0
    over[list(fast)] = 1.0
    return over


@pytest.mark.parametrize("fast", [(), (30,), (30, 31, 32)])
def test_a_short_interruption_is_bridged(fast: tuple[int, ...]) -> None:
    found = _below(TIMES, slow_between(12, 48, *fast))
    assert found == [pytest.approx((11.5 / 60.0, 48.5 / 60.0))]


def test_an_interruption_is_as_long_as_it_is_itself() -> None:
    """One picture in it is 42 ms at 24 a second; the pictures beside it are 83 ms apart, which cut the stop in two."""
    found = _below(TIMES * 60.0 / 24.0, slow_between(12, 48, 30))
    assert found == [pytest.approx((11.5 / 24.0, 48.5 / 24.0))]


def test_a_longer_one_ends_the_pause() -> None:
    found = _below(TIMES, slow_between(12, 48, 30, 31, 32, 33, 34))
    assert found == [
        pytest.approx((11.5 / 60.0, 29.5 / 60.0)),
        pytest.approx((34.5 / 60.0, 48.5 / 60.0)),
    ]


def test_no_slow_sample_is_no_pause() -> None:
    assert _below(TIMES, np.ones(len(TIMES))) == []


@pytest.mark.parametrize(("over", "one"), [(1.6, True), (3.0, False)])
def test_a_stay_that_noise_may_have_cut_in_two_is_unsure_of_that_end(
    over: float, *, one: bool
) -> None:
    pace = np.where(slow_between(12, 48, *range(30, 36)) < 0.0, 0.2, 4.0)
    pace[30:36] = over
    first, second = rhythm._Edges(TIMES, pace, 1.0, 1.0).stays()
    doubt = (second.end.time_s - first.end.time_s) / 2.0 if one else 0.0
    assert first.end.sigma_s == pytest.approx(np.hypot(first.start.sigma_s, doubt), rel=1e-3)
    assert second.end.sigma_s == pytest.approx(first.start.sigma_s, rel=1e-3)


def shaken(seen: Exact, share: float, every: int, seed: int) -> Looks:
    """Every so many frames, with white noise of a ``share`` of a torso on the middle of the hands."""
    looks, kept = seen.looks, np.arange(0, len(seen.looks.times_s), every)
    torso_px = 0.288 * looks.stature_px
    noise = np.random.default_rng(seed).normal(0.0, share * torso_px, (len(kept), 2))
    places = {name: xy[kept] for name, xy in looks.ideal.places.items()}
    for wrist in (PointName.LEAD_WRIST, PointName.TRAIL_WRIST):
        places[wrist] = places[wrist] + noise
    album = Album(places, looks.ideal.metre_px, looks.ideal.still[kept])
    return replace(looks, times_s=looks.times_s[kept], here=album, ideal=album)


def order_of(seen: Exact, looks: Looks) -> rhythm.StartOrder:
    passed = seen.instants[KeyframeId.HANDS_PAST_TRAIL_LEG]
    found = rhythm.start_order(looks, seen.instants[KeyframeId.TAKEAWAY], passed)
    assert isinstance(found, rhythm.StartOrder)
    return found


def set_early(seen: Exact, from_s: float, rate_deg_per_s: float, until_deg: float = 40.0) -> Looks:
    """The wrists set the club from a time on, whatever the body does: it turns about the grip end."""
    looks = seen.looks
    turned = np.radians(np.clip(rate_deg_per_s * (looks.times_s - from_s), 0.0, until_deg))
    places = dict(looks.ideal.places)
    butt = places[PointName.BUTT]
    x, y = (places[PointName.CLUBHEAD] - butt).T
    cos, sin = np.cos(turned), np.sin(turned)
    # Clockwise as the picture shows it: the clubhead leaves the target, as it does going back.
    places[PointName.CLUBHEAD] = butt + np.column_stack([cos * x - sin * y, sin * x + cos * y])
    return replace(looks, ideal=replace(looks.ideal, places=places))


def test_wrists_that_set_before_the_body_are_hands_first() -> None:
    """Hands that stay in their place while the wrists lift the club were no start at all."""
    seen = exact("face_on_neutral")
    usual = order_of(seen, seen.looks)
    start_s = usual.start.time_s
    early = order_of(seen, set_early(seen, start_s - 0.2, 200.0))
    wrists = early.onsets[Onset.WRISTS]
    assert wrists.time_s == pytest.approx(start_s - 0.2 + 10.0 / 200.0, abs=0.03)
    assert early.start == usual.start
    assert early.end == wrists
    assert early.end.time_s < early.start.time_s


@pytest.mark.parametrize("name", ["face_on_neutral", "face_on_hands_first", "face_on_pause"])
def test_each_onset_is_told_when_it_is(name: str) -> None:
    """Truth is from space, of the same signals; its wrists begin at two degrees, ours at the ten of C04."""
    seen = exact(name)
    takeaway = seen.instants[KeyframeId.TAKEAWAY]
    assert isinstance(takeaway, Instant)
    found = {
        whose: at.time_s - takeaway.time_s
        for whose, at in order_of(seen, seen.looks).onsets.items()
    }
    true = {
        one.part: one.value
        for one in seen.truth.swings[0].checkpoints
        if one.id is TruthId.START_ORDER and isinstance(one.value, float)
    }
    for whose, part in TRUE_PARTS.items():
        assert found[whose] == pytest.approx(true[part], abs=0.04), whose
    assert -0.04 < found[Onset.WRISTS] - true["wrist_set"] < 0.25


def test_wrists_that_may_have_been_first_make_the_order_less_sure_and_no_earlier() -> None:
    arms = Instant(1.0, 0.03)
    assert rhythm._first_of(arms, None) == arms
    assert rhythm._first_of(arms, Instant(1.1, 0.03)) == arms
    unsure = rhythm._first_of(arms, Instant(0.94, 0.05))
    assert unsure.time_s == arms.time_s
    assert unsure.sigma_s > arms.sigma_s
    assert rhythm._first_of(arms, Instant(0.8, 0.03)).time_s == pytest.approx(0.8)


def test_without_a_club_the_order_is_of_body_and_hands() -> None:
    seen = exact("face_on_neutral")
    places = dict(seen.looks.ideal.places)
    del places[PointName.CLUBHEAD]
    bare = order_of(seen, replace(seen.looks, ideal=replace(seen.looks.ideal, places=places)))
    assert Onset.WRISTS not in bare.onsets
    assert bare.end == order_of(seen, seen.looks).end


def pause_of(seen: Exact, looks: Looks) -> rhythm.Pause | Missing:
    impact = seen.instants[KeyframeId.IMPACT]
    assert isinstance(impact, Instant)
    takeaway, top = (seen.instants[key] for key in (KeyframeId.TAKEAWAY, KeyframeId.TOP))
    return rhythm.pause(looks, takeaway, top, impact.time_s, float(looks.times_s[-1]))


@pytest.mark.parametrize(("share", "every"), [(0.005, 1), (0.01, 1), (0.005, 2), (0.01, 2)])
def test_noise_does_not_cut_a_pause_to_pieces(share: float, every: int) -> None:
    """With a hundredth of a torso at 30 pictures a second a pause of 1.5 s read 0.24 s, give or take 0.04."""
    seen = exact("face_on_pause")
    found = [pause_of(seen, shaken(seen, share, every, seed)) for seed in range(24)]
    stays = [one for one in found if isinstance(one, rhythm.Pause)]
    assert len(stays) == len(found)
    lengths = np.array([one.end.time_s - one.start.time_s for one in stays])
    sigmas = np.array([np.hypot(one.start.sigma_s, one.end.sigma_s) for one in stays])
    assert np.median(lengths) == pytest.approx(1.5, abs=0.02)
    assert np.mean(np.abs(lengths - 1.5) < 2.0 * sigmas) > 0.9
    exact_stay = pause_of(seen, shaken(seen, 0.0, every, 0))
    assert isinstance(exact_stay, rhythm.Pause)
    assert np.median(sigmas) >= np.hypot(exact_stay.start.sigma_s, exact_stay.end.sigma_s)


def test_where_noise_alone_looks_like_motion_no_pause_is_told() -> None:
    seen = exact("face_on_pause")
    assert pause_of(seen, shaken(seen, 0.04, 2, 0)) == Missing(rhythm.UNTOLD_PAUSE)
    swung = exact("face_on_neutral")
    assert all(
        isinstance(one, Missing) or one.end.time_s - one.start.time_s < 0.1
        for one in (pause_of(swung, shaken(swung, 0.01, 2, seed)) for seed in range(24))
    )


def hold_of(seen: Exact, looks: Looks) -> rhythm.Hold:
    torso_px = 0.288 * looks.stature_px
    finish = seen.instants[KeyframeId.FINISH]
    found = rhythm.hold(looks, finish, torso_px, float(looks.times_s[-1]))
    assert isinstance(found, rhythm.Hold)
    return found


@pytest.mark.parametrize(
    ("names", "share"),
    [
        ((PointName.LEAD_ANKLE,), 0.06),
        ((PointName.LEAD_HIP, PointName.TRAIL_HIP), 0.08),
    ],
)
def test_a_finish_that_is_stepped_out_of_is_held_no_longer(
    names: tuple[PointName, ...], share: float
) -> None:
    """With the hands quiet, a student who stepped or fell was told to have held it to the clip's end."""
    seen = exact("face_on_neutral")
    looks = seen.looks
    whole = hold_of(seen, looks)
    step_s = whole.start.time_s + 0.4
    rng = np.random.default_rng(0)

    def moved(share: float) -> Looks:
        places = dict(looks.here.places)
        step_px = share * looks.stature_px * np.clip((looks.times_s - step_s) / 0.1, 0.0, 1.0)
        for name in names:
            noise = rng.normal(0.0, 0.002 * looks.stature_px, places[name].shape)
            places[name] = places[name] + noise + step_px[:, np.newaxis] * np.array([1.0, 0.0])
        return replace(looks, here=replace(looks.here, places=places))

    assert whole.end.time_s == pytest.approx(float(looks.times_s[-1]))
    assert hold_of(seen, moved(share)).end.time_s == pytest.approx(step_s + 0.05, abs=0.06)
    assert hold_of(seen, moved(0.01)).end == whole.end


@pytest.mark.parametrize(("held_s", "stopped"), [(0.3, False), (0.6, True)])
def test_a_stop_takes_the_tempo_away_also_where_its_seconds_are_not_told(
    held_s: float, *, stopped: bool
) -> None:
    pause = rhythm.Pause(Instant(1.0, 0.01), Instant(1.0 + held_s, 0.01))
    assert (rhythm.stop_in_it(pause) is not None) is stopped
    assert rhythm.stop_in_it(Missing(rhythm.UNTOLD_PAUSE)) == Missing(rhythm.UNTOLD_PAUSE)
    assert rhythm.stop_in_it(Missing("The backswing is too short to look for a pause.")) is None

"""Pauses: short interruptions are bridged, as the notes on pauses have it (C12: 70 ms), and noise is no motion."""

from dataclasses import replace

import numpy as np
import pytest

from api.domain.measurement import Missing
from api.domain.names import KeyframeId, PointName
from tests.worker.measure.exact_points import Exact, exact
from worker.measure import rhythm
from worker.measure.looks import Album, Looks
from worker.measure.rhythm import _longest_below
from worker.swing.instants import Instant

TIMES = np.arange(61) / 60.0


def slow_between(first: int, last: int, *fast: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Over the threshold everywhere but from sample ``first`` to ``last``, and there in ``fast``."""
    over = np.ones(len(TIMES))
    over[first : last + 1] = -1.0
    over[list(fast)] = 1.0
    return over


@pytest.mark.parametrize("fast", [(), (30,), (30, 31, 32)])
def test_a_short_interruption_is_bridged(fast: tuple[int, ...]) -> None:
    found = _longest_below(TIMES, slow_between(12, 48, *fast))
    assert found == pytest.approx((11.5 / 60.0, 48.5 / 60.0))


def test_a_longer_one_ends_the_pause() -> None:
    found = _longest_below(TIMES, slow_between(12, 48, 30, 31, 32, 33, 34))
    assert found == pytest.approx((11.5 / 60.0, 29.5 / 60.0))


def test_no_slow_sample_is_no_pause() -> None:
    assert _longest_below(TIMES, np.ones(len(TIMES))) is None


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

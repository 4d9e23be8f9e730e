"""Numbers made of times, against simulation and edge cases. The exact vectors are elsewhere."""

import numpy as np
import pytest

from api.domain import events_timing


def test_the_tempo_sigma_is_what_a_simulation_finds() -> None:
    rng = np.random.default_rng(5)
    gap = 1 / 120
    times = np.array([1.0, 1.75, 2.0]) + rng.uniform(-gap / 2, gap / 2, (100_000, 3))
    ratios = (times[:, 1] - times[:, 0]) / (times[:, 2] - times[:, 1])

    stated = events_timing.tempo_ratio_sigma(3.0, 0.25, events_timing.frame_instant_sigma(gap))

    assert stated == pytest.approx(float(np.std(ratios)), rel=0.01)
    assert stated == pytest.approx(0.05, abs=0.002)


@pytest.mark.parametrize("instants", [(1.0, 0.9, 2.0), (1.0, 2.0, 2.0), (1.0, 1.0, 2.0)])
def test_instants_out_of_order_have_no_tempo(instants: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="takeaway before top before impact"):
        events_timing.tempo_ratio(*instants)


def test_sound_takes_3_ms_a_metre() -> None:
    assert events_timing.impact_from_sound(1.0, 1.0) == pytest.approx(1 - 0.0029, abs=0.00005)
    assert events_timing.impact_from_sound(1.0, 0.0) == 1.0

import numpy as np
import pytest

from api.domain.measurement import Estimate
from tests.worker.swing.moving import golfer
from worker.measure.setting import px_per_m_from_body, settle
from worker.swing.estimates import combine_estimates
from worker.swing.shoulder import leg_px


def test_two_estimates_are_weighed_by_their_certainty() -> None:
    both = combine_estimates(Estimate(10.0, 1.0), Estimate(20.0, 2.0))
    assert both.value == pytest.approx(12.0)
    assert both.sigma == pytest.approx((1 + 1 / 4) ** -0.5)


def test_a_known_stature_makes_the_scale_surer() -> None:
    times = np.arange(0.0, 0.5, 1 / 60)
    still = golfer(times, np.full(len(times), -75.0))
    known, unknown = px_per_m_from_body(still, 1.74), px_per_m_from_body(still, None)
    assert known.value == pytest.approx(unknown.value)
    assert known.sigma < unknown.sigma
    assert known.value == pytest.approx(leg_px(still) / (0.491 * 0.97 * 1.74))


def test_distance_and_horizon_come_with_honest_spreads() -> None:
    setting = settle(Estimate(250.0, 15.0), 720, 1280, hands_row=700.0)
    assert 3.0 < setting.distance_m.value < 5.0
    assert setting.distance_m.sigma < 0.8
    assert 639.5 < setting.horizon_row.value < 700.0
    assert setting.focal_px == pytest.approx(250.0 * setting.distance_m.value)

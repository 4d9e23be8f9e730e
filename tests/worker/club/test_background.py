import numpy as np
import pytest

from worker.club.background import background_of, picture_noise, spread_rows


def test_what_moves_is_not_in_the_background() -> None:
    pictures = []
    for k in range(7):
        picture = np.full((40, 40), 100, dtype=np.uint8)
        picture[5 * k : 5 * k + 5] = 250
        pictures.append(picture)
    assert np.all(background_of(pictures) == 100.0)


@pytest.mark.parametrize("count", range(1, 20))
def test_the_background_is_the_median_of_each_place(count: int) -> None:
    rng = np.random.default_rng(count)
    pictures = [rng.integers(0, 256, (70, 33), dtype=np.uint8) for _ in range(count)]
    assert np.array_equal(background_of(pictures), np.median(np.stack(pictures), axis=0))


def test_noise_is_measured_from_the_unchanged_part() -> None:
    rng = np.random.default_rng(3)
    back = np.full((400, 400), 128.0, dtype=np.float32)
    picture = np.clip(back + rng.normal(0.0, 4.0, back.shape), 0, 255).astype(np.uint8)
    picture[:150] = 250
    # Five eighths unchanged: the median over all is pulled up, by less than the factor two.
    assert 4.0 < picture_noise(picture, back) < 14.0
    assert picture_noise(back.astype(np.uint8), back) == pytest.approx(1.5)


def test_rows_are_spread_by_travel_so_that_a_pause_counts_once() -> None:
    travel = np.concatenate(
        [np.linspace(0, 100, 11), np.full(80, 100.0), np.linspace(100, 200, 11)]
    )
    rows = spread_rows(travel, 9)
    assert sum(10 < row <= 90 for row in rows) <= 1
    assert rows[0] == 0
    assert travel[rows[-1]] == 200.0

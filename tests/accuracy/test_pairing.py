"""Which found swing is which true one."""

from tests.accuracy.pairing import pair


def test_one_swing_found_a_little_late() -> None:
    pairing = pair([(1.0, 3.0)], [(1.2, 3.1)])
    assert (pairing.pairs, pairing.missed, pairing.invented) == (((0, 0),), (), ())


def test_an_invented_swing_before_the_true_one_takes_nothing() -> None:
    pairing = pair([(4.0, 6.0)], [(0.5, 2.0), (4.1, 6.2)])
    assert pairing.pairs == ((0, 1),)
    assert pairing.invented == (0,)


def test_a_missed_first_swing_does_not_shift_the_others() -> None:
    pairing = pair([(0.0, 2.0), (5.0, 7.0), (10.0, 12.0)], [(5.1, 7.0), (10.0, 11.5)])
    assert pairing.pairs == ((1, 0), (2, 1))
    assert pairing.missed == (0,)


def test_one_found_swing_over_two_true_ones_is_one_found_and_one_missed() -> None:
    pairing = pair([(0.0, 2.0), (2.5, 4.5)], [(0.0, 4.5)])
    assert len(pairing.pairs) == 1
    assert len(pairing.missed) == 1
    assert pairing.invented == ()


def test_two_found_halves_of_one_swing_are_one_found_and_one_invented() -> None:
    pairing = pair([(0.0, 3.0)], [(0.0, 1.8), (1.9, 3.0)])
    assert pairing.pairs == ((0, 0),)
    assert pairing.invented == (1,)


def test_touching_is_not_enough() -> None:
    pairing = pair([(0.0, 2.0)], [(1.8, 4.0)])
    assert (pairing.pairs, pairing.missed, pairing.invented) == ((), (0,), (0,))


def test_the_pairing_with_most_time_shared_wins_over_the_first_that_fits() -> None:
    pairing = pair([(0.0, 4.0), (2.0, 4.0)], [(2.0, 4.0), (0.0, 2.5)])
    assert pairing.pairs == ((0, 1), (1, 0))


def test_a_swing_of_which_one_instant_was_found_counts_where_it_lies() -> None:
    assert pair([(1.0, 3.0)], [(2.0, 2.0)]).pairs == ((0, 0),)
    assert pair([(1.0, 3.0)], [(5.0, 5.0)]).invented == (0,)


def test_a_swing_without_any_instant_is_invented() -> None:
    pairing = pair([(1.0, 3.0)], [None])
    assert (pairing.missed, pairing.invented) == ((0,), (0,))


def test_nothing_true_and_nothing_found() -> None:
    assert pair([], []).pairs == ()
    assert pair([], [(0.0, 1.0)]).invented == (0,)
    assert pair([(0.0, 1.0)], []).missed == (0,)

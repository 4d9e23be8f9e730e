"""Which answers are read again: by lot alone."""

from uuid import UUID

from api.domain.double_reads import is_picked
from api.domain.ids import new_id

SECRET = b"secret of the tests"
IDS = [UUID(int=number) for number in range(20_000)]


def picked(share: float, secret: bytes = SECRET) -> set[UUID]:
    return {one for one in IDS if is_picked(one, share, secret)}


def test_none_and_all() -> None:
    assert picked(0.0) == set()
    assert picked(1.0) == set(IDS)


def test_the_share_is_met() -> None:
    # Five standard errors of a fair lot: ids that follow one another are no likelier to be picked together.
    for share in (0.02, 0.1, 0.5):
        reach = 5 * (share * (1 - share) / len(IDS)) ** 0.5
        found = picked(share)
        assert abs(len(found) / len(IDS) - share) < reach
        every_second = found.intersection(IDS[::2])
        assert abs(len(every_second) / (len(IDS) / 2) - share) < 2 * reach


def test_a_larger_share_adds_and_drops_none() -> None:
    assert picked(0.1) < picked(0.2)


def test_the_same_review_is_always_or_never_picked() -> None:
    one = new_id()
    assert len({is_picked(one, 0.5, SECRET) for _ in range(5)}) == 1


def test_without_the_secret_nobody_can_tell() -> None:
    ours, theirs = picked(0.5), picked(0.5, b"another")
    assert 0.45 < len(ours & theirs) / len(ours) < 0.55

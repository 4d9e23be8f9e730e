"""Every instant has words, in the order of the swing."""

from api.domain.keyframes import KEYFRAMES
from api.domain.names import KeyframeId, View


def test_every_instant_has_words_in_order() -> None:
    assert list(KEYFRAMES) == list(KeyframeId)
    assert all(words.name and words.meaning for words in KEYFRAMES.values())


def test_names_differ() -> None:
    assert len({words.name for words in KEYFRAMES.values()}) == len(KEYFRAMES)


def test_only_the_trail_leg_crossing_needs_the_face_on_view() -> None:
    one_view = {key for key, words in KEYFRAMES.items() if words.views != frozenset(View)}

    assert one_view == {KeyframeId.HANDS_PAST_TRAIL_LEG}
    assert KEYFRAMES[KeyframeId.HANDS_PAST_TRAIL_LEG].views == {View.FACE_ON}

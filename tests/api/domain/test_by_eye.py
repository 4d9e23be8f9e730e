"""What a coach judges by eye: which words fit which instant, and to which swing they may belong."""

from dataclasses import replace

import pytest

from api.domain.by_eye import EYE_CHOICES, LONGEST_EYE_WORDS, ByEye, EyeItem, EyeSeen, check_by_eye
from api.domain.errors import Invalid
from api.domain.ids import new_id
from api.domain.names import KeyframeId
from tests.api.domain import vector_files

CLIP = new_id()
SWINGS = {CLIP: 2}
GRIP = ByEye(CLIP, 0, KeyframeId.ADDRESS, EyeItem.GRIP, EyeSeen.STRONG, "Three knuckles")


def test_the_page_offers_the_same() -> None:
    rows = [
        {"keyframe": keyframe, "item": item, "choices": list(seen)}
        for (keyframe, item), seen in EYE_CHOICES.items()
    ]
    assert rows == vector_files.read("desk")["by_eye"]
    assert vector_files.read("desk")["longest_eye_words"] == LONGEST_EYE_WORDS


def test_all_of_them_in_each_swing() -> None:
    every = [
        ByEye(CLIP, swing, keyframe, item, seen[0])
        for swing in (0, 1)
        for (keyframe, item), seen in EYE_CHOICES.items()
    ]
    check_by_eye(every, SWINGS)


def test_every_word_is_offered_somewhere() -> None:
    assert {seen for choices in EYE_CHOICES.values() for seen in choices} == set(EyeSeen)


@pytest.mark.parametrize(
    "ticks",
    [
        [replace(GRIP, seen=EyeSeen.OPEN)],
        [replace(GRIP, keyframe=KeyframeId.TOP)],
        [replace(GRIP, item=EyeItem.FACE, seen=EyeSeen.OPEN)],
        [replace(GRIP, swing=2)],
        [replace(GRIP, swing=-1)],
        [replace(GRIP, clip_id=new_id())],
        [GRIP, replace(GRIP, seen=EyeSeen.WEAK)],
    ],
)
def test_a_tick_that_cannot_be_is_refused(ticks: list[ByEye]) -> None:
    with pytest.raises(Invalid):
        check_by_eye(ticks, SWINGS)


def test_a_tick_of_a_clip_that_was_replaced_does_not_stop_the_draft() -> None:
    check_by_eye([GRIP], {new_id(): 1}, kept=[GRIP])
    with pytest.raises(Invalid):
        check_by_eye([replace(GRIP, seen=EyeSeen.WEAK)], {new_id(): 1}, kept=[GRIP])


def test_a_tick_survives_the_draft() -> None:
    assert ByEye.from_json(GRIP.to_json()) == GRIP

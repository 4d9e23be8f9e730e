"""What a coach says to findings: what may be said, and what is told of it."""

import pytest

from api.domain.errors import Invalid
from api.domain.findings import FindingCode
from api.domain.judgement import (
    DISMISS_WORDS,
    DismissReason,
    Judged,
    Judgement,
    check_judged,
    check_later,
    standing,
    told,
    words_of,
)

SURE = {"code": "sway", "sure": True}
UNSURE = {"code": "under_set", "sure": False}


def accepted(code: FindingCode | None, name: str = "", words: str = "") -> Judged:
    return Judged(code, name, Judgement.ACCEPTED, None, words)


def dismissed(code: FindingCode) -> Judged:
    return Judged(code, "", Judgement.DISMISSED, DismissReason.CAMERA_ASIDE, "")


def test_what_was_dismissed_is_not_told_and_what_was_not_judged_is() -> None:
    found = [SURE, UNSURE]
    shown = told(found, [dismissed(FindingCode.SWAY)])
    assert [one.found for one in shown] == [UNSURE]
    assert shown[0].is_open
    assert len(standing(found, [dismissed(FindingCode.SWAY)])) == 2


def test_a_call_closes_what_was_too_close_to_call() -> None:
    (one,) = told([UNSURE], [accepted(FindingCode.UNDER_SET)])
    assert not one.is_open


def test_a_coachs_own_come_last_and_a_pattern_is_not_told_twice() -> None:
    own = accepted(None, "Grip too strong", "Both thumbs")
    shown = told([SURE], [own, accepted(FindingCode.SWAY), accepted(FindingCode.ARM_LIFT)])
    assert [words_of(one)[0] for one in shown] == ["Sway", "Grip too strong", "Arm lift"]
    assert [one.found for one in shown] == [SURE, None, None]


def test_a_pattern_that_a_correction_took_away_stays_the_coachs_if_it_was_accepted() -> None:
    assert [one.found for one in told([], [accepted(FindingCode.SWAY)])] == [None]
    assert told([], [dismissed(FindingCode.SWAY)]) == []


@pytest.mark.parametrize(
    "judged",
    [
        [Judged(None, "", Judgement.ACCEPTED, None, "")],
        [Judged(FindingCode.SWAY, "Sway", Judgement.ACCEPTED, None, "")],
        [Judged(FindingCode.SWAY, "", Judgement.DISMISSED, None, "")],
        [Judged(FindingCode.SWAY, "", Judgement.ACCEPTED, DismissReason.NOT_NOW, "")],
        [Judged(None, "Own", Judgement.DISMISSED, DismissReason.NOT_NOW, "")],
        [accepted(FindingCode.SWAY), dismissed(FindingCode.SWAY)],
        [accepted(None, "Grip"), accepted(None, "grip")],
        [accepted(None, f"Own {number}") for number in range(21)],
    ],
)
def test_judgements_that_make_no_sense_are_refused(judged: list[Judged]) -> None:
    with pytest.raises(Invalid):
        check_judged(judged)


def test_judgements_survive_the_draft() -> None:
    for one in (dismissed(FindingCode.SWAY), accepted(None, "Grip", "words")):
        assert Judged.from_json(one.to_json()) == one


def test_every_reason_has_words() -> None:
    assert set(DISMISS_WORDS) == set(DismissReason)


def test_two_things_for_later_are_the_most() -> None:
    check_later(["one", "two"])
    with pytest.raises(Invalid):
        check_later(["one", "two", "three"])

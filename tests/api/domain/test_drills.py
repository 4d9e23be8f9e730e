"""The drill library is complete, and no drill goes out without its cautions."""

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.domain.drills import GENERAL_CAUTIONS, Dose, Drill, library, serving
from api.domain.findings import FindingCode


@pytest.mark.parametrize("drill", DRILLS.values(), ids=lambda drill: drill.id)
def test_a_drill_says_everything_it_must(drill: Drill) -> None:
    assert drill.purpose
    assert drill.helps
    assert drill.kit
    assert len(drill.steps) >= 3
    assert drill.next_clip
    assert drill.cautions[-len(GENERAL_CAUTIONS) :] == GENERAL_CAUTIONS


def test_the_cautions_name_what_could_hurt() -> None:
    text = " ".join(GENERAL_CAUTIONS).lower()

    for word in (
        "warm up",
        "space",
        "slowly",
        "hurts",
        "dizzy",
        "professional",
        "weighted",
        "range",
    ):
        assert word in text


def test_there_are_sixteen_and_every_finding_is_answered() -> None:
    assert len(DRILLS) == 16
    assert all(serving(finding, DRILLS) for finding in FindingCode)


def test_a_drill_with_a_check_is_filmed_in_that_checks_view() -> None:
    for drill in DRILLS.values():
        assert all(drill.film in CHECKPOINTS[checkpoint].views for checkpoint in drill.checks)


def test_every_drill_says_what_its_pause_is_of() -> None:
    """A breath at address, a rest between turns and a held finish were all asked as a stop in the swing."""
    by_pause = {drill.id: drill.pause_of for drill in DRILLS.values()}
    assert {key for key, of in by_pause.items() if of is None} == {
        "press-then-go",
        "trail-hand-set",
        "wall-at-the-hip",
        "wall-behind-you",
    }
    finish = {key for key, of in by_pause.items() if of is CheckpointId.FINISH_HOLD}
    assert finish == {"finish-and-hold", "feet-together"}
    stops = set(by_pause.values()) - {None, CheckpointId.FINISH_HOLD}
    assert stops == {CheckpointId.PAUSE_LENGTH}


@pytest.mark.parametrize("drill", DRILLS.values(), ids=lambda drill: drill.id)
def test_a_position_is_named_only_of_a_stop(drill: Drill) -> None:
    if drill.stop_at is not None or drill.stop_hinged:
        assert drill.pause_of is CheckpointId.PAUSE_LENGTH


def test_ids_are_kept_apart() -> None:
    drill = DRILLS["towel-hug"]

    with pytest.raises(ValueError, match="twice"):
        library((drill, drill))


def test_ids_are_fit_for_an_address() -> None:
    assert all(key == drill.id for key, drill in DRILLS.items())
    assert all(key.replace("-", "").isalpha() and key.islower() for key in DRILLS)


@pytest.mark.parametrize(
    "dose", [(0, 5, 1.0, 3, 1), (3, 0, 1.0, 3, 1), (3, 5, -1.0, 3, 1), (3, 5, 1.0, 8, 1)]
)
def test_an_impossible_dose_is_refused(dose: tuple[int, int, float, int, int]) -> None:
    with pytest.raises(ValueError, match="no such dose"):
        Dose(*dose)

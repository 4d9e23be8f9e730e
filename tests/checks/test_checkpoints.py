"""A checkpoint is whole: it can be told in words, checked against truth, and found on the pages.

Nine places know each number. What one of them lacks shows late: a number nobody can check, or one that
the pages put under "Others".
"""

import re
from pathlib import Path

import pytest

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from tests.accuracy.studio_truth import key_of
from tests.studio.truth.schema import load_truth
from worker.measure.residuals import residual

ROOT = Path(__file__).parents[2]
GROUPS = ROOT / "web/src/answer/groups.ts"
NOT_FITTED = frozenset(
    {
        # Level by definition, along the target line: no calibration clip shows a pitch there.
        CheckpointId.SHAFT_PITCH_AT_DELIVERY,
    }
)
"""Readings that no spread is fitted for: theirs is what their own terms say, and nothing besides."""


@pytest.fixture(scope="module")
def truths() -> set[str]:
    """Ids that the studio's truth knows, from a kept clip of each view."""
    clips = (ROOT / f"tests/clips/{name}_neutral.json" for name in ("face_on", "down_the_line"))
    return {key_of(one) for clip in clips for one in load_truth(clip).swings[0].checkpoints}


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_the_studio_knows_what_a_reading_should_come_to(
    checkpoint: CheckpointId, truths: set[str]
) -> None:
    assert checkpoint.value in truths


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_it_is_told_in_words_of_its_own(checkpoint: CheckpointId) -> None:
    told = CHECKPOINTS[checkpoint]
    others = {one.name for key, one in CHECKPOINTS.items() if key is not checkpoint}
    assert told.name
    assert told.name not in others
    assert told.meaning.endswith(".")
    assert checkpoint.value not in told.meaning
    assert told.bands_source


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_its_spread_is_fitted_or_known_not_to_be(checkpoint: CheckpointId) -> None:
    assert residual(checkpoint, otherwise=-1.0) >= 0.0 or checkpoint in NOT_FITTED


@pytest.mark.parametrize("checkpoint", CheckpointId)
def test_the_pages_give_it_a_place(checkpoint: CheckpointId) -> None:
    """Its words come with the number; its group and the order there are the pages' own."""
    placed = re.findall(rf'"{checkpoint.value}"', GROUPS.read_text(encoding="utf-8"))
    assert len(placed) == (0 if CHECKPOINTS[checkpoint].main else 1)

"""The clips in the repository are those that ``tests.studio.kept`` describes, as the studio makes them."""

from pathlib import Path

import numpy as np
import pytest

from api.domain.names import KeyframeId
from tests.studio.filming import set_up
from tests.studio.guard import set_of
from tests.studio.kept import FOLDER, KEPT
from tests.studio.truth.compute import compute_truth
from tests.studio.truth.contents import InstantTruth
from tests.studio.truth.schema import load_truth


def test_the_folder_holds_these_clips_and_no_others() -> None:
    held = {path.name for path in Path(FOLDER).iterdir()}
    wanted = {f"{clip.name}.{end}" for clip in KEPT for end in ("mp4", "json")}
    assert held == wanted | {"README.md"}
    assert len(KEPT) == 12


def test_they_belong_to_no_set() -> None:
    assert [clip.name for clip in KEPT if set_of(clip.seed) is not None] == []


@pytest.mark.parametrize("clip", KEPT, ids=lambda clip: clip.name)
def test_each_was_made_from_its_dials(clip: object) -> None:
    name = getattr(clip, "name", "")
    assert load_truth(Path(FOLDER) / f"{name}.json").dials == clip


@pytest.mark.slow
@pytest.mark.parametrize("name", ["face_on_stop_at_top", "down_the_line_neutral"])
def test_the_studio_would_tell_the_same_truth_today(name: str) -> None:
    """Fails when the motion, the camera or a definition moved and the clips were not made anew."""
    kept = load_truth(Path(FOLDER) / f"{name}.json")
    scene = set_up(kept.dials)
    now = compute_truth(kept.dials, scene.motion, scene.camera, scene.times)
    for key in KeyframeId:
        then, today = kept.swings[0].instants[key], now.swings[0].instants[key]
        assert type(then) is type(today)
        if isinstance(then, InstantTruth) and isinstance(today, InstantTruth):
            assert today.file_s == pytest.approx(then.file_s, abs=2e-4)
    assert np.nanmax(np.abs(now.frames.pixels - kept.frames.pixels)) < 0.02

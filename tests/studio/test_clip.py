"""A clip of the studio is what its truth says: same frames, same times, same bytes again."""

from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console

from api.domain.names import KeyframeId
from tests.studio.clip import MadeClip, made_already, make_clip
from tests.studio.dials import (
    Background,
    CameraDials,
    ClipDials,
    FilmDials,
    SceneDials,
    Sound,
    SwingDials,
)
from tests.studio.guard import OPENERS, SEEDS, Set, SetIsClosed
from tests.studio.making import ClipsNotMade, make_clips
from tests.studio.needs_gl import needs_gl
from tests.studio.sheet import contact_sheet, planned_moments
from tests.studio.swing.keys import Phase
from tests.studio.truth.schema import InstantTruth, load_truth
from worker.video.probe import probe_clip

pytestmark = needs_gl

SMALL = ClipDials(
    "small",
    5,
    swing=SwingDials(backswing_s=0.6, lead_in_s=0.5, hold_s=0.2, stop_at_top=True),
    camera=CameraDials(portrait=True),
    film=FilmDials(fps=24.0, rotation_deg=90, variable_rate=True, sound=Sound.MONO),
    scene=SceneDials(Background.GRASS),
)
IMPOSSIBLE = replace(SMALL, name="impossible", scene=SceneDials(Background.INDOOR, bystander=True))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> MadeClip:
    return make_clip(SMALL, tmp_path_factory.mktemp("made"))


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAIRLEAD_STUDIO_CACHE", str(tmp_path))
    return tmp_path


class TestOne:
    def test_the_truth_knows_every_frame_by_its_time(self, made: MadeClip) -> None:
        probe, truth = probe_clip(made.video), load_truth(made.truth)
        assert list(truth.frames.file_s) == pytest.approx(list(probe.frame_times_s), abs=2e-6)
        assert (truth.width, truth.height) == (probe.facts.width, probe.facts.height) == (720, 1280)
        assert probe.facts.rotation_deg == 90
        assert probe.facts.has_audio

    def test_its_instants_lie_where_the_swing_was_planned(self, made: MadeClip) -> None:
        """Within what the definitions and the plan's wording may differ by."""
        (swing,) = load_truth(made.truth).swings
        level = swing.instants[KeyframeId.LEAD_ARM_PARALLEL]
        assert isinstance(level, InstantTruth)
        assert level.life_s == pytest.approx(planned_moments(SMALL)[Phase.ARM_PARALLEL], abs=0.08)

    @pytest.mark.parametrize("closed", OPENERS)
    def test_truth_of_a_closed_set_is_not_read(
        self, made: MadeClip, tmp_path: Path, closed: Set
    ) -> None:
        seed = f'"seed":{SEEDS[closed][0]},'
        other = tmp_path / "other.json"
        other.write_text(made.truth.read_text().replace('"seed":5,', seed))
        assert seed in other.read_text()
        with pytest.raises(SetIsClosed, match=closed.value):
            load_truth(other)

    @pytest.mark.slow
    def test_the_same_dials_give_the_same_bytes(self, made: MadeClip, tmp_path: Path) -> None:
        again = make_clip(SMALL, tmp_path)
        assert again.video.read_bytes() == made.video.read_bytes()
        assert again.truth.read_bytes() == made.truth.read_bytes()

    def test_a_sheet_shows_what_the_swing_has(self) -> None:
        assert list(planned_moments(SMALL)) == [Phase.ADDRESS, Phase.ARM_PARALLEL, Phase.TOP]
        sheet = contact_sheet([SMALL])
        assert sheet.shape == (506, 5 * 480, 3)
        drawn = [float(sheet[40:, 480 * i : 480 * i + 480].std()) for i in range(5)]
        assert min(drawn[:3]) > 20 > max(drawn[3:])


@pytest.mark.slow
class TestMany:
    def test_one_that_cannot_be_made_does_not_take_the_others_along(self, cache: Path) -> None:
        quiet = Console(quiet=True)
        with pytest.raises(ClipsNotMade, match=r"impossible.*nobody walks") as caught:
            make_clips([IMPOSSIBLE, SMALL], console=quiet)
        assert set(caught.value.problems) == {"impossible"}
        there = made_already(SMALL)
        assert there is not None
        assert make_clips([SMALL, SMALL], console=quiet) == [there, there]
        assert len(list(cache.rglob("*.mp4"))) == 1

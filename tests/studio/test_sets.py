"""Sets of clips are told apart by seed, are always the same, and stay shut to strangers."""

import importlib.util
import os
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager
from dataclasses import asdict, dataclass, replace
from itertools import combinations
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from api.domain.names import View
from tests.studio.cache import cached
from tests.studio.design.block import block
from tests.studio.design.columns import Columns
from tests.studio.dials import ClipDials
from tests.studio.guard import SEEDS, Set, SetIsClosed, calibrating, require_open, scoring, set_of
from tests.studio.sets import STANDARD, cost_of, dials_of, frames_of, quick, standard
from tests.studio.swing.timing import make_schedule
from tests.studio.times import frame_times

ROOT = Path(__file__).resolve().parents[2]
CLOSED = [Set.CALIBRATION, Set.REPORT]


@pytest.fixture
def practice() -> tuple[ClipDials, ...]:
    return standard(Set.PRACTICE)


class TestSeeds:
    def test_no_seed_belongs_to_two_sets(self) -> None:
        for one, other in combinations(SEEDS.values(), 2):
            assert not set(one) & set(other)

    def test_every_set_has_seeds_of_its_own(self) -> None:
        assert set(SEEDS) == set(Set)
        for name, seeds in SEEDS.items():
            assert {set_of(seeds[0]), set_of(seeds[-1])} == {name}

    def test_clips_carry_the_seeds_of_their_set(self, practice: tuple[ClipDials, ...]) -> None:
        assert [clip.seed for clip in practice] == list(SEEDS[Set.PRACTICE][:STANDARD])

    def test_a_clip_made_by_hand_belongs_to_none(self) -> None:
        assert set_of(7) is None
        require_open(7)


class TestDials:
    def test_the_same_index_gives_the_same_clip(self) -> None:
        import tests.studio.design.block as module  # noqa: PLC0415 - to forget what it remembers

        first = dials_of(Set.PRACTICE, 70)
        module._drawn.cache_clear()
        assert dials_of(Set.PRACTICE, 70) == first

    def test_no_two_clips_are_alike(self) -> None:
        clips = [dials_of(Set.PRACTICE, index) for index in range(2 * STANDARD)]
        looks = {str(asdict(replace(clip, name="", seed=0))) for clip in clips}
        assert len(looks) == len({clip.name for clip in clips}) == len(clips)

    def test_past_the_last_seed_there_is_nothing(self) -> None:
        with pytest.raises(IndexError):
            dials_of(Set.PRACTICE, 2_000_000)

    def test_every_clip_can_be_filmed(self, practice: tuple[ClipDials, ...]) -> None:
        for clip in practice:
            duration_s = make_schedule(clip.swing).duration_s
            assert frames_of(clip) == len(frame_times(clip, duration_s).file_s) >= 48

    def test_the_standard_clips_can_be_rendered_in_time(
        self, practice: tuple[ClipDials, ...]
    ) -> None:
        """At 0.2 s a frame of 720, in two processes: 64 clips of 200 are 21 minutes."""
        assert np.mean([cost_of(clip) for clip in practice]) < 200
        assert max(cost_of(clip) for clip in practice) < 700


class TestCouplings:
    """What goes with what in life does so in the sample."""

    def test_dim_places_are_filmed_with_long_exposures(
        self, practice: tuple[ClipDials, ...]
    ) -> None:
        exposures = {
            kind: np.median([c.film.exposure_s for c in practice if c.scene.background in kind])
            for kind in (("grass", "range"), ("indoor", "evening"))
        }
        assert exposures["indoor", "evening"] > 3 * exposures["grass", "range"]

    def test_no_exposure_outlasts_the_gap_between_frames(
        self, practice: tuple[ClipDials, ...]
    ) -> None:
        assert all(c.film.exposure_s <= 1 / c.film.fps + 1e-12 for c in practice)
        assert all(c.film.rolling_shutter_s <= 1 / c.film.fps for c in practice)

    def test_roll_points_the_butt_out_and_lift_points_it_in(
        self, practice: tuple[ClipDials, ...]
    ) -> None:
        rolled = [c.swing.butt_grips for c in practice if c.swing.early_roll > 0.4]
        lifted = [c.swing.butt_grips for c in practice if c.swing.arm_lift > 0.4]
        assert max(np.median(rolled), -0.3) < min(np.median(lifted), 1.0)
        assert not any(c.swing.early_roll and c.swing.arm_lift for c in practice)

    def test_high_speed_and_large_pictures_are_rare(self, practice: tuple[ClipDials, ...]) -> None:
        assert sum(c.film.fps == 240 for c in practice) <= 2
        assert sum(c.film.short_side == 1080 for c in practice) <= 6

    def test_the_club_s_reach_is_in_the_picture(self, practice: tuple[ClipDials, ...]) -> None:
        for clip in practice:
            half_m = clip.camera.distance_m * np.tan(np.radians(clip.camera.fov_deg / 2)) * 9 / 16
            assert 1.2 < half_m < 2.3, clip.name


class TestQuick:
    def test_four_small_clips_half_of_each_view(self) -> None:
        clips = quick(Set.PRACTICE)
        assert len(set(clips)) == 4
        assert [c.camera.view for c in clips].count(View.FACE_ON) == 2
        assert {c.film.fps for c in clips} == {30.0, 60.0}
        assert {c.film.short_side for c in clips} == {720}

    def test_they_are_rendered_in_two_minutes_on_two_slow_cores(self) -> None:
        """0.2 to 0.4 s a frame at 720, by the machine."""
        assert sum(cost_of(clip) for clip in quick(Set.PRACTICE)) * 0.4 / 2 < 120

    def test_they_are_clips_of_the_standard_set(self) -> None:
        assert set(quick(Set.PRACTICE)) <= set(standard(Set.PRACTICE))


class TestColumns:
    def test_a_spread_has_one_value_a_stratum_and_both_ends(self) -> None:
        column = np.sort(Columns(3, 40).spread(-2.0, 6.0))
        assert (column[0], column[-1]) == (-2.0, 6.0)
        strata = np.floor((column + 2.0) / 8.0 * 40)
        assert list(strata[:-1]) == list(range(39))

    def test_members_come_by_weight_and_none_is_left_out(self) -> None:
        dealt = Columns(3, 20).dealt({"often": 17.0, "seldom": 2.9, "hardly": 0.1})
        assert [dealt.count(name) for name in ("often", "seldom", "hardly")] == [17, 2, 1]

    def test_by_says_who_gets_the_larger_values(self) -> None:
        order = np.random.default_rng(0).permutation(30)
        column = Columns(3, 30).spread(0.0, 1.0, by=order)
        assert list(np.argsort(column)) == list(np.argsort(order))

    def test_some_rows_are_spread_over_the_whole_range(self) -> None:
        rows = np.arange(12) % 3 == 0
        column = Columns(3, 12).among(rows, 0.2, 1.0)
        assert (column[rows].min(), column[rows].max()) == (0.2, 1.0)
        assert not column[~rows].any()


@pytest.fixture
def command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator["Command"]:
    """A module that lies in the accuracy command's folder of a tree of its own."""
    folder = tmp_path / "tests" / "accuracy"
    folder.mkdir(parents=True)
    (folder / "plain.py").write_text(
        "from tests.studio.guard import calibrating, scoring\n"
        "def open_report():\n    return scoring()\n"
        "def open_calibration():\n    return calibrating()\n"
    )
    monkeypatch.setattr("tests.studio.guard.TREE", tmp_path)
    spec = importlib.util.spec_from_file_location("planted_command", folder / "plain.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    with ThreadPoolExecutor(1) as thread:
        yield Command(module, thread)
    sys.modules.pop("planted_command", None)


@dataclass(frozen=True, slots=True)
class Command:
    """Calls the planted module from a thread of its own, where no code of these tests calls it."""

    module: ModuleType
    thread: ThreadPoolExecutor

    def open_report(self) -> AbstractContextManager[None]:
        opened: AbstractContextManager[None] = self.thread.submit(self.module.open_report).result()
        return opened

    def open_calibration(self) -> None:
        self.thread.submit(self.module.open_calibration).result()


class TestGuard:
    @pytest.mark.parametrize("closed", CLOSED)
    def test_dials_of_a_closed_set_are_not_given(self, closed: Set) -> None:
        for take in (lambda: dials_of(closed, 0), lambda: standard(closed), lambda: quick(closed)):
            with pytest.raises(SetIsClosed, match=closed.value):
                take()

    @pytest.mark.parametrize("closed", CLOSED)
    def test_nor_by_their_seeds(self, closed: Set) -> None:
        with pytest.raises(SetIsClosed):
            block(SEEDS[closed][0])

    @pytest.mark.parametrize("closed", CLOSED)
    def test_nor_are_their_files(
        self, closed: Set, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """Dials rebuilt by hand with a seed of a closed set do not open its cache either."""
        monkeypatch.setenv("FAIRLEAD_STUDIO_CACHE", str(tmp_path))
        dials = ClipDials("sly", SEEDS[closed][5])
        with pytest.raises(SetIsClosed):
            cached(dials, ".mp4", ("tests.studio.dials",), lambda path: path.touch())
        assert not list(tmp_path.iterdir())

    def test_nor_by_way_of_the_command_s_own_code(self) -> None:
        standard_set = importlib.import_module("tests.accuracy.standard_set")
        with pytest.raises(SetIsClosed, match="test_sets"):
            standard_set.standard_clips(only_quick=True)

    @pytest.mark.parametrize("way", ["a line", "a script", "piped"])
    def test_nor_from_outside_the_tree(self, way: str, tmp_path: Path) -> None:
        """``python -c`` and a loose script once opened the report set by importing its command."""
        line = "from tests.accuracy.standard_set import standard_clips; standard_clips(only_quick=True)"
        script = tmp_path / "loose.py"
        script.write_text(line)
        command = {"a line": ["-c", line], "a script": [str(script)], "piped": ["-"]}[way]
        done = subprocess.run(
            [sys.executable, *command],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(ROOT), "FAIRLEAD_STUDIO_CACHE": str(tmp_path)},
            input=line,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode != 0
        assert "SetIsClosed" in done.stderr

    def test_a_stranger_cannot_open_them(self) -> None:
        with pytest.raises(SetIsClosed, match="tests/accuracy/"):
            scoring()
        with pytest.raises(SetIsClosed, match="tests/calibration/"):
            calibrating()

    def test_the_command_can_and_the_door_shuts_behind_it(self, command: Command) -> None:
        with command.open_report():
            assert len(standard(Set.REPORT)) == STANDARD
            with pytest.raises(SetIsClosed):
                dials_of(Set.CALIBRATION, 0)
        with pytest.raises(SetIsClosed):
            dials_of(Set.REPORT, 0)

    def test_the_door_shuts_after_a_fault_too(self, command: Command) -> None:
        with pytest.raises(RuntimeError, match="broken"), command.open_report():
            raise RuntimeError("broken")
        with pytest.raises(SetIsClosed):
            dials_of(Set.REPORT, 0)

    def test_the_report_s_command_cannot_open_the_calibration_set(self, command: Command) -> None:
        with pytest.raises(SetIsClosed):
            command.open_calibration()

    def test_one_set_is_open_at_a_time(self, command: Command) -> None:
        again = command.open_report()
        with command.open_report(), pytest.raises(SetIsClosed, match="never mixed"), again:
            pytest.fail("the same door opened twice")

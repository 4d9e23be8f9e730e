"""A clip is made once, and again when what it depends on changes."""

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from tests.studio.cache import cache_folder, cached, key_of
from tests.studio.dials import ClipDials, FilmDials
from tests.studio.sources import digest_of, files_behind

CLIP = ClipDials("by-hand", 3)
DIALS = ("tests.studio.dials",)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("FAIRLEAD_STUDIO_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """A small studio: ``film`` imports ``lens``; ``truth`` imports ``film``; ``tool`` stands apart."""
    studio = tmp_path / "tree" / "tests" / "studio"
    (studio / "bodies").mkdir(parents=True)
    (studio / "bodies" / "man.npz").write_bytes(b"a body")
    (studio / "lens.py").write_text("FOCAL = 1\n")
    (studio / "film.py").write_text("from tests.studio.lens import FOCAL\nimport numpy\n")
    (studio / "truth.py").write_text("from tests.studio import film\n")
    (studio / "tool.py").write_text("import tests.studio.film\n")
    digest_of.cache_clear()
    return tmp_path / "tree"


def changed(path: Path) -> None:
    path.write_text(path.read_text() + "# changed\n")
    digest_of.cache_clear()


def keys(tree: Path) -> dict[str, str]:
    return {
        name: key_of(CLIP, (f"tests.studio.{name}",), tree) for name in ("film", "truth", "tool")
    }


def noting(made: list[Path], text: str = "clip") -> Callable[[Path], None]:
    def make(path: Path) -> None:
        made.append(path)
        path.write_text(text)

    return make


class TestKey:
    def test_it_is_the_same_twice(self, tree: Path) -> None:
        assert keys(tree) == keys(tree)

    @pytest.mark.parametrize(
        "other",
        [
            replace(CLIP, name="another"),
            replace(CLIP, seed=4),
            replace(CLIP, film=FilmDials(crf=21)),
        ],
    )
    def test_any_dial_changes_it(self, tree: Path, other: ClipDials) -> None:
        assert key_of(other, ("tests.studio.film",), tree) != keys(tree)["film"]

    def test_a_part_deep_down_changes_all_that_stand_on_it(self, tree: Path) -> None:
        before = keys(tree)
        changed(tree / "tests/studio/lens.py")
        assert not set(before.values()) & set(keys(tree).values())

    def test_truth_does_not_touch_film(self, tree: Path) -> None:
        before = keys(tree)
        changed(tree / "tests/studio/truth.py")
        after = keys(tree)
        assert after["truth"] != before["truth"]
        assert (after["film"], after["tool"]) == (before["film"], before["tool"])

    def test_a_body_changes_it(self, tree: Path) -> None:
        before = keys(tree)
        (tree / "tests/studio/bodies/man.npz").write_bytes(b"another body")
        digest_of.cache_clear()
        assert keys(tree)["film"] != before["film"]

    def test_an_unrelated_file_does_not(self, tree: Path) -> None:
        before = keys(tree)
        (tree / "tests/studio/test_film.py").write_text("def test_it(): pass\n")
        digest_of.cache_clear()
        assert keys(tree) == before


def test_a_video_stands_on_everything_that_draws_it_and_on_no_truth() -> None:
    names = {path.name for path in files_behind(("tests.studio.filming",))}
    assert {"dials.py", "motion.py", "camera.py", "render.py", "film.py", "sound.py"} <= names
    assert not {"sets.py", "cache.py", "__main__.py", "compute.py"} & names


class TestFiles:
    def test_it_is_made_once(self, folder: Path) -> None:
        made: list[Path] = []
        first = cached(CLIP, ".mp4", DIALS, noting(made))
        again = cached(CLIP, ".mp4", DIALS, noting(made))
        assert first == again
        assert len(made) == 1
        assert first.read_text() == "clip"
        assert first.is_relative_to(folder)

    def test_other_dials_lie_elsewhere(self) -> None:
        made: list[Path] = []
        paths = {
            cached(replace(CLIP, seed=seed), ".mp4", DIALS, noting(made)) for seed in (1, 2, 3)
        }
        assert len(paths) == len(made) == 3

    def test_half_a_file_is_never_seen(self, folder: Path) -> None:
        def failing(path: Path) -> None:
            path.write_text("half")
            raise RuntimeError("no light")

        with pytest.raises(RuntimeError, match="no light"):
            cached(CLIP, ".mp4", DIALS, failing)
        assert [path for path in folder.rglob("*") if path.is_file()] == []
        made: list[Path] = []
        assert cached(CLIP, ".mp4", DIALS, noting(made)).read_text() == "clip"

    def test_many_can_fill_it_at_once(self, folder: Path) -> None:
        made: list[Path] = []

        def one(number: int) -> str:
            make = noting(made, "the same whoever makes it" * 1000)
            clip = replace(CLIP, seed=number % 3)
            return cached(clip, ".mp4", DIALS, make).read_text()

        with ThreadPoolExecutor(8) as pool:
            texts = set(pool.map(one, range(48)))
        assert texts == {"the same whoever makes it" * 1000}
        assert len([path for path in folder.rglob("*") if path.is_file()]) == 3

    def test_without_a_wish_it_lies_in_the_checkout_where_git_does_not_look(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.delenv("FAIRLEAD_STUDIO_CACHE")
        assert cache_folder().parts[-2:] == (".cache", "studio")
        assert os.path.commonpath([cache_folder(), Path(__file__)]) == str(
            Path(__file__).resolve().parents[2]
        )

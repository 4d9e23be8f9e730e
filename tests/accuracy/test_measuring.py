"""Measuring in processes: nothing is dropped, and only what changed is measured again."""

import os
from pathlib import Path

import pytest

from tests.accuracy import digests, measuring
from tests.accuracy.made_up import found_swing, measured, true_clip
from tests.accuracy.measuring import CRASHED, MEASURED, REFUSED, Job, Measured, measure_all
from tests.accuracy.truths import TrueClip
from worker.pipeline import MeasureRequest


def _clips(folder: Path, *names: str) -> list[TrueClip]:
    clips = []
    for name in names:
        video = folder / f"{name}.mp4"
        video.write_bytes(name.encode())
        clips.append(true_clip(video))
    return clips


def pretend(job: Job) -> Measured:
    """Stands for ``measure_one`` in a measuring process; the clip's name says what happens."""
    if job.video.stem == "dies":
        os._exit(9)
    if job.video.stem == "crashes":
        return Measured(CRASHED, "ValueError: x", None, 0.0, 0.0)
    with (job.video.parent / "measured.txt").open("a") as file:
        file.write(f"{job.video.stem}\n")
    return measured(found_swing())


@pytest.fixture(autouse=True)
def _pretending(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(measuring, "measure_one", pretend)


def _run(clips: list[TrueClip], kept: Path) -> dict[str, Measured]:
    told: list[str] = []
    results = measure_all(clips, kept, on_done=lambda clip, _: told.append(clip.name))
    assert sorted(told) == sorted(clip.name for clip in clips)
    return results


@pytest.mark.slow
def test_a_process_that_dies_takes_only_its_own_clip(tmp_path: Path) -> None:
    results = _run(_clips(tmp_path, "a", "dies", "b", "c"), tmp_path / "kept")
    assert {name: one.outcome for name, one in results.items()} == {
        "a": MEASURED,
        "b": MEASURED,
        "c": MEASURED,
        "dies": CRASHED,
    }
    assert results["dies"].reason == measuring.PROCESS_DIED


@pytest.mark.slow
def test_a_second_run_measures_only_what_changed_or_crashed(tmp_path: Path) -> None:
    clips = _clips(tmp_path, "a", "b", "crashes")
    first = _run(clips, tmp_path / "kept")
    (tmp_path / "measured.txt").unlink()
    (tmp_path / "b.mp4").write_bytes(b"another film")
    digests.file_digest.cache_clear()
    second = _run(clips, tmp_path / "kept")
    assert (tmp_path / "measured.txt").read_text() == "b\n"
    assert second["a"] == first["a"]
    assert second["crashes"].outcome == CRASHED


def test_what_the_student_says_is_part_of_the_digest(tmp_path: Path) -> None:
    (clip,) = _clips(tmp_path, "a")
    longer = TrueClip(**{**{n: getattr(clip, n) for n in TrueClip.__slots__}, "club_length_m": 1.1})
    assert digests.measurement_digest(clip) != digests.measurement_digest(longer)


def test_any_change_of_the_pipelines_sources_changes_the_digest(tmp_path: Path) -> None:
    for folder in digests.SOURCES:
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "a.py").write_text("x = 1\n")
    before = digests.sources_digest(tmp_path)
    digests.sources_digest.cache_clear()
    assert digests.sources_digest(tmp_path) == before
    (tmp_path / "worker" / "a.py").write_text("x = 2\n")
    digests.sources_digest.cache_clear()
    assert digests.sources_digest(tmp_path) != before


def test_a_file_that_is_no_film_is_refused_not_crashed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()
    video = tmp_path / "words.mp4"
    video.write_text("no film")
    clip = true_clip(video)
    job = Job(video, MeasureRequest(clip.view, clip.handed))
    result = measuring.measure_one(job)
    assert result.outcome == REFUSED
    assert result.reason.startswith("not_a_video: ")


def test_an_unexpected_error_is_a_result_with_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.undo()

    def broken(*_: object) -> None:
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr(measuring, "measure_clip", broken)
    clip = true_clip(tmp_path / "a.mp4")
    job = Job(clip.video, MeasureRequest(clip.view, clip.handed))
    result = measuring.measure_one(job)
    assert (result.outcome, result.reason) == (CRASHED, "ZeroDivisionError: by nothing")

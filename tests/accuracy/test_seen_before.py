"""Clips that an earlier pipeline was scored on are known again, and said to be."""

import hashlib
import importlib
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.accuracy import seen_before as module
from tests.accuracy.made_up import clip_row, instant_row, true_clip
from tests.accuracy.outline import SHORT, Outline, outline_of, write_outline
from tests.accuracy.readme import table_of
from tests.accuracy.seen_before import SEEN, YES, is_seen, seen_before, seen_in
from tests.accuracy.truths import TrueClip

command = importlib.import_module("tests.accuracy.__main__")

OURS, THEIRS = "a" * 64, "b" * 64
CLIPS = {"one": "1" * 64, "two": "2" * 64}
MADE = {
    "pipeline": "p",
    "studio": "s",
    "date": "2026-01-02 03:04 UTC",
    "sources": THEIRS[:SHORT],
}


def _kept(clips: Mapping[str, str] = CLIPS, made: Mapping[str, str] = MADE) -> Outline:
    rows = [clip_row(name, digest) for name, digest in clips.items()]
    scored = outline_of(rows, [instant_row(name, 20.0) for name in clips])
    return Outline(made, {"report": scored})


def test_another_pipeline_on_the_same_clips_was_there_before() -> None:
    assert seen_in(_kept(), CLIPS, OURS) == (
        f"2 of these 2 clips were scored before, by pipeline p (sources {THEIRS[:SHORT]}), "
        "2026-01-02 03:04 UTC"
    )


def test_the_same_pipeline_and_other_clips_are_new() -> None:
    assert seen_in(_kept(), CLIPS, THEIRS) == ""
    assert seen_in(_kept({"three": "3" * 64, "four": "4" * 64}), CLIPS, OURS) == ""


def test_the_same_clip_drawn_anew_or_named_anew_was_seen() -> None:
    assert seen_in(_kept({"one": "3" * 64}), CLIPS, OURS).startswith("1 of these 2 clips")
    assert seen_in(_kept({"three": "1" * 64}), CLIPS, OURS).startswith("1 of these 2 clips")


def test_one_clip_in_common_is_enough() -> None:
    words = seen_in(_kept({"one": CLIPS["one"], "three": "other"}), CLIPS, OURS)
    assert words.startswith("1 of these 2 clips")


def test_that_clips_had_been_seen_is_handed_on_by_the_same_pipeline_too() -> None:
    words = seen_in(_kept(made={**MADE, SEEN: YES}), CLIPS, THEIRS)
    assert words.endswith(", itself on clips that had been seen")


def test_an_outline_without_a_digest_of_its_pipeline_is_another() -> None:
    assert "(sources unknown)" in seen_in(_kept(made={**MADE, "sources": ""}), CLIPS, OURS)


FACTS: tuple[dict[str, str], ...] = ({}, {SEEN: YES})


def test_readme_says_which_it_is() -> None:
    new, old = (table_of(_kept(made={**MADE, **fact})).splitlines()[0] for fact in FACTS)
    assert "2 swings that no rule was made on (pipeline p" in new
    assert "2 swings, on which an earlier pipeline was scored before (pipeline p" in old
    assert "no rule" not in old
    assert not is_seen(MADE)


@pytest.fixture
def clip(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TrueClip:
    """One clip, which another pipeline was scored on in the report that is kept."""
    video = tmp_path / "clip.mp4"
    video.write_bytes(b"frames")
    kept = tmp_path / "standard.json"
    write_outline(_kept({"clip": hashlib.sha256(b"frames").hexdigest()}), kept)
    made = true_clip(video)
    monkeypatch.setattr(command, "STANDARD", kept)
    monkeypatch.setattr(command, "OUT", tmp_path / "out")
    monkeypatch.setattr(command, "_changed", lambda: False)
    monkeypatch.setattr(command, "standard_clips", lambda **_: [made])
    return made


def test_clips_are_compared_by_their_files(clip: TrueClip, tmp_path: Path) -> None:
    assert "1 of these 1 clips" in seen_before([clip], tmp_path / "standard.json")
    assert seen_before([clip], tmp_path / "none.json") == ""


class _Run(Exception):
    """Raised in place of a run, with its plan."""


def _no_run(plan: object, *_: object) -> None:
    raise _Run(plan)


def test_keeping_needs_seen_where_an_earlier_pipeline_was(
    clip: TrueClip, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(command, "run", _no_run)
    with pytest.raises(SystemExit):
        command.main(["--keep"])
    said = " ".join(capsys.readouterr().err.split())
    assert "1 of these 1 clips were scored before, by pipeline p" in said
    assert "add --seen" in said
    with pytest.raises(_Run) as kept:
        command.main(["--keep", "--seen"])
    assert kept.value.args[0].seen is True
    # A report that is not kept says so by itself.
    with pytest.raises(_Run) as plain:
        command.main([])
    assert plain.value.args[0].seen is True
    monkeypatch.setattr(module, "sources_digest", lambda: THEIRS)
    with pytest.raises(_Run) as same:
        command.main(["--keep"])
    assert same.value.args[0].seen is False


def test_seen_is_for_what_is_kept(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        command.main(["--seen"])
    assert "goes with --keep" in capsys.readouterr().err

"""A whole run on a made-up clip: everything written, and a second run says what moved."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import av
import numpy as np
import pytest

from tests.accuracy import measuring
from tests.accuracy.made_up import angle_reading, found_swing, measured, true_clip
from tests.accuracy.measuring import Job, Measured
from tests.accuracy.page_reader import read_page
from tests.accuracy.results import read_results
from tests.accuracy.running import OUTLINE, REPORT, RESULTS, STRANGERS, Done, Plan, run
from tests.accuracy.truths import Absent, TrueClip

CLIPS = 7
"""One more than a comparison needs."""


@contextmanager
def _no_bars(what: str, total: int) -> Iterator[Callable[[], None]]:
    del what, total
    yield lambda: None


def late(job: Job) -> Measured:
    """Stands for ``measure_one``: every instant 30 ms late, the angle 5 degrees too large."""
    number = int(job.video.stem[-1])
    return measured(found_swing(0.03, reading=angle_reading(95.0 + 0.1 * number)))


def better(job: Job) -> Measured:
    """The same with half the error."""
    number = int(job.video.stem[-1])
    return measured(found_swing(0.015, reading=angle_reading(92.5 + 0.05 * number)))


@pytest.fixture(scope="module")
def clips(tmp_path_factory: pytest.TempPathFactory) -> list[TrueClip]:
    """Clips of grey frames, with two points to draw an arm between."""
    folder = tmp_path_factory.mktemp("clips")
    points = {"lead_shoulder": (90.0, 60.0), "lead_wrist": (30.0, 62.0)}
    made = []
    for number in range(CLIPS):
        video = folder / f"clip{number}.mp4"
        _film(video, grey=60 + 20 * number)
        clip = true_clip(video)
        made.append(replace(clip, points=(points,) * len(clip.frame_times_s)))
    return made


def _film(path: Path, *, grey: int) -> None:
    with av.open(path, "w") as container:
        stream = container.add_stream("libx264", rate=60)
        stream.width, stream.height, stream.pix_fmt = 240, 320, "yuv420p"
        picture = np.full((320, 240, 3), grey, np.uint8)
        for _ in range(240):
            container.mux(stream.encode(av.VideoFrame.from_ndarray(picture, format="rgb24")))
        container.mux(stream.encode())


def _run(clips: list[TrueClip], out: Path, before: Path | None = None) -> Done:
    plan = Plan(out, out / "kept", before, "studio 1", quick=True)
    return run(plan, clips, Absent("There is no folder of them here."), _no_bars)


@pytest.mark.slow
def test_two_runs_write_everything_and_say_what_moved(
    clips: list[TrueClip], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(measuring, "measure_one", late)
    _run(clips, tmp_path / "first")
    monkeypatch.setattr(measuring, "measure_one", better)
    done = _run(clips, tmp_path / "second", tmp_path / "first" / OUTLINE)

    page = read_page((done.report / "report.html").read_text(encoding="utf-8"))
    text = " ".join(page.text)
    assert "There is no earlier report" not in text
    assert "mean size of the error fell from 5.3 to 2.6 deg over 7" in text
    assert "There is no folder of them here." in text
    assert STRANGERS not in read_results(done.report / RESULTS)

    (one,) = [row for row in done.scored[REPORT].rows if row.key == "clip3#0" and row.id == "top"]
    assert one.error == pytest.approx(15.0)
    pictures = sorted(path.name for path in (done.report / "pictures").glob("*.jpeg"))
    assert pictures[0] == "report-worst-checkpoint-1.jpeg"
    # Ten instants, and the seven readings there are.
    assert len(pictures) == 17


@pytest.mark.slow
def test_without_a_studio_the_report_says_why(tmp_path: Path) -> None:
    plan = Plan(tmp_path / "out", tmp_path / "kept", None, "studio 1", quick=True)
    done = run(plan, Absent("No OpenGL here."), Absent("No strangers."), _no_bars)
    text = " ".join(read_page((done.report / "report.html").read_text()).text)
    assert "No OpenGL here." in text
    assert "No strangers." in text
    assert done.scored == {}

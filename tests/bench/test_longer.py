"""A bench clip has the size, rate and length that was asked for, and the swing is still in it."""

from pathlib import Path

import pytest

from tests.bench.longer import rewrite
from worker.video.probe import probe_clip

KEPT = Path(__file__).parents[1] / "clips" / "face_on_neutral.mp4"


def test_a_bench_clip_is_as_asked(tmp_path: Path) -> None:
    made = tmp_path / "bench.mp4"
    frames = rewrite(KEPT, made, long_side=640, rate=120, seconds=0.5)
    facts = probe_clip(made).facts
    assert frames == facts.frames == 60
    assert max(facts.width, facts.height) == 640
    assert facts.frame_rate == pytest.approx(120.0, rel=0.01)
    assert facts.duration_s == pytest.approx(0.5, abs=0.02)

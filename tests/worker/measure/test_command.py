import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from tests.worker.video.making import even_times, write_clip
from worker.body.weights import Network, WeightsMissing, weights_path
from worker.cli import app

CLIPS = Path(__file__).resolve().parents[2] / "clips"
FACE_ON = ["--view", "face-on", "--handed", "right"]


def _need_weights() -> None:
    try:
        weights_path(Network.FULL)
    except WeightsMissing as missing:
        pytest.skip(str(missing))


def test_a_refused_clip_exits_two_and_says_why_in_json(tmp_path: Path) -> None:
    text = tmp_path / "notes.mp4"
    text.write_text("this is not a film")
    out = tmp_path / "out.json"
    result = CliRunner().invoke(app, ["measure", str(text), *FACE_ON, "--json", str(out)])
    assert result.exit_code == 2
    content = json.loads(out.read_text())
    assert content["refused"]["code"] == "not_a_video"
    assert "not a video" in content["refused"]["message"]


def test_a_refusal_without_json_is_told_in_words(tmp_path: Path) -> None:
    _need_weights()
    clip = write_clip(tmp_path / "nobody.mp4", even_times(30))
    result = CliRunner().invoke(app, ["measure", str(clip), *FACE_ON])
    assert result.exit_code == 2
    assert "cannot see anybody" in " ".join(result.output.split())


def test_a_file_that_is_not_there_is_told_and_is_no_refusal(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["measure", str(tmp_path / "gone.mp4"), *FACE_ON])
    assert result.exit_code == 1
    assert "There is no file" in result.output


@pytest.mark.slow
def test_a_clip_gives_json_and_pictures(tmp_path: Path) -> None:
    _need_weights()
    out, pictures = tmp_path / "out.json", tmp_path / "pictures"
    clip = str(CLIPS / "face_on_rotated.mp4")
    options = [*FACE_ON, "--club-length", "0.94", "--json", str(out), "--pictures", str(pictures)]
    result = CliRunner().invoke(app, ["measure", clip, *options])
    assert result.exit_code == 0, result.output
    content = json.loads(out.read_text())
    assert content["schema"] == "fairlead.measurement/1"
    assert "value" in content["swings"][0]["checkpoints"]["lead_arm_shaft_angle"]
    assert (pictures / "annotated_lead_arm_parallel.jpg").stat().st_size > 10_000

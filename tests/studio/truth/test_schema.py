"""Truth files: what goes in comes out, and what is wrong is refused in words."""

import json
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from api.domain.errors import Invalid
from api.domain.names import Hand, KeyframeId, View
from tests.studio.camera import StudioCamera
from tests.studio.dials import (
    CameraDials,
    ClipDials,
    FilmDials,
    GolferDials,
    SwingDials,
)
from tests.studio.times import frame_times
from tests.studio.truth.compute import compute_truth
from tests.studio.truth.schema import (
    SCHEMA,
    Absent,
    ClipTruth,
    InstantTruth,
    TruthId,
    from_json,
    load_truth,
    save_truth,
    to_json,
)
from tests.studio.truth.stick import Stick


def made(dials: ClipDials, stick: Stick) -> ClipTruth:
    times = frame_times(dials, stick.duration_s)
    return compute_truth(dials, stick, StudioCamera(dials), times, studio="a version")


DIALS = ClipDials(
    "stick",
    5,
    golfer=GolferDials(handed=Hand.LEFT),
    swing=SwingDials(pause_at=KeyframeId.TOP, pause_s=1.0),
    camera=CameraDials(azimuth_deg=3, shake_deg=0.2, distortion=-0.05),
    film=FilmDials(fps=30.0, slow_motion=2.0, rolling_shutter_s=0.01),
)


@pytest.fixture(scope="module")
def truth() -> ClipTruth:
    return made(DIALS, Stick(struck_s=2.1))


def test_what_is_written_is_read_again(truth: ClipTruth, tmp_path: Path) -> None:
    path = tmp_path / "stick.json"
    save_truth(truth, path)
    again = load_truth(path)
    assert to_json(again) == path.read_text()
    assert again.dials == DIALS
    assert again.camera == truth.camera
    assert again.swings[0].instants.keys() == set(KeyframeId)
    for field in fields(again.frames):
        if field.name != "points":
            one, two = getattr(again.frames, field.name), getattr(truth.frames, field.name)
            assert np.allclose(one, two, atol=0.005, equal_nan=True), field.name
    assert again.frames.points == truth.frames.points


def test_both_clocks_are_told(truth: ClipTruth) -> None:
    impact = truth.swings[0].instants[KeyframeId.IMPACT]
    assert isinstance(impact, InstantTruth)
    assert impact.life_s == pytest.approx(2.1, abs=1e-5)
    # Twice as slow in the file, which starts with its first frame's middle.
    assert impact.file_s == pytest.approx(2.0 * (2.1 - truth.frames.life_s[0]), abs=1e-4)
    nearest = truth.frames.nearest(impact.file_s)
    assert truth.frames.life_s[nearest] == pytest.approx(2.1, abs=0.5 / 30)


def test_a_left_handers_pixels_are_the_films_and_his_space_is_a_right_handers(
    truth: ClipTruth,
) -> None:
    camera = StudioCamera(DIALS)
    place = truth.frames.world_m[0, truth.frames.index("lead_ankle")]
    seen = camera.project(place, float(truth.frames.life_s[0]))
    shown = truth.frames.track("lead_ankle")[0]
    assert shown[0] == pytest.approx(camera.width - 1 - seen[0], abs=0.5)
    assert place[0] == pytest.approx(-0.10)


def test_a_truth_finds_its_numbers(truth: ClipTruth) -> None:
    (swing,) = truth.swings
    angle = swing.checkpoint(TruthId.LEAD_ARM_SHAFT_ANGLE, KeyframeId.LEAD_ARM_PARALLEL)
    assert angle.value == pytest.approx(90.0, abs=0.1)
    with pytest.raises(KeyError, match="no tempo_ratio"):
        swing.checkpoint(TruthId.TEMPO_RATIO, part="not there")


def test_a_swing_that_stops_carries_its_reasons_through_the_file() -> None:
    film = FilmDials(fps=30.0)
    again = from_json(
        to_json(made(ClipDials("stops", 6, film=film), Stick(stop_at_top=True))), "stops"
    )
    assert isinstance(again.swings[0].instants[KeyframeId.IMPACT], Absent)
    assert isinstance(again.swings[0].checkpoint(TruthId.TEMPO_RATIO).value, Absent)


def test_a_film_without_a_ball_has_no_ball_among_its_points() -> None:
    dials = ClipDials(
        "bare",
        7,
        swing=SwingDials(ball=False),
        camera=CameraDials(view=View.DOWN_THE_LINE),
        film=FilmDials(fps=30.0),
    )
    bare = made(dials, Stick(ball=False))
    assert "ball" not in bare.frames.points
    assert isinstance(bare.swings[0].checkpoint(TruthId.BUTT_END_INSIDE).actual, Absent)


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (lambda file: file.update(schema="fairlead.truth/9"), rf'x\.schema must be "{SCHEMA}"'),
        (lambda file: file.pop("swings"), r"x\.swings is missing"),
        (lambda file: file["dials"]["swing"].update(zeal=1), r"x\.dials\.swing .* without zeal"),
        (lambda file: file["dials"]["film"].update(fps="fast"), r"x\.dials\.film\.fps .* a number"),
        (lambda file: file["frames"]["file_s"].pop(), r"x\.frames\.file_s must be a list of"),
        (
            lambda file: file["swings"][0]["instants"].pop("top"),
            r"instants must be complete: top is missing",
        ),
        (
            lambda file: file["swings"][0]["checkpoints"][0].update(id="luck"),
            r"checkpoints\[0\]\.id must be a known name",
        ),
    ],
)
def test_a_spoilt_file_is_refused_with_its_place(
    truth: ClipTruth, spoil: object, words: str
) -> None:
    file = json.loads(to_json(truth))
    assert callable(spoil)
    spoil(file)
    with pytest.raises(Invalid, match=words):
        from_json(json.dumps(file), "x")

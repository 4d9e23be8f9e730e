from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from api.domain.errors import ClipRefused
from api.domain.names import Hand, View
from api.domain.refusals import RefusalCode
from tests.worker.video.making import even_times, write_clip
from worker.body.crops import Crop
from worker.body.detector import Person, PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LANDMARKS, RawLandmarks
from worker.body.weights import Network as BodyNetwork
from worker.body.weights import WeightsMissing, weights_path
from worker.pipeline import MeasureRequest, measure_clip
from worker.swing.scan import BLUR_MAX_PX, SCAN_SIDE, Scanner, blur_px, looks
from worker.video.frames import iter_frames
from worker.video.probe import probe_clip

CLIPS = Path(__file__).parents[2] / "clips"


def _need_weights() -> None:
    try:
        weights_path(BodyNetwork.DETECTOR)
    except WeightsMissing as missing:
        pytest.skip(str(missing))


def test_a_clip_without_a_person_is_refused_in_words(tmp_path: Path) -> None:
    _need_weights()
    clip = write_clip(tmp_path / "empty.mp4", even_times(30))
    with pytest.raises(ClipRefused, match="cannot see anybody") as refusal:
        measure_clip(clip, MeasureRequest(View.FACE_ON, Hand.RIGHT))
    assert refusal.value.code == RefusalCode.NOBODY_IN_VIEW


def _spread_pictures(name: str) -> list[NDArray[np.uint8]]:
    path = CLIPS / f"{name}.mp4"
    probe = probe_clip(path)
    spread = [int(i) for i in np.linspace(0, probe.facts.frames - 1, 5)]
    frames = iter_frames(path, probe, spread, max_side=SCAN_SIDE)
    return [np.ascontiguousarray(bgr[..., ::-1]) for _, bgr in frames]


def test_two_golfers_side_by_side_are_refused_by_the_real_detector() -> None:
    """Two rendered golfers in one picture; measured as one golfer until this was seen."""
    _need_weights()
    pairs = zip(
        _spread_pictures("face_on_under_set"), _spread_pictures("face_on_left_handed"), strict=True
    )
    # Cut close: at a quarter of the picture each, the detector sees only one of them.
    together = [np.hstack([one[150:, 50:310], other[150:, 50:310]]) for one, other in pairs]
    scanner = Scanner(PersonDetector(), _Still())  # type: ignore[arg-type] # a stand-in
    with pytest.raises(ClipRefused) as refusal:
        scanner.look_for_people(together)
    assert refusal.value.code == RefusalCode.SEVERAL_PEOPLE


@pytest.mark.parametrize("blur", [6.0, 12.0])
def test_blur_is_measured_in_pixels_even_under_sensor_noise(blur: float) -> None:
    rng = np.random.default_rng(1)
    blocks = rng.choice([60.0, 190.0], (12, 12))
    sharp = cv2.resize(blocks, (640, 640), interpolation=cv2.INTER_NEAREST)
    soft = cv2.GaussianBlur(sharp, (0, 0), blur) + rng.normal(0.0, 2.0, sharp.shape)
    found = blur_px(np.clip(soft, 0, 255).astype(np.uint8))
    # Where edges cross they bend twice as much, so the measure reads up to a third low.
    assert 0.6 * blur < found < 1.1 * blur
    assert (found > BLUR_MAX_PX) == (blur > BLUR_MAX_PX)


def test_looks_are_spread_over_uneven_times_and_hold_both_ends() -> None:
    times = tuple(np.cumsum(np.random.default_rng(2).uniform(0.005, 0.03, 200)).tolist())
    chosen = list(looks(times, 0.1))
    assert chosen[0] == 0
    assert chosen[-1] == 199
    gaps = np.diff([times[i] for i in chosen[:-1]])
    assert gaps.min() >= 0.1 - 1e-6
    assert gaps.max() < 0.1 + 0.03


def _scanned(picture: NDArray[np.uint8]) -> BodyTrack:
    scanner = Scanner(_OnePerson(), _Still())  # type: ignore[arg-type] # stand-ins
    scanner.look_for_people([picture])
    for k in range(3):
        scanner.add(k, k / 15, picture)
    return scanner.finish(1.0)


class _OnePerson:
    def find(self, rgb: NDArray[np.uint8]) -> list[Person]:
        return [Person(0.9, Crop(320.0, 320.0, 500.0), (200, 100, 440, 600))]


class _Still:
    def run(self, rgb: NDArray[np.uint8]) -> RawLandmarks:
        xyz = np.full((LANDMARKS, 3), 128.0)
        xyz[34, 1] = 30.0
        flat = np.full((64, 64, LANDMARKS), -9.0, dtype=np.float32)
        return RawLandmarks(xyz, np.ones(LANDMARKS), flat, 1.0)


def _blocks(level: float) -> NDArray[np.uint8]:
    blocks = np.random.default_rng(1).choice([0.3 * level, level], (12, 12))
    large = np.asarray(cv2.resize(blocks, (640, 640), interpolation=cv2.INTER_NEAREST))
    return np.stack([large] * 3, axis=2).astype(np.uint8)


def test_a_dark_clip_is_refused() -> None:
    with pytest.raises(ClipRefused) as refusal:
        _scanned(_blocks(12.0))
    assert refusal.value.code == RefusalCode.TOO_DARK


def test_a_blurred_clip_is_refused() -> None:
    with pytest.raises(ClipRefused) as refusal:
        _scanned(np.asarray(cv2.GaussianBlur(_blocks(220.0), (0, 0), 16.0), dtype=np.uint8))
    assert refusal.value.code == RefusalCode.TOO_BLURRED


def test_a_bright_sharp_clip_is_not_refused() -> None:
    assert len(_scanned(_blocks(220.0))) == 3

"""The proxy is the original, frame for frame, and made for stepping."""

from pathlib import Path

import av
import pytest

from api.domain.errors import PipelineFault
from tests.worker.video.making import even_times, number_in, skip_start, write_clip
from worker.video import proxy as proxies
from worker.video.frames import iter_frames
from worker.video.probe import probe_clip
from worker.video.proxy import Proxy, write_proxy

UNEVEN = [0.0, 0.031, 0.07, 0.1, 0.1041, 0.11, 0.2, 0.35, 0.4, 0.5, 0.501, 0.7, 0.9, 1.0]


def made(tmp_path: Path, original: Path) -> tuple[Proxy, Path]:
    out = tmp_path / "proxy.mp4"
    return write_proxy(original, probe_clip(original), out), out


def numbers(path: Path) -> list[int]:
    return [number_in(picture) for _, picture in iter_frames(path, probe_clip(path))]


@pytest.mark.parametrize(
    "times",
    [even_times(40), even_times(40, rate=29.97), even_times(120, rate=240.0), UNEVEN],
    ids=["30", "29.97", "240", "uneven"],
)
def test_same_frames_at_the_same_spacing_from_zero(tmp_path: Path, times: list[float]) -> None:
    original = write_clip(tmp_path / "clip.mp4", times)
    proxy, out = made(tmp_path, original)
    spacing = [time - times[0] for time in probe_clip(original).frame_times_s]
    assert proxy.times_s == pytest.approx(spacing, abs=1 / 90_000)
    assert proxy.times_s[0] == 0.0
    assert probe_clip(out).frame_times_s == proxy.times_s
    assert numbers(out) == list(range(len(times)))


def test_a_trimmed_original_keeps_what_is_shown(tmp_path: Path) -> None:
    original = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
    skip_start(original, 0.5)
    proxy, out = made(tmp_path, original)
    assert len(proxy.times_s) == 25
    assert numbers(out) == list(range(15, 40))


@pytest.mark.parametrize("rotation", [90, 180, 270])
def test_it_stands_upright_without_a_rotation_tag(tmp_path: Path, rotation: int) -> None:
    original = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
    _, out = made(tmp_path, original)
    facts = probe_clip(out).facts
    assert (facts.width, facts.height, facts.rotation_deg) == (320, 480, 0)
    assert numbers(out) == list(range(20))


def test_it_is_made_for_stepping(tmp_path: Path) -> None:
    _, out = made(tmp_path, write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=3))
    with av.open(str(out)) as container:
        packets = [packet for packet in container.demux(video=0) if packet.size]
        assert [index for index, packet in enumerate(packets) if packet.is_keyframe] == [
            0,
            8,
            16,
            24,
            32,
        ]
        assert all(packet.pts == packet.dts for packet in packets)
        assert all(packet.duration for packet in packets)
        assert container.streams.video[0].codec_context.name == "h264"
        assert container.streams.video[0].codec_context.pix_fmt == "yuv420p"
    data = out.read_bytes()
    assert data.index(b"moov") < data.index(b"mdat")
    assert b"elst" not in data


def test_large_and_odd_pictures_shrink_to_even_sides(tmp_path: Path) -> None:
    original = write_clip(tmp_path / "clip.mp4", even_times(16), size=(1080, 1922))
    proxy, _ = made(tmp_path, original)
    assert (proxy.width, proxy.height) == (718, 1280)


def test_a_proxy_that_lost_a_frame_is_our_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    original = write_clip(tmp_path / "clip.mp4", even_times(20))
    whole = proxies._upright_frames

    def all_but_one(*given: object) -> object:
        frames = whole(*given)  # type: ignore[arg-type]  # passed through
        next(frames)
        return frames

    monkeypatch.setattr(proxies, "_upright_frames", all_but_one)
    with pytest.raises(PipelineFault, match="19 frames, the clip 20"):
        made(tmp_path, original)

"""What a clip is, and why it is refused."""

from fractions import Fraction
from pathlib import Path

import pytest

from api.domain.errors import ClipRefused
from api.domain.refusals import RefusalCode
from tests.worker.video.making import (
    even_times,
    skip_start,
    write_clip,
    write_sound_only,
)
from worker.video.probe import ProbeLimits, probe_clip


def refusal(path: Path, limits: ProbeLimits | None = None) -> ClipRefused:
    with pytest.raises(ClipRefused) as refused:
        probe_clip(path, limits=limits or ProbeLimits())
    return refused.value


class TestFacts:
    def test_a_plain_clip(self, tmp_path: Path) -> None:
        probe = probe_clip(write_clip(tmp_path / "clip.mp4", even_times(45)))
        facts = probe.facts
        assert (facts.width, facts.height, facts.frames) == (320, 480, 45)
        assert facts.duration_s == pytest.approx(1.5)
        assert facts.frame_rate == pytest.approx(30.0)
        assert (facts.variable_rate, facts.rotation_deg, facts.has_audio) == (False, 0, False)
        assert probe.frame_times_s == pytest.approx(even_times(45), abs=1e-5)

    @pytest.mark.parametrize("rotation", [0, 90, 180, 270])
    def test_sizes_are_upright(self, tmp_path: Path, rotation: int) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
        facts = probe_clip(path).facts
        assert (facts.width, facts.height, facts.rotation_deg) == (320, 480, rotation)

    def test_sound_is_seen(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(20), sound=True)
        assert probe_clip(path).facts.has_audio

    def test_times_of_a_variable_rate_are_the_frames_own(self, tmp_path: Path) -> None:
        times = [index / 30 for index in range(20)] + [20 / 30 + i / 120 for i in range(40)]
        probe = probe_clip(write_clip(tmp_path / "clip.mp4", times))
        assert probe.facts.variable_rate
        assert probe.frame_times_s == pytest.approx(times, abs=1e-5)

    def test_a_phones_jitter_is_not_a_variable_rate(self, tmp_path: Path) -> None:
        times = [index / 30 + 0.0006 * (index % 3 - 1) + 0.001 for index in range(30)]
        assert not probe_clip(write_clip(tmp_path / "clip.mp4", times)).facts.variable_rate

    def test_pictures_that_lean_on_later_ones_come_in_the_order_shown(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(30), b_frames=3)
        assert probe_clip(path).frame_times_s == pytest.approx(even_times(30), abs=1e-5)

    def test_what_trimming_cut_away_is_not_counted(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
        skip_start(path, 0.5)
        probe = probe_clip(path)
        assert probe.facts.frames == 25
        assert probe.frame_times_s == pytest.approx(even_times(25), abs=1e-3)

    def test_wide_pixels_are_counted_square(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(20), pixel_aspect=Fraction(4, 3))
        facts = probe_clip(path).facts
        assert (facts.width, facts.height) == (427, 480)

    def test_a_browsers_own_recording_is_read(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.webm", even_times(30), codec="libvpx")
        probe = probe_clip(path)
        assert probe.frame_times_s == pytest.approx(even_times(30), abs=1e-3)  # its clock: 1 ms


class TestRefusals:
    def test_empty_file(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        path.touch()
        assert refusal(path).code == RefusalCode.EMPTY_FILE

    def test_text_under_another_name(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        path.write_text("Dear coach, here is my swing.\n" * 100)
        assert refusal(path).code == RefusalCode.NOT_A_VIDEO

    def test_noise(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        path.write_bytes(bytes(range(256)) * 64)
        assert refusal(path).code == RefusalCode.NOT_A_VIDEO

    @pytest.mark.parametrize("share", [0.05, 0.5, 0.97])
    @pytest.mark.parametrize("faststart", [False, True])
    def test_cut_off(self, tmp_path: Path, share: float, *, faststart: bool) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(60), faststart=faststart)
        data = path.read_bytes()
        path.write_bytes(data[: int(len(data) * share)])
        assert refusal(path).code == RefusalCode.DAMAGED

    @pytest.mark.parametrize("share", [0.5, 0.9])
    def test_cut_off_where_only_the_file_says_how_long_it_is(
        self, tmp_path: Path, share: float
    ) -> None:
        path = write_clip(tmp_path / "clip.webm", even_times(120), codec="libvpx")
        data = path.read_bytes()
        path.write_bytes(data[: int(len(data) * share)])
        assert refusal(path).code == RefusalCode.DAMAGED

    def test_wiped_in_the_middle(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(90))
        data = bytearray(path.read_bytes())
        at = data.index(b"mdat") + 200
        length = len(data) // 2
        data[at : at + length] = bytes(length)
        path.write_bytes(data)
        assert refusal(path).code == RefusalCode.DAMAGED

    def test_sound_only(self, tmp_path: Path) -> None:
        path = write_sound_only(tmp_path / "clip.mp4")
        assert refusal(path).code == RefusalCode.NO_PICTURE

    def test_a_film_of_thirty_minutes(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(1800, rate=1.0), size=(256, 256))
        refused = refusal(path)
        assert refused.code == RefusalCode.TOO_LONG
        assert "longer than 60 seconds" in refused.message

    def test_a_film_that_does_not_say_how_long_it_is(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.webm", even_times(60), codec="libvpx")
        assert refusal(path, ProbeLimits(max_duration_s=1.0)).code == RefusalCode.TOO_LONG

    def test_too_many_frames(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.webm", even_times(60), codec="libvpx")
        assert refusal(path, ProbeLimits(max_frames=59)).code == RefusalCode.TOO_LONG

    def test_too_short(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(10))
        assert refusal(path).code == RefusalCode.TOO_SHORT

    def test_too_large_a_file(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        with path.open("wb") as file:
            file.truncate(500 * 1024**2 + 1)  # holes: no disk is used
        refused = refusal(path)
        assert refused.code == RefusalCode.TOO_LARGE
        assert "500 MB" in refused.message

    def test_an_enormous_picture(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(2), size=(4096, 4096))
        refused = refusal(path)
        assert refused.code == RefusalCode.PICTURE_TOO_LARGE
        assert "10 million points" in refused.message

    def test_a_tiny_picture(self, tmp_path: Path) -> None:
        path = write_clip(tmp_path / "clip.mp4", even_times(20), size=(176, 144))
        refused = refusal(path)
        assert refused.code == RefusalCode.PICTURE_TOO_SMALL
        assert "176 x 144" in refused.message

    def test_a_missing_file_is_our_fault(self, tmp_path: Path) -> None:
        with pytest.raises(FileNotFoundError):
            probe_clip(tmp_path / "gone.mp4")

"""Frames come back at their times, upright, and the same bytes twice."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from tests.studio.dials import ClipDials, FilmDials
from tests.studio.film import Picture, write_clip
from tests.studio.times import CLOCK, FrameTimes, frame_times
from worker.video.frames import iter_frames
from worker.video.probe import ClipProbe, probe_clip

WIDTH, HEIGHT = 244, 400
LIFE_S = 1.6
CORNERS = {"red": (20, 20), "green": (20, -20), "blue": (-20, 20), "white": (-20, -20)}
COLOURS = {"red": (210, 30, 30), "green": (20, 150, 50), "blue": (30, 50, 200), "white": (235,) * 3}


def dials(**film: object) -> ClipDials:
    return ClipDials("clip", 11, film=replace(FilmDials(), **film))  # type: ignore[arg-type]  # any dial


def cornered() -> Picture:
    """A picture whose corners tell which way is up."""
    picture = np.full((HEIGHT, WIDTH, 3), 90, np.uint8)
    for name, (row, column) in CORNERS.items():
        rows = slice(0, 60) if row > 0 else slice(-60, None)
        columns = slice(0, 60) if column > 0 else slice(-60, None)
        picture[rows, columns] = COLOURS[name]
    return picture


def counted(times: FrameTimes) -> Iterator[Picture]:
    """As many pictures as there are times, each with its own height of a bright block."""
    for index in range(len(times.file_s)):
        picture = cornered()
        picture[180:220, 100:140] = 2 * (index % 100) + 40
        yield picture


def written(path: Path, clip: ClipDials) -> tuple[FrameTimes, ClipProbe]:
    times = frame_times(clip, LIFE_S)
    write_clip(path, clip, counted(times), times, None)
    return times, probe_clip(path)


class TestTimes:
    @pytest.mark.parametrize("fps", [24.0, 30.0, 60.0, 120.0, 240.0])
    def test_an_even_rate_is_even_to_the_tick(self, fps: float) -> None:
        times = frame_times(dials(fps=fps), LIFE_S)
        ticks = np.rint(times.file_s / float(CLOCK)).astype(int)
        assert set(np.diff(ticks)) == {round(90_000 / fps)}
        assert ticks[0] == 0

    @pytest.mark.parametrize("film", [{}, {"variable_rate": True}, {"slow_motion": 4.0}])
    def test_every_frame_is_exposed_inside_the_motion(self, film: dict[str, object]) -> None:
        clip = dials(fps=120.0, exposure_s=1 / 125, rolling_shutter_s=0.006, **film)
        times = frame_times(clip, LIFE_S)
        assert times.capture_s[0] >= 0.0
        assert times.capture_s[-1] + 1 / 125 + 0.006 <= LIFE_S + float(CLOCK)
        assert times.capture_s[-1] + 1 / 125 + 0.006 > LIFE_S - 2 / 120

    def test_the_clocks_of_life_and_file_agree_at_every_frame(self) -> None:
        clip = dials(fps=240.0, exposure_s=1 / 500, slow_motion=8.0, variable_rate=True)
        times = frame_times(clip, LIFE_S)
        assert [times.to_file(s) for s in times.middle_s] == pytest.approx(list(times.file_s))
        assert times.to_life(times.to_file(0.7)) == pytest.approx(0.7)
        assert times.middle_s - times.capture_s == pytest.approx(1 / 1000)

    def test_a_slowed_file_plays_as_many_times_longer(self) -> None:
        plain, slowed = (frame_times(dials(fps=240.0, slow_motion=n), LIFE_S) for n in (1.0, 8.0))
        assert slowed.duration_s == pytest.approx(8 * plain.duration_s)
        assert np.diff(slowed.file_s) == pytest.approx(1 / 30)
        assert slowed.capture_s == pytest.approx(plain.capture_s)

    def test_a_variable_rate_jitters_and_drops_and_stays_in_order(self) -> None:
        plain = frame_times(dials(), LIFE_S)
        uneven = frame_times(dials(variable_rate=True), LIFE_S)
        gaps = np.diff(uneven.file_s) * 60
        assert 1 <= len(plain.file_s) - len(uneven.file_s) <= 6
        assert gaps.max() > 1.7
        assert 0.7 < gaps.min() < 0.97

    def test_exposures_never_overlap_even_where_they_fill_the_gap(self) -> None:
        clip = dials(fps=60.0, exposure_s=1 / 60 - 1e-4, variable_rate=True)
        assert np.diff(frame_times(clip, LIFE_S).capture_s).min() >= 1 / 60 - 1e-4 - float(CLOCK)

    def test_the_same_seed_gives_the_same_times_and_another_seed_others(self) -> None:
        clip = dials(variable_rate=True)
        first, again = frame_times(clip, LIFE_S), frame_times(clip, LIFE_S)
        other = frame_times(replace(clip, seed=12), LIFE_S)
        assert np.array_equal(first.capture_s, again.capture_s)
        assert not np.array_equal(first.capture_s, other.capture_s)

    @pytest.mark.parametrize(
        "film", [{"fps": 20.0}, {"fps": 300.0}, {"slow_motion": 0.5}, {"exposure_s": 1 / 30}]
    )
    def test_what_no_phone_films_is_refused(self, film: dict[str, object]) -> None:
        with pytest.raises(ValueError, match=r"."):
            frame_times(dials(**film), LIFE_S)

    def test_a_motion_of_less_than_two_frames_is_refused(self) -> None:
        with pytest.raises(ValueError, match="no two frames"):
            frame_times(dials(fps=24.0), 0.03)


class TestFile:
    @pytest.mark.parametrize(
        "film",
        [
            {"fps": 24.0},
            {"fps": 240.0, "slow_motion": 8.0},
            {"variable_rate": True},
            {"fps": 120.0, "variable_rate": True, "slow_motion": 4.0},
        ],
    )
    def test_the_pipeline_reads_the_times_that_were_written(
        self, tmp_path: Path, film: dict[str, object]
    ) -> None:
        times, probe = written(tmp_path / "clip.mp4", dials(**film))
        assert probe.frame_times_s == pytest.approx(list(times.file_s), abs=1e-9)
        assert probe.facts.duration_s == pytest.approx(times.duration_s, abs=0.02)
        assert probe.facts.variable_rate is bool(film.get("variable_rate"))

    @pytest.mark.parametrize("rotation", [0, 90, 180, 270])
    def test_the_tag_sets_the_stored_picture_upright(self, tmp_path: Path, rotation: int) -> None:
        path = tmp_path / "clip.mp4"
        _, probe = written(path, dials(rotation_deg=rotation))
        _, picture = next(iter_frames(path, probe, [3]))
        assert (probe.facts.width, probe.facts.height) == (WIDTH, HEIGHT)
        assert probe.facts.rotation_deg == rotation
        seen = {name: picture[place][::-1].astype(int) for name, place in CORNERS.items()}
        for name, colour in COLOURS.items():
            assert np.abs(seen[name] - colour).max() <= 6, name

    def test_the_stored_picture_lies_on_its_side_under_a_quarter_turn(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        written(path, dials(rotation_deg=90))
        with av.open(str(path)) as container:
            frame = next(container.decode(video=0))
        assert (frame.width, frame.height, frame.rotation) == (HEIGHT, WIDTH, 90)

    def test_frames_keep_their_order(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        _, probe = written(path, dials(variable_rate=True))
        for index, picture in iter_frames(path, probe):
            assert abs(int(picture[200, 120, 1]) - (2 * (index % 100) + 40)) <= 6

    def test_the_same_input_gives_the_same_bytes(self, tmp_path: Path) -> None:
        clip = dials(rotation_deg=270, variable_rate=True)
        for name in ("one.mp4", "two.mp4"):
            written(tmp_path / name, clip)
        assert (tmp_path / "one.mp4").read_bytes() == (tmp_path / "two.mp4").read_bytes()

    def test_coarser_compression_gives_a_smaller_file(self, tmp_path: Path) -> None:
        noise = np.random.default_rng(1).integers(0, 255, (HEIGHT, WIDTH, 3), dtype=np.uint8)
        sizes = []
        for crf in (16, 32):
            clip = dials(crf=crf)
            times = frame_times(clip, 0.5)
            path = tmp_path / f"{crf}.mp4"
            write_clip(path, clip, [noise] * len(times.file_s), times, None)
            sizes.append(path.stat().st_size)
        assert sizes[1] < sizes[0] / 2

    def test_it_can_start_to_play_before_it_is_all_there(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        written(path, dials())
        data = path.read_bytes()
        assert data.index(b"moov") < data.index(b"mdat")

    def test_it_is_what_phones_write(self, tmp_path: Path) -> None:
        path = tmp_path / "clip.mp4"
        written(path, dials(fps=30.0))
        with av.open(str(path)) as container:
            stream = container.streams.video[0]
            assert (stream.codec_context.name, stream.pix_fmt) == ("h264", "yuv420p")
            assert stream.average_rate == Fraction(30)
            assert not container.streams.audio

    @pytest.mark.parametrize("missing", [1, -1])
    def test_a_frame_too_few_or_too_many_is_a_fault(self, tmp_path: Path, missing: int) -> None:
        clip = dials()
        times = frame_times(clip, LIFE_S)
        frames = [cornered()] * (len(times.file_s) - missing)
        with pytest.raises(ValueError, match="zip"):
            write_clip(tmp_path / "clip.mp4", clip, frames, times, None)

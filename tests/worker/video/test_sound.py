"""Strikes heard in a clip: when, and what is none. The strike itself is the studio's (a crack and its ringing)."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
from numpy.typing import NDArray

from tests.studio.sound import strike
from tests.worker.video.making import numbered_picture
from worker.video.sound import Strike, find_strikes, strikes_heard

Array = NDArray[np.float64]

RATE = 48_000
LONG_S = 4.0


def times(rate: int = RATE) -> Array:
    return np.arange(round(LONG_S * rate)) / rate


def wind(seed: int = 1) -> Array:
    """Low rumble with gusts and a little hiss, as loud as a strike itself."""
    rng = np.random.default_rng(seed)
    rumble = np.cumsum(rng.standard_normal(len(times())))
    rumble -= np.convolve(rumble, np.ones(2_400) / 2_400, "same")
    return np.asarray(0.2 * rumble / rumble.std() + 0.002 * rng.standard_normal(len(rumble)))


def struck(at_s: float, loud: float = 0.5, rate: int = RATE) -> Array:
    crack = np.random.default_rng(7).standard_normal(RATE)
    return loud * strike(times(rate) - at_s, crack)


def write_with_sound(path: Path, sound: Array) -> Path:
    """Thirty pictures a second and the sound as AAC, as a phone writes it."""
    with av.open(str(path), "w") as out:
        video = out.add_stream("libx264", rate=30)
        video.width, video.height, video.pix_fmt = 320, 480, "yuv420p"
        audio = out.add_stream("aac", rate=RATE, layout="mono")
        for number in range(round(LONG_S * 30)):
            frame = av.VideoFrame.from_ndarray(
                numbered_picture(number % 200, 320, 480), format="bgr24"
            )
            frame.pts, frame.time_base = number, Fraction(1, 30)
            out.mux(video.encode(frame))
        out.mux(video.encode(None))
        for start in range(0, len(sound) - 1023, 1024):
            block = sound[np.newaxis, start : start + 1024].astype(np.float32)
            heard = av.AudioFrame.from_ndarray(block, format="fltp", layout="mono")
            heard.sample_rate, heard.pts, heard.time_base = RATE, start, Fraction(1, RATE)
            out.mux(audio.encode(heard))
        out.mux(audio.encode(None))
    return path


def only(found: tuple[Strike, ...]) -> Strike:
    assert len(found) == 1, found
    return found[0]


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000])
def test_a_strike_is_heard_to_the_millisecond(rate: int) -> None:
    assert only(find_strikes(struck(1.7, rate=rate), rate)).heard_s == pytest.approx(1.7, abs=0.001)


def test_a_strike_is_heard_in_wind_as_loud_as_itself() -> None:
    found = find_strikes(wind() + struck(2.3), RATE, start_s=5.0)

    assert max(found, key=lambda one: one.level_db).heard_s == pytest.approx(7.3, abs=0.0015)


def test_a_neighbours_strike_is_fainter() -> None:
    near, far = struck(1.2), struck(2.9, loud=0.1)
    own, neighbours = find_strikes(near + far, RATE)

    assert (own.heard_s, neighbours.heard_s) == pytest.approx((1.2, 2.9), abs=0.001)
    assert own.level_db - neighbours.level_db == pytest.approx(20.0 * np.log10(5.0), abs=0.5)


def test_echoes_of_a_wall_are_no_strikes_of_their_own() -> None:
    sound = struck(1.5) + struck(1.507, 0.14) + struck(1.522, 0.05)

    assert only(find_strikes(sound, RATE)).heard_s == pytest.approx(1.5, abs=0.001)


def test_what_swells_or_never_ends_is_no_strike() -> None:
    t = times()
    shout = np.sin(2 * np.pi * 2_200 * t) * np.clip((t - 1.0) / 0.3, 0.0, 1.0) * (t < 2.0)
    hum = 0.3 * np.sin(2 * np.pi * 100.0 * t)
    hiss = 0.002 * np.random.default_rng(2).standard_normal(len(t))

    assert find_strikes(shout * 0.5 + hiss, RATE) == ()
    assert find_strikes(hum + hiss, RATE) == ()
    assert find_strikes(np.zeros_like(t), RATE) == ()
    assert find_strikes(0.01 * np.random.default_rng(3).standard_normal(len(t)), RATE) == ()


def test_the_strike_of_a_file_lies_on_its_pictures_clock(tmp_path: Path) -> None:
    clip = write_with_sound(tmp_path / "clip.mp4", 0.2 * wind() + struck(2.0))

    loudest = max(strikes_heard(clip), key=lambda one: one.level_db)
    # AAC itself smears a click by a block's part; its encoder's delay is taken off by the file.
    assert loudest.heard_s == pytest.approx(2.0, abs=0.004)


def test_a_silent_file_and_sound_that_cannot_be_read_have_no_strikes(tmp_path: Path) -> None:
    clip = write_with_sound(tmp_path / "clip.mp4", struck(2.0))
    torn = tmp_path / "torn.mp4"
    whole = clip.read_bytes()
    torn.write_bytes(whole[: len(whole) // 2])
    text = tmp_path / "text.mp4"
    text.write_text("no clip at all")

    assert strikes_heard(Path(__file__).parents[2] / "clips" / "face_on_pause.mp4") == ()
    assert strikes_heard(torn) == ()
    assert strikes_heard(text) == ()

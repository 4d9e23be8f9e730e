"""The frames we count are the frames a browser shows, trimmed and rotated files included."""

import base64
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.worker.video.making import even_times, skip_start, write_clip
from worker.video.probe import probe_clip
from worker.video.proxy import write_proxy

pytestmark = pytest.mark.browser

_COLUMNS = 8
_READ_FRAMES = """
async ({data, times, columns}) => {
  const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
  const video = document.createElement("video");
  video.muted = true;
  video.src = URL.createObjectURL(new Blob([bytes], {type: "video/mp4"}));
  await new Promise((done, failed) => {
    video.onloadeddata = done;
    video.onerror = () => failed(new Error(video.error.message));
  });
  const canvas = document.createElement("canvas");
  canvas.width = video.videoWidth;
  canvas.height = video.videoHeight;
  const pen = canvas.getContext("2d", {willReadFrequently: true});
  const numbers = [];
  for (const time of times) {
    const seeked = new Promise((done) => { video.onseeked = done; });
    // On a busy machine "seeked" may come before the new picture is there to draw.
    const pictured = new Promise((done) => {
      video.requestVideoFrameCallback(done);
      setTimeout(done, 250);
    });
    video.currentTime = time;
    await Promise.all([seeked, pictured]);
    pen.drawImage(video, 0, 0);
    let number = 0;
    for (let bit = 0; bit < columns; bit += 1) {
      const x = Math.floor(((2 * bit + 1) * canvas.width) / (2 * columns));
      const [red] = pen.getImageData(x, Math.floor(canvas.height * 0.75), 1, 1).data;
      if (red > 140) number += 2 ** bit;
    }
    numbers.push(number);
  }
  return {numbers, width: canvas.width, height: canvas.height, duration: video.duration};
}
"""


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    page = browser.new_page()
    yield page
    page.close()


def seen(page: Page, path: Path) -> dict[str, object]:
    """What the browser shows a moment into each frame, by the frames' own times."""
    times = probe_clip(path).frame_times_s
    moments = [time + 0.001 for time in times]
    data = base64.b64encode(path.read_bytes()).decode()
    answer: dict[str, object] = page.evaluate(
        _READ_FRAMES, {"data": data, "times": moments, "columns": _COLUMNS}
    )
    return answer


@pytest.mark.parametrize("rotation", [0, 90, 270])
def test_a_rotated_clip(page: Page, tmp_path: Path, rotation: int) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(20), rotation=rotation)
    shown = seen(page, path)
    assert shown["numbers"] == list(range(20))
    facts = probe_clip(path).facts
    assert (shown["width"], shown["height"]) == (facts.width, facts.height)


def test_a_trimmed_clip(page: Page, tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2)
    skip_start(path, 0.5)
    shown = seen(page, path)
    assert shown["numbers"] == list(range(15, 40))
    assert shown["duration"] == pytest.approx(probe_clip(path).facts.duration_s, abs=0.05)


def test_the_proxy_of_a_trimmed_clip(page: Page, tmp_path: Path) -> None:
    path = write_clip(tmp_path / "clip.mp4", even_times(40), b_frames=2, rotation=90)
    skip_start(path, 0.5)
    out = tmp_path / "proxy.mp4"
    write_proxy(path, probe_clip(path), out)
    assert seen(page, out)["numbers"] == list(range(15, 40))

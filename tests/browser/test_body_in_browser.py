"""The body networks in Chromium find what the worker's find: the same files, the same picture.

The picture is handed to the built web worker as the page hands it over, byte by byte.
"""

import base64
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from playwright.sync_api import Browser, Page

from tests.browser.house import WEB_DIST, House, open_house
from tests.worker.measure.framing_vectors import pictures
from worker.body import weights
from worker.body.crops import Crop
from worker.body.detector import PersonDetector
from worker.body.networks import LandmarkNetwork
from worker.body.points import find_points
from worker.body.weights import Network

pytestmark = [pytest.mark.browser, pytest.mark.slow]

POINT_PX = 0.05
"""Of a picture 640 high, on the same crop. Seen: 0.004 at most; a joint's own error is some two pixels."""
CROP_SHARE, CROP_RAD = 0.001, 0.002
"""Of the crop's side. The two builds of the runtime add up in another order; a look is repeated with crops moved by
fifteen times as much to learn how repeatable it is (``worker.body.tracker``)."""
SEEN = 0.005

LOOK = """async ([address, width, height, packed]) => {
  const worker = new Worker(address);
  const heard = (kind) => new Promise((tell, fail) => {
    worker.addEventListener("error", (event) => fail(new Error(event.message)));
    worker.addEventListener("message", ({ data }) => {
      if (data.kind === kind) tell(data);
      if (data.kind === "failed" || data.kind === "missed") fail(new Error(data.words));
    });
  });
  await heard("ready");
  const bytes = Uint8ClampedArray.from(atob(packed), (letter) => letter.charCodeAt(0)).buffer;
  const seen = heard("seen");
  worker.postMessage({ id: 1, width, height, bytes }, [bytes]);
  const answer = (await seen).seen;
  worker.terminate();
  return answer;
}"""


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """The whole service, with its own content security policy."""
    with open_house(tmp_path_factory.mktemp("body")) as house:
        yield house


@pytest.fixture
def page(browser: Browser, house: House) -> Page:
    """The student's page; nobody is signed in."""
    page = browser.new_page()
    page.goto(f"{house.base_url}/student/")
    return page


def looked_at(page: Page, rgb: NDArray[np.uint8]) -> dict[str, Any]:
    """What the page's web worker says of one picture."""
    (script,) = (WEB_DIST / "assets/workers").glob("*.js")
    rgba = np.dstack([rgb, np.full(rgb.shape[:2], 255, dtype=np.uint8)])
    packed = base64.b64encode(rgba.tobytes()).decode()
    height, width = rgb.shape[:2]
    told: dict[str, Any] = page.evaluate(
        LOOK, [f"/assets/workers/{script.name}", width, height, packed]
    )
    return told


@pytest.mark.parametrize(
    "clip",
    ["face_on_neutral", "face_on_left_handed", "down_the_line_neutral", "down_the_line_roll"],
)
def test_points_are_the_workers_own(page: Page, clip: str) -> None:
    rgb = pictures(clip)[0]
    told = looked_at(page, rgb)
    crop = Crop(**told["crop"])
    person = PersonDetector().find(rgb)[0]
    for mine, theirs in (
        (crop.x, person.crop.x),
        (crop.y, person.crop.y),
        (crop.side, person.crop.side),
    ):
        assert abs(mine - theirs) <= CROP_SHARE * person.crop.side
    assert abs(crop.angle - person.crop.angle) <= CROP_RAD
    points = find_points(LandmarkNetwork(Network.LITE), rgb, crop)
    off = np.abs(np.array(told["body"]["xy"]) - points.xy)
    assert float(off.max()) <= POINT_PX
    assert float(np.abs(np.array(told["body"]["seen"]) - points.seen).max()) <= SEEN
    assert told["body"]["person"] == pytest.approx(points.person, abs=SEEN)


def test_a_picture_of_nobody_shows_nobody(page: Page) -> None:
    told = looked_at(page, np.full((640, 360, 3), 90, dtype=np.uint8))
    assert told["body"] is None
    assert told["light"] == 90


def test_the_pages_carry_the_workers_own_files() -> None:
    built = [*_assets("*.tflite"), *_assets("*.data")]
    assert {weights.sha256_of(path) for path in built} == {
        weights.SHA256[Network.DETECTOR],
        weights.SHA256[Network.LITE],
    }


def _assets(pattern: str) -> list[Path]:
    return list((WEB_DIST / "assets").glob(pattern))

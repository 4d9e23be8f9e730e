"""How a queue of 10,000 waiting items holds up: ``python -m tests.bench.queue_times``.

On SQLite and PostgreSQL, what each question of the page takes at the server; and in Chromium, from a
running house, how long the page works on a frame while a coach scrolls through the list and goes down it
by key. Prints its numbers and writes them to ``var/bench/queue.json``.
"""

import json
import statistics
import sys
import tempfile
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect
from rich.console import Console
from rich.table import Table
from sqlalchemy import text
from sqlalchemy.orm import Session

from api.db import migrate, queues
from api.db.queue_order import QueueSpot
from api.db.queues import Looked
from api.db.session import make_engine, make_session_factory
from api.domain.actors import Actor
from api.domain.queues import QueueFilters, QueueName, Reason
from tests import factories
from tests.bench.queue_fill import STUDENTS, fill_queue
from tests.bench.queue_house import fill, sign_in
from tests.browser.house import open_house
from tests.chromium import open_chromium
from tests.services import ServiceMissing, new_postgres_database, throwaway_postgres

WAITING = 10_000
REPEATS = 7
SCROLLS = 240
KEYS = 120
FRAME_MS = 1000 / 60
OUT = Path(__file__).resolve().parents[2] / "var" / "bench" / "queue.json"
# Runs in the page: from the start of a frame to when its style, layout and painting are done with.
_FRAMES = """async ([count, stepPx, key]) => {
  const work = [], gaps = [];
  let last = performance.now();
  for (let at = 0; at < count; at += 1) {
    await new Promise((next) => requestAnimationFrame((began) => {
      gaps.push(began - last);
      last = began;
      const from = performance.now();
      if (stepPx) window.scrollBy({ top: stepPx, behavior: "instant" });
      else document.activeElement.dispatchEvent(
        new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }));
      const channel = new MessageChannel();
      channel.port1.onmessage = () => { work.push(performance.now() - from); next(); };
      requestAnimationFrame(() => undefined);
      document.body.offsetHeight;
      channel.port2.postMessage(null);
    }));
  }
  return { work, gaps: gaps.slice(1) };
}"""

Numbers = dict[str, float]


def main() -> int:
    """Measure, print, write."""
    console = Console()
    found: dict[str, Any] = {"waiting": WAITING, "server": {}, "page": {}}
    with tempfile.TemporaryDirectory(prefix="fl-queue-") as folder:
        found["server"]["sqlite"] = _server(f"sqlite:///{folder}/queue.sqlite3")
    try:
        with throwaway_postgres() as url:
            database = new_postgres_database(url, f"q{uuid.uuid4().hex[:8]}")
            found["server"]["postgresql"] = _server(database)
    except ServiceMissing as missing:
        console.print(f"{missing}: no numbers of it")
    found["page"] = _page()
    _show(console, found)
    OUT.parent.mkdir(parents=True, exist_ok=True)
    OUT.write_text(json.dumps(found, indent=1))
    console.print(f"{OUT}")
    return 0


def _server(url: str) -> dict[str, Numbers]:
    migrate.upgrade(url)
    engine = make_engine(url)
    try:
        with make_session_factory(engine)() as session:
            filled = fill_queue(session, WAITING, students=STUDENTS)
            if engine.dialect.name == "postgresql":
                session.execute(text("ANALYZE"))
                session.commit()
            return _questions(session, factories.actor_of(filled.coaches[0]))
    finally:
        engine.dispose()


def _questions(session: Session, actor: Actor) -> dict[str, Numbers]:
    promise = queues.promise_of(session, actor, datetime.now(UTC))

    def look(queue: QueueName = QueueName.WAITING, **filters: Any) -> Looked:  # noqa: ANN401 - of each filter
        return Looked(session, actor, queue, QueueFilters(**filters), promise)

    deep = queues.queue_page(look(), after=None, limit=5000)[-1].row
    middle = QueueSpot(deep.due_at, deep.id)
    asked: dict[str, Callable[[], object]] = {
        "first page of 100": lambda: queues.queue_page(look(), after=None, limit=100),
        "page of 200 from the middle": lambda: queues.queue_page(look(), after=middle, limit=200),
        "counts of the tabs": lambda: queues.queue_counts(session, actor, promise.now),
        "counts of the list": lambda: queues.found_and_late(look()),
        "search that finds some": lambda: queues.queue_page(
            look(search="ada gorse"), after=None, limit=100
        ),
        "search that finds nothing": lambda: queues.queue_page(
            look(search="zzz"), after=None, limit=100
        ),
        "reason: proof": lambda: queues.queue_page(
            look(reason=Reason.PROOF), after=None, limit=100
        ),
        "counts of the filters": lambda: queues.filter_counts(look()),
        "one change followed": lambda: queues.queue_page(
            look(), after=None, limit=200, only=[deep.id]
        ),
        "a look for changes": lambda: queues.newest_changes(session, actor),
    }
    return {name: _timed(work) for name, work in asked.items()}


def _timed(work: Callable[[], object]) -> Numbers:
    work()
    wall, cpu = [], []
    for _ in range(REPEATS):
        began, used = time.perf_counter(), time.process_time()
        work()
        wall.append((time.perf_counter() - began) * 1000)
        cpu.append((time.process_time() - used) * 1000)
    return {
        "median_ms": statistics.median(wall),
        "least_ms": min(wall),
        "cpu_ms": statistics.median(cpu),
    }


@contextmanager
def _open_queue() -> Iterator[Page]:
    with (
        tempfile.TemporaryDirectory(prefix="fl-queue-") as folder,
        open_house(Path(folder)) as house,
        open_chromium() as browser,
    ):
        filled = fill(house, WAITING, students=STUDENTS)
        page = browser.new_context(viewport={"width": 1440, "height": 900}).new_page()
        page.set_default_timeout(60_000)
        sign_in(page, house, filled.coaches[0])
        expect(page.locator("[data-id]").first).to_be_visible()
        yield page


def _page() -> dict[str, Numbers]:
    found = {}
    with _open_queue() as page:
        began = time.perf_counter()
        _load_all(page)
        found["all rows loaded, by key"] = {"seconds": time.perf_counter() - began}
        rows = page.locator("[data-id]").count()
        found["rows drawn of all"] = {"rows": rows}
        page.evaluate("window.scrollTo(0, 0)")
        found["scrolling, 400 px a frame"] = _frames(page, SCROLLS, 400, "")
        found["scrolling, 6,000 px a frame"] = _frames(page, SCROLLS // 2, 6000, "")
        page.keyboard.press("j")
        page.keyboard.press("Home")
        found["down a row by key"] = _frames(page, KEYS, 0, "ArrowDown")
        found["ten rows by key"] = _frames(page, KEYS, 0, "PageDown")
    return found


def _load_all(page: Page) -> None:
    page.keyboard.press("j")
    more = page.get_by_role("button", name="Show more")
    while more.count() > 0:
        page.keyboard.press("End")
        page.wait_for_timeout(50)


def _frames(page: Page, count: int, step_px: int, key: str) -> Numbers:
    taken = page.evaluate(_FRAMES, [count, step_px, key])
    work = sorted(taken["work"])
    return {
        "median_ms": statistics.median(work),
        "p95_ms": work[int(len(work) * 0.95)],
        "worst_ms": work[-1],
        "over_a_frame": sum(1 for one in work if one > FRAME_MS),
        "of": len(work),
    }


def _show(console: Console, found: dict[str, Any]) -> None:
    for where, numbers in [*found["server"].items(), ("page", found["page"])]:
        table = Table(title=f"{where}, {WAITING} waiting")
        table.add_column("what")
        table.add_column("numbers")
        for name, ones in numbers.items():
            table.add_row(name, ", ".join(f"{key} {value:.1f}" for key, value in ones.items()))
        console.print(table)


if __name__ == "__main__":
    sys.exit(main())

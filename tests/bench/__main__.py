"""How long measuring takes beside reading the file: ``python -m tests.bench``.

Every job runs in a process of its own, one after the other, on the same file in one run:

- decode: every frame decoded, none converted; the least that anything can take;
- every frame: the plain pipeline, the general body network's middle size on every frame at full size;
- measure: ours, from file to measurement.

Prints wall time, processor time, the ratio to decode and the peak memory; writes them to
``var/bench/bench.json``.
"""

import argparse
import json
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from types import MappingProxyType

import numpy as np
from rich.console import Console
from rich.table import Table

from api.domain.names import Hand, View
from tests.bench.longer import rewrite
from worker.body.crops import Crop
from worker.body.networks import LandmarkNetwork
from worker.body.tracker import Tracker
from worker.body.weights import Network
from worker.pipeline import PIPELINE_VERSION, MeasureRequest, measure_clip
from worker.video.frames import MAX_PIXELS, iter_frames
from worker.video.probe import probe_clip
from worker.video.reading import open_clip, shown_frames

ROOT = Path(__file__).resolve().parents[2]
CLIPS = ROOT / "tests" / "clips"
OUT = ROOT / "var" / "bench" / "bench.json"
CASES = (("1080p, 240 a second, 4 s", 1920, 240, 4.0), ("720p, 60 a second, 4 s", 1280, 60, 4.0))
SOURCE = "face_on_neutral"
KIB = 1024.0


@dataclass(frozen=True, slots=True)
class Result:
    """One job on one clip; ``took``: ``wall_s``, ``cpu_s``, ``peak_mib``."""

    clip: str
    job: str
    frames: int
    took: Mapping[str, float]


def decode(clip: Path) -> None:
    """Every frame, nothing made of it."""
    with open_clip(clip, max_pixels=MAX_PIXELS) as opened:
        for _ in shown_frames(opened):
            pass


def every_frame(clip: Path) -> None:
    """The general network on every frame at full size, following the golfer."""
    tracker = None
    for _, picture in iter_frames(clip, probe_clip(clip)):
        height, width = picture.shape[:2]
        if tracker is None:
            tracker = Tracker(
                LandmarkNetwork(Network.FULL),
                Crop(width / 2.0, height / 2.0, float(max(width, height)), 0.0),
            )
        tracker.step(np.ascontiguousarray(picture[:, :, ::-1]))


def measure(clip: Path) -> None:
    """The whole measuring path."""
    request = MeasureRequest(View.FACE_ON, Hand.RIGHT, 0.94, 1.75)
    if not measure_clip(clip, request).measurement.swings:
        raise RuntimeError("the bench clip has a swing that was not found")


JOBS: Mapping[str, Callable[[Path], None]] = MappingProxyType(
    {"decode": decode, "every frame": every_frame, "measure": measure}
)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command, or one job of it in a process of its own."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument("--job", nargs=2, metavar=("JOB", "CLIP"), help="only this job, for itself")
    chosen = parser.parse_args(arguments)
    if chosen.job:
        print(json.dumps(_timed(JOBS[chosen.job[0]], Path(chosen.job[1]))))  # noqa: T201 - the answer
        return 0
    console = Console()
    results: list[Result] = []
    with tempfile.TemporaryDirectory(prefix="fairlead-bench-") as folder:
        for name, side, rate, seconds in CASES:
            clip = Path(folder) / f"{side}-{rate}.mp4"
            frames = rewrite(
                CLIPS / f"{SOURCE}.mp4", clip, long_side=side, rate=rate, seconds=seconds
            )
            console.print(f"{name}: {frames} frames")
            results.extend(Result(name, job, frames, _alone(job, clip)) for job in JOBS)
    console.print(_table(results))
    OUT.parent.mkdir(parents=True, exist_ok=True)
    made_by = {
        "pipeline": PIPELINE_VERSION,
        "machine": platform.machine(),
        "python": platform.python_version(),
    }
    kept = {"made_by": made_by, "results": [asdict(each) for each in results]}
    OUT.write_text(json.dumps(kept, indent=1) + "\n")
    console.print(str(OUT))
    return 0


def _alone(job: str, clip: Path) -> dict[str, float]:
    asked = [sys.executable, "-m", "tests.bench", "--job", job, str(clip)]
    done = subprocess.run(asked, cwd=ROOT, check=True, capture_output=True, text=True)
    answer: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return answer


def _timed(job: Callable[[Path], None], clip: Path) -> dict[str, float]:
    wall, cpu = time.perf_counter(), time.process_time()
    job(clip)
    return {
        "wall_s": round(time.perf_counter() - wall, 2),
        "cpu_s": round(time.process_time() - cpu, 2),
        "peak_mib": round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KIB, 0),
    }


def _table(results: Sequence[Result]) -> Table:
    table = Table()
    for header in ("clip", "job", "wall s", "processor s", "times decode", "peak MiB"):
        table.add_column(header)
    least = {each.clip: each.took["wall_s"] for each in results if each.job == "decode"}
    for each in results:
        took = each.took
        table.add_row(
            each.clip,
            each.job,
            f"{took['wall_s']:.2f}",
            f"{took['cpu_s']:.2f}",
            f"{took['wall_s'] / least[each.clip]:.1f}",
            f"{took['peak_mib']:.0f}",
        )
    return table


if __name__ == "__main__":
    sys.exit(main())

"""What made a report: date, versions, commit, machine."""

import os
import platform
import subprocess
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path

from tests.accuracy.digests import sources_digest
from tests.accuracy.outline import SHORT
from worker.pipeline import PIPELINE_VERSION

ROOT = Path(__file__).resolve().parents[2]


def made_by(studio: str) -> dict[str, str]:
    """Facts of this run, as text. ``studio``: version of the studio, or why there is none."""
    return {
        "date": datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC"),
        "pipeline": PIPELINE_VERSION,
        "sources": sources_digest()[:SHORT],
        "studio": studio,
        "commit": commit(),
        "machine": machine(),
        "python": platform.python_version(),
        "numpy": version("numpy"),
        "opencv": version("opencv-python-headless"),
    }


def commit() -> str:
    """Short id of the commit, with a plus where pipeline, tests or domain differ from it."""
    head = _git("rev-parse", "--short=12", "HEAD")
    if not head:
        return "not in git"
    changed = _git("status", "--porcelain", "--", "worker", "api", "tests")
    return f"{head}+changes" if changed else head


def _git(*words: str) -> str:
    try:
        done = subprocess.run(
            ["git", "-c", f"safe.directory={ROOT}", "-C", str(ROOT), *words],  # noqa: S607 - git, wherever it is
            capture_output=True,
            text=True,
            check=False,
        )
    except OSError:
        return ""
    return done.stdout.strip() if done.returncode == 0 else ""


def machine() -> str:
    """Processor, how many of them, memory, system."""
    pages, size = os.sysconf("SC_PHYS_PAGES"), os.sysconf("SC_PAGE_SIZE")
    memory = pages * size / 2**30
    return f"{processor()}, {os.cpu_count()} processors, {memory:.0f} GiB, {platform.system()}"


def processor() -> str:
    """The processor's own name where the system tells it."""
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        return platform.machine()
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()

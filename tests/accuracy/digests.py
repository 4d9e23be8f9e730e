"""What a measurement depends on, as digests: it is measured again when, and only when, one changed."""

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path

from tests.accuracy.truths import TrueClip
from worker.body.weights import SHA256
from worker.pipeline import PIPELINE_VERSION

ROOT = Path(__file__).resolve().parents[2]
SOURCES = ("worker", "api/domain")
"""Folders whose code decides a measurement."""
SUFFIXES = {".py", ".onnx", ".json"}
"""Code, our own network's weights, and fitted numbers."""
NUMERIC_PARTS = ("ai-edge-litert", "av", "numpy", "onnxruntime", "opencv-python-headless", "scipy")
"""Packages whose release may change a number."""


@cache
def sources_digest(root: Path = ROOT) -> str:
    """Digest of the pipeline: its sources, its version, its networks and its numeric packages."""
    digest = hashlib.sha256(PIPELINE_VERSION.encode())
    for folder in SOURCES:
        for path in sorted(each for each in (root / folder).rglob("*") if each.suffix in SUFFIXES):
            digest.update(path.relative_to(root).as_posix().encode())
            digest.update(hashlib.sha256(path.read_bytes()).digest())
    for network, sha256 in SHA256.items():
        digest.update(f"{network.value} {sha256}".encode())
    for part in NUMERIC_PARTS:
        digest.update(f"{part} {version(part)}".encode())
    return digest.hexdigest()


@cache
def file_digest(path: Path) -> str:
    """SHA-256 of a file, hexadecimal. Remembered: clips do not change while a report runs."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def measurement_digest(clip: TrueClip) -> str:
    """Digest of a clip's file, of what its student says about it, and of the pipeline."""
    said = f"{clip.view.value} {clip.handed.value} {clip.club_length_m!r}"
    text = f"{file_digest(clip.video)} {said} {sources_digest()}"
    return hashlib.sha256(text.encode()).hexdigest()

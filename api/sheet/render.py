"""From what a sheet says to its PDF: the same in, the same bytes out."""

import hashlib
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from importlib import metadata
from pathlib import Path
from threading import BoundedSemaphore
from typing import Any

from api.domain.errors import TooManyRequests
from api.sheet.fonts import FAMILIES, font_files, fonts_digest
from api.sheet.program import DOCUMENT, FONTS, TEMPLATE

AT_ONCE = 2
"""Sheets that are set at the same time in one process of the service."""
WAITS_S = 15.0
"""For its turn."""
TAKES_S = 30.0
"""Seconds a sheet may take; a long one takes about one."""
_RETRY_S = 5

_templates = tuple(Path(__file__).with_name(name) for name in (TEMPLATE, "parts.typ"))
_ROOT = Path(__file__).parents[2]
_turns = BoundedSemaphore(AT_ONCE)

Page = Mapping[str, Any]
Files = Mapping[str, bytes]


class SheetFailed(Exception):
    """A sheet could not be set. Ours to mend: what people wrote is data and cannot break it."""


def fingerprint(page: Page, files: Files) -> str:
    """The same for what gives the same bytes: contents, pictures, template, fonts and typesetter."""
    told = hashlib.sha256(_json(page))
    for template in _templates:
        told.update(template.read_bytes())
    for name in sorted(files):
        told.update(hashlib.sha256(name.encode() + b"\0" + files[name]).digest())
    told.update(f"{fonts_digest()} {metadata.version('typst')}".encode())
    return told.hexdigest()


def render(page: Page, files: Files) -> bytes:
    """The PDF. Raises ``TooManyRequests`` when others are in front for long, ``SheetFailed`` for a fault of ours."""
    if not _turns.acquire(timeout=WAITS_S):
        raise TooManyRequests(
            "Many sheets are being made. Try again in a moment.",
            code="busy",
            details={"retry_after_s": _RETRY_S},
        )
    try:
        with tempfile.TemporaryDirectory(prefix="sheet-") as name:
            return _render(Path(name), page, files)
    finally:
        _turns.release()


def _render(folder: Path, page: Page, files: Files) -> bytes:
    for name, data in files.items():
        (folder / name).write_bytes(data)
    (folder / "sheet.json").write_bytes(_json(page))
    (folder / "families.json").write_bytes(_json(FAMILIES))
    for template in _templates:
        (folder / template.name).write_bytes(template.read_bytes())
    (folder / FONTS).mkdir()
    for font in font_files():
        (folder / FONTS / font.name).symlink_to(font)
    command = [sys.executable, "-m", "api.sheet.program", str(folder)]
    # One thread, since a few pages are too little to share out; and none of the service's secrets.
    passed = {name: os.environ[name] for name in ("PATH", "PYTHONPATH") if name in os.environ}
    environment = {**passed, "RAYON_NUM_THREADS": "1"}
    try:
        done = subprocess.run(
            command, cwd=_ROOT, env=environment, capture_output=True, timeout=TAKES_S, check=False
        )
    except subprocess.TimeoutExpired as late:
        raise SheetFailed(f"It took more than {TAKES_S:g} seconds.") from late
    if done.returncode != 0:
        raise SheetFailed(f"The typesetter ended with {done.returncode}.")
    return (folder / DOCUMENT).read_bytes()


def _json(value: object) -> bytes:
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode()

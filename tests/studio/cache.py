"""Clips already made, in ``.cache/studio`` of the checkout or where ``FAIRLEAD_STUDIO_CACHE`` says.

A video is filed under its dials and whatever draws it, a truth file under its dials and whatever
computes it, so a change of the truth's formulas does not film anything again. Files appear whole:
they are written beside their place and moved there, so several processes may fill one cache.
"""

import hashlib
import json
import os
import tempfile
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path

from tests.studio.dials import ClipDials
from tests.studio.guard import require_open, set_of
from tests.studio.sources import TREE, digest_of

VARIABLE = "FAIRLEAD_STUDIO_CACHE"
_KEY_DIGITS = 16

Modules = tuple[str, ...]
"""Dotted names."""


def cache_folder() -> Path:
    """Where made clips are kept."""
    return Path(os.environ.get(VARIABLE) or TREE / ".cache" / "studio")


def cached(dials: ClipDials, suffix: str, modules: Modules, make: Callable[[Path], None]) -> Path:
    """The cached file that ``make`` writes for ``dials``, made now if it is not there.

    ``suffix``: ``.mp4`` or ``.json``. ``modules``: those whose code, with all it imports, decides
    what is in the file. Raises ``SetIsClosed`` for a clip of a set that is not open.
    """
    path = place_of(dials, suffix, modules)
    if not path.is_file():
        write_whole(path, make)
    return path


def place_of(dials: ClipDials, suffix: str, modules: Modules) -> Path:
    """Where the cache keeps that file once it is made. Raises as ``cached``."""
    require_open(dials.seed)
    shelf = cache_folder() / (set_of(dials.seed) or "by-hand")
    return shelf / f"{dials.name}-{key_of(dials, modules)}{suffix}"


def key_of(dials: ClipDials, modules: Modules, tree: Path = TREE) -> str:
    """16 hexadecimal digits that change with any dial and with the code behind ``modules``."""
    text = json.dumps(asdict(dials), sort_keys=True) + digest_of(*modules, tree=tree)
    return hashlib.sha256(text.encode()).hexdigest()[:_KEY_DIGITS]


def write_whole(path: Path, make: Callable[[Path], None]) -> None:
    """Have ``make`` write a file that then appears at ``path`` at once and complete, or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=".making-", suffix=path.suffix, dir=path.parent)
    os.close(handle)
    making = Path(name)
    try:
        make(making)
        making.chmod(0o644)  # a temporary file is its owner's alone
        making.replace(path)
    finally:
        making.unlink(missing_ok=True)

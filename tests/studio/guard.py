"""Which seeds are whose, and who may read them.

Three sets of clips, told apart by the seed in their dials:

- practice: free use, for building and looking;
- calibration: only fits the uncertainty model, inside ``with calibrating():``;
- report: only ever scored, inside ``with scoring():``.

Whatever hands out dials, pictures or truth asks ``require_open`` first. The two doors open only for
the folders named in ``OPENERS``, and not inside one another; ``tests/checks/test_studio_sets.py``
holds the rest of the tree to that. A seed outside all three ranges belongs to a clip made by hand
and is free.
"""

import sys
import sysconfig
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from enum import StrEnum
from pathlib import Path
from types import FrameType

TREE = Path(__file__).resolve().parents[2]


class Set(StrEnum):
    """A set of clips."""

    PRACTICE = "practice"
    CALIBRATION = "calibration"
    REPORT = "report"


SEEDS = {
    Set.PRACTICE: range(71_000_000, 72_000_000),
    Set.CALIBRATION: range(72_000_000, 73_000_000),
    Set.REPORT: range(73_000_000, 74_000_000),
}

OPENERS = {Set.CALIBRATION: "tests/calibration/", Set.REPORT: "tests/accuracy/"}
"""The folder whose code may open a closed set."""


class SetIsClosed(RuntimeError):
    """Someone reached for a clip of a set that is not theirs to read."""


class _Door:
    """What is open in this process."""

    opened: Set | None = None


def set_of(seed: int) -> Set | None:
    """The set a seed belongs to, or ``None`` for a clip made by hand."""
    return next((name for name, seeds in SEEDS.items() if seed in seeds), None)


def require_open(seed: int) -> None:
    """Raise ``SetIsClosed`` unless clips of this seed may be read here and now."""
    owner = set_of(seed)
    if owner in OPENERS and owner is not _Door.opened:
        raise SetIsClosed(
            f"seed {seed} belongs to the {owner} set, which only the command in {OPENERS[owner]} reads"
        )


def scoring() -> AbstractContextManager[None]:
    """Open the report set to the accuracy command. Raises ``SetIsClosed`` for any other caller."""
    _refuse_strangers(Set.REPORT, sys._getframe(1))
    return _opened(Set.REPORT)


def calibrating() -> AbstractContextManager[None]:
    """Open the calibration set to the command that fits the uncertainty model. Raises
    ``SetIsClosed`` for any other caller.
    """
    _refuse_strangers(Set.CALIBRATION, sys._getframe(1))
    return _opened(Set.CALIBRATION)


def opened() -> Set | None:
    """What is open, to hand on to a helper process."""
    return _Door.opened


def open_as_parent(handed_on: Set | None) -> None:
    """In a helper process: what was open in the process that started it."""
    _Door.opened = handed_on


def _refuse_strangers(wanted: Set, caller: FrameType) -> None:
    """The caller and whatever called it lie in the folder or in a library: an importer is a stranger,
    and so are a script beside the tree and code given to ``python -c``.
    """
    # A thread's calls do not show who started it: the program itself must be a command of the folder, or
    # a library's (pytest, a helper process).
    program = getattr(sys.modules.get("__main__"), "__file__", None)
    if program is not None and not (
        Path(program).resolve().is_relative_to(TREE / OPENERS[wanted]) or _is_installed(program)
    ):
        raise SetIsClosed(
            f"only commands in {OPENERS[wanted]} may open the {wanted} set, not {program}"
        )
    frame: FrameType | None = caller
    called = ""
    while frame is not None:
        file = frame.f_code.co_filename
        home = Path(file).resolve().is_relative_to(TREE / OPENERS[wanted])
        if not home and (frame is caller or not _is_library(file, called)):
            raise SetIsClosed(
                f"only code in {OPENERS[wanted]} may open the {wanted} set, not {file}"
            )
        if not file.startswith("<") or file.startswith("<frozen "):
            called = file
        frame = frame.f_back


def _is_library(file: str, called: str) -> bool:
    """Python's own code or an installed package. ``called``: the nearest real file that ``file``
    called into.

    Code without a file is the interpreter's, or the lines by which a library starts a helper process:
    those call the library's own files.
    """
    if file.startswith("<frozen "):
        return True
    if file.startswith("<"):
        return _is_installed(called)
    return _is_installed(file)


def _is_installed(file: str) -> bool:
    places = sysconfig.get_paths()
    folders = (places[name] for name in ("stdlib", "platstdlib", "purelib", "platlib", "scripts"))
    return any(Path(file).resolve().is_relative_to(Path(folder).resolve()) for folder in folders)


@contextmanager
def _opened(wanted: Set) -> Iterator[None]:
    if _Door.opened is not None:
        raise SetIsClosed(f"the {_Door.opened} set is open already; sets are never mixed")
    _Door.opened = wanted
    try:
        yield
    finally:
        _Door.opened = None

"""What a clip depends on, as a digest: it is made again when, and only when, one of it changed."""

import ast
import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import version
from pathlib import Path

TREE = Path(__file__).resolve().parents[2]
OWN = ("tests.studio", "api.domain")
"""Packages whose code is followed from import to import."""
DATA = ("tests/studio/bodies/*.npz", "tests/studio/**/*.glsl")
"""Files that the code reads."""
PARTS = ("av", "moderngl", "numpy", "opencv-python-headless", "scipy")
"""Packages whose release may change a pixel, a sample or a number."""


@cache
def digest_of(*modules: str, tree: Path = TREE) -> str:
    """Digest of some modules, of all of ours that they import directly or not, of the studio's data
    and of the packages that draw, encode and compute. Tests and commands are not imported, hence
    not in it.
    """
    digest = hashlib.sha256()
    data = (path for pattern in DATA for path in tree.glob(pattern))
    for path in sorted({*files_behind(modules, tree), *data}):
        digest.update(path.relative_to(tree).as_posix().encode())
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    for part in PARTS:
        digest.update(f"{part} {version(part)}".encode())
    return digest.hexdigest()


def files_behind(modules: tuple[str, ...], tree: Path = TREE) -> set[Path]:
    """Source files of ``modules`` and of all of ours that they import. Raises
    ``ModuleNotFoundError`` for a module of ours without a file.
    """
    found: dict[str, Path] = {}
    waiting = list(modules)
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = _file_of(name, tree)
            waiting.extend(_imports_of(found[name], tree))
    return set(found.values())


def _imports_of(path: Path, tree: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_bytes())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name.startswith(OWN))
        elif isinstance(node, ast.ImportFrom) and (node.module or "").startswith(OWN):
            yield from _imported_from(str(node.module), node.names, tree)


def _imported_from(package: str, names: list[ast.alias], tree: Path) -> Iterator[str]:
    """``from a import b``: module ``a.b`` where there is one, else ``a``."""
    for alias in names:
        inner = f"{package}.{alias.name}"
        yield inner if _candidates(inner, tree) else package


def _candidates(name: str, tree: Path) -> list[Path]:
    stem = tree.joinpath(*name.split("."))
    return [path for path in (stem.with_suffix(".py"), stem / "__init__.py") if path.is_file()]


def _file_of(name: str, tree: Path) -> Path:
    for path in _candidates(name, tree):
        return path
    raise ModuleNotFoundError(f"no source file for {name}")

"""The import rules stop what they are meant to stop: each is shown one planted breach.

The rules are those of pyproject.toml; the tree they are tried on is a skeleton made here, so that
these tests neither depend on today's modules nor read all of them.
"""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LINT_IMPORTS = Path(sys.executable).parent / "lint-imports"
MODULES = (
    "api",
    "api.db",
    "api.db.clips",
    "api.demo",
    "api.domain",
    "api.domain.angles",
    "api.found",
    "api.http",
    "api.http.clips",
    "api.services",
    "api.services.clips",
    "api.sheet",
    "api.sheet.texts",
    "api.storage",
    "api.storage.local",
    "api.unsubscribe",
    "worker",
    "worker.tasks",
    "worker.tasks.measure",
)
ALLOWED = {
    "worker.tasks.measure": "import api.db.clips, api.storage.local, api.domain.angles, cv2, av",
    "api.http.clips": "import api.services.clips, api.db.clips, fastapi",
    "api.services.clips": (
        "import api.db.clips, api.sheet.texts, api.storage.local, api.domain.angles"
    ),
    "api.db.clips": "import api.domain.angles, sqlalchemy",
    "api.demo": "import api.services.clips",
}
BREACHES = [
    ("api.services.clips", "worker.tasks.measure", "the API never imports the worker"),
    ("api.domain.angles", "api.db.clips", "Inside the API"),
    ("api.db.clips", "api.services.clips", "Inside the API"),
    ("api.services.clips", "api.http.clips", "Inside the API"),
    ("api.db.clips", "api.storage.local", "Inside the API"),
    ("api.sheet.texts", "api.db.clips", "Inside the API"),
    ("worker.tasks.measure", "api.services.clips", "The worker knows no HTTP and no use case"),
    ("worker.tasks.measure", "fastapi", "The worker knows no HTTP and no use case"),
    ("api.domain.angles", "pydantic", "The domain knows no framework"),
    ("api.domain.angles", "numpy", "The domain knows no framework"),
    ("api.services.clips", "cv2", "The API opens no video"),
    ("api.http.clips", "numpy", "The API opens no video"),
]


def skeleton(folder: Path) -> None:
    """Write the packages of ``MODULES``, with the imports that are allowed."""
    for name in MODULES:
        path = folder.joinpath(*name.split("."))
        if any(other.startswith(f"{name}.") for other in MODULES):
            path.mkdir(parents=True)
            path = path / "__init__"
        path.with_suffix(".py").write_text(ALLOWED.get(name, "") + "\n")


def lint(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the real rules on the skeleton."""
    config = ROOT / "pyproject.toml"
    return subprocess.run(
        [str(LINT_IMPORTS), "--config", str(config), "--no-cache"],
        cwd=folder,
        env={"PATH": "", "PYTHONPATH": str(folder), "PYTHONSAFEPATH": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


def broken(report: str) -> list[str]:
    """Names of the contracts that the report calls broken."""
    return [
        line.rpartition(" BROKEN")[0] for line in report.splitlines() if line.endswith(" BROKEN")
    ]


def test_the_allowed_imports_pass(tmp_path: Path) -> None:
    skeleton(tmp_path)
    done = lint(tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


@pytest.mark.parametrize(("module", "imported", "contract"), BREACHES)
def test_a_breach_is_stopped(tmp_path: Path, module: str, imported: str, contract: str) -> None:
    skeleton(tmp_path)
    source = tmp_path.joinpath(*module.split(".")).with_suffix(".py")
    source.write_text(f"import {imported}\n")
    done = lint(tmp_path)
    assert done.returncode == 1, done.stdout + done.stderr
    assert any(contract in name for name in broken(done.stdout)), done.stdout


def imports_of(path: Path) -> set[str]:
    """Full names of the modules that a file imports."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
    return found


def test_the_domain_uses_the_standard_library_and_itself() -> None:
    """The contract above lists frameworks; this lists nothing and so misses none."""
    strangers = {
        f"{path.relative_to(ROOT)}: {name}"
        for path in (ROOT / "api" / "domain").rglob("*.py")
        for name in imports_of(path)
        if name.split(".")[0] not in sys.stdlib_module_names and not name.startswith("api.domain")
    }
    assert strangers == set()

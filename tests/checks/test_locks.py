"""Lock files are complete, hashed, and name no address: each house fetches from its own mirror."""

import json
import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).resolve().parents[2]
ADDRESS = re.compile(r"[a-z+]+://|^--|@ |\bfile:", re.MULTILINE)


def python_lock() -> dict[str, list[str]]:
    """Pinned version and hashes by package name."""
    pinned: dict[str, list[str]] = {}
    name = ""
    for line in (ROOT / "requirements.lock").read_text().splitlines():
        if line and not line.startswith((" ", "#")):
            name, _, rest = line.partition("==")
            pinned[canonicalize_name(name)] = [rest.split()[0]]
        elif "--hash=sha256:" in line:
            pinned[canonicalize_name(name)].append(line.strip(" \\"))
    return pinned


def page_packages() -> dict[str, dict[str, Any]]:
    """Every package of the pages' lock file but the root."""
    lock = json.loads((ROOT / "web" / "package-lock.json").read_text())
    return {name: entry for name, entry in lock["packages"].items() if name}


def test_the_python_lock_names_no_address() -> None:
    assert ADDRESS.findall((ROOT / "requirements.lock").read_text()) == []


def test_every_python_package_is_pinned_with_hashes() -> None:
    lock = python_lock()
    assert len(lock) > 50
    assert [name for name, (_, *hashes) in lock.items() if not hashes] == []


def test_the_python_lock_satisfies_the_package() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    extras = project["optional-dependencies"]
    wanted = [
        Requirement(text) for text in project["dependencies"] + extras["dev"] + extras["studio"]
    ]
    versions = {name: version for name, (version, *_) in python_lock().items()}
    unmet = [
        str(requirement)
        for requirement in wanted
        if not requirement.specifier.contains(
            versions.get(canonicalize_name(requirement.name), "0"), prereleases=True
        )
    ]
    assert unmet == []


@pytest.mark.parametrize("system", ["linux", "darwin"])
@pytest.mark.parametrize("python", ["3.11.2", "3.11.14", "3.12.12", "3.13.9", "3.14.0"])
def test_the_lock_is_complete_on_every_python(python: str, system: str) -> None:
    """Debian 12 has Python 3.11.2, where redis needs a package that 3.11.3 made needless.

    A lock made on a newer Python left it out, and nothing started on a fresh Debian.
    """
    environment = {
        "python_full_version": python,
        "python_version": python.rpartition(".")[0],
        "sys_platform": system,
        "platform_system": system.capitalize(),
        "extra": "",
    }
    lock = python_lock()
    lacking = {
        f"{name} needs {requirement.name}"
        for name in lock
        for requirement in map(Requirement, requires_of(name))
        if (requirement.marker is None or requirement.marker.evaluate(environment))
        and canonicalize_name(requirement.name) not in lock
    }
    assert lacking == set()


def requires_of(name: str) -> list[str]:
    """What an installed package asks for; nothing when this Python does not need the package."""
    try:
        return metadata.requires(name) or []
    except metadata.PackageNotFoundError:
        return []


def test_the_page_lock_names_no_address_and_is_hashed() -> None:
    packages = page_packages()
    assert len(packages) > 50
    assert ADDRESS.findall((ROOT / "web" / "package-lock.json").read_text()) == []
    assert [name for name, entry in packages.items() if "integrity" not in entry] == []


def test_the_page_lock_matches_what_the_pages_ask_for() -> None:
    asked = json.loads((ROOT / "web" / "package.json").read_text())
    lock = json.loads((ROOT / "web" / "package-lock.json").read_text())["packages"]
    assert lock[""]["dependencies"] == asked["dependencies"]
    assert lock[""]["devDependencies"] == asked["devDependencies"]
    exact = {**asked["dependencies"], **asked["devDependencies"]}
    assert {name: lock[f"node_modules/{name}"]["version"] for name in exact} == exact


def test_npm_will_not_write_addresses_again() -> None:
    assert "omit-lockfile-registry-resolved=true" in (ROOT / "web" / ".npmrc").read_text()

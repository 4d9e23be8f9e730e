"""What a student's first page weighs: a phone at a range has a poor signal."""

import gzip
import json
from typing import Any

import pytest

from tests.browser.house import WEB_DIST

pytestmark = pytest.mark.browser

MOST_BYTES = 120_000
ENTRY = "student/index.html"


@pytest.fixture(scope="module")
def manifest() -> dict[str, Any]:
    """Which files each page loads, as the build wrote it."""
    written: dict[str, Any] = json.loads((WEB_DIST / ".vite/manifest.json").read_text())
    return written


def loaded(manifest: dict[str, Any], key: str) -> set[str]:
    """Keys of everything that loads with one, without being asked for."""
    found: set[str] = set()
    ahead = [key]
    while ahead:
        one = ahead.pop()
        if one not in found:
            found.add(one)
            ahead += manifest[one].get("imports", [])
    return found


def script_bytes(manifest: dict[str, Any], keys: set[str]) -> int:
    """Their scripts, each packed as it is sent."""
    files = {manifest[key]["file"] for key in keys}
    return sum(
        len(gzip.compress((WEB_DIST / file).read_bytes(), 9, mtime=0))
        for file in files
        if file.endswith(".js")
    )


def test_the_first_page_is_light(manifest: dict[str, Any]) -> None:
    assert 20_000 < script_bytes(manifest, loaded(manifest, ENTRY)) <= MOST_BYTES


def test_the_page_itself_names_no_more_scripts(manifest: dict[str, Any]) -> None:
    """What the document asks for is what was weighed."""
    page = (WEB_DIST / ENTRY).read_text()
    weighed = {manifest[key]["file"] for key in loaded(manifest, ENTRY)}
    named = {part.split('"')[0].removeprefix("/") for part in page.split('="')[1:]}
    assert {name for name in named if name.endswith(".js")} <= weighed


def test_filming_is_loaded_when_it_is_opened(manifest: dict[str, Any]) -> None:
    first = loaded(manifest, ENTRY)
    later = {name for key in first for name in manifest[key].get("dynamicImports", [])}
    assert "src/student/filming/FilmDialog.svelte" in later
    assert not any("Film" in key for key in first)
    heavy = script_bytes(
        manifest, loaded(manifest, "src/student/filming/FilmDialog.svelte") - first
    )
    assert heavy > 50_000, "the heavy part lies in what is loaded first"

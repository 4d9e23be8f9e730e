"""What the papers say exists, exists: settings, commands, programs, drills of the make file."""

import importlib.util
import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from api.db.outbox import queue_of
from api.domain.tasks import TaskName
from api.settings import Settings
from worker.cli import app

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text()
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text()
MAKE_TARGETS = set(re.findall(r"^([a-z-]+):.*##", (ROOT / "Makefile").read_text(), re.MULTILINE))
SETTINGS = {f"FAIRLEAD_{name.upper()}" for name in Settings.model_fields}
# Heeded by tests and by nothing that runs in production; described in DEVELOPERS.md.
TEST_VARIABLES = {
    "FAIRLEAD_DEV_API",
    "FAIRLEAD_FAULT_PAUSE_AT",
    "FAIRLEAD_MEASURER",
    "FAIRLEAD_REQUIRE_BROWSER",
    "FAIRLEAD_REQUIRE_SERVICES",
    "FAIRLEAD_REQUIRE_STUDIO",
    "FAIRLEAD_STUDIO_CACHE",
}


def compose() -> dict[str, Any]:
    """The compose file as a mapping, anchors resolved."""
    return dict(yaml.safe_load((ROOT / "docker-compose.yml").read_text()))


def test_the_readme_lists_every_setting_and_no_other() -> None:
    listed = set(re.findall(r"^\| `(FAIRLEAD_[A-Z_]+)`", README, re.MULTILINE))
    assert listed == SETTINGS


def test_no_paper_names_a_setting_that_is_none() -> None:
    named = set(re.findall(r"FAIRLEAD_[A-Z_]+[A-Z]", README + DEVELOPERS))
    assert named - SETTINGS - TEST_VARIABLES == set()


@pytest.mark.parametrize("paper", ["README.md", "DEVELOPERS.md", "tests/clips/README.md"])
def test_no_paper_names_a_make_target_that_is_none(paper: str) -> None:
    named = set(re.findall(r"`make ([a-z-]+)`", (ROOT / paper).read_text()))
    assert named - MAKE_TARGETS == set()


def test_the_readme_shows_the_commands_that_exist() -> None:
    commands = {
        command.name or command.callback.__name__
        for command in app.registered_commands
        if command.callback
    }
    named = set(re.findall(r"`fairlead ([a-z-]+)", README + DEVELOPERS))
    assert named <= commands
    assert "measure" in commands


@pytest.mark.parametrize("paper", ["README.md", "DEVELOPERS.md"])
def test_every_path_that_a_paper_names_is_there(paper: str) -> None:
    text = (ROOT / paper).read_text()
    named = set(re.findall(r"`((?:api|worker|web|tests|migrations)/[\w./-]*)`", text))
    assert {path for path in named if not (ROOT / path).exists()} == set()


def test_compose_gives_the_programs_settings_that_exist() -> None:
    for service in compose()["services"].values():
        given = {name for name in service.get("environment", {}) if name.startswith("FAIRLEAD_")}
        assert given - SETTINGS == set()


def test_compose_listens_to_queues_that_exist() -> None:
    queues = {queue_of(name) for name in TaskName}
    for service in compose()["services"].values():
        command = service.get("command", [])
        if "--queues" in command:
            assert set(command[command.index("--queues") + 1].split(",")) <= queues


def test_compose_starts_programs_that_exist() -> None:
    for service in compose()["services"].values():
        command = service.get("command", [])
        if command[:2] == ["python", "-m"]:
            assert importlib.util.find_spec(command[2]) is not None
        if command[:2] == ["celery", "--app"]:
            assert importlib.util.find_spec(command[2].partition(":")[0]) is not None

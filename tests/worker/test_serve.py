"""What `fairlead up` decides before it starts anything."""

import os
import socket
import stat
from pathlib import Path

import pytest

from worker.serve import (
    AlreadyRunning,
    Wishes,
    child_environment,
    only_one_on,
    programs,
    serve,
    usable_port,
)


@pytest.fixture(autouse=True)
def _no_settings_from_outside(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in [name for name in os.environ if name.startswith("FAIRLEAD_")]:
        monkeypatch.delenv(name)


def test_a_taken_port_is_replaced_by_a_free_one() -> None:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen()
        taken = listener.getsockname()[1]
        found = usable_port("127.0.0.1", taken)
        assert found != taken
        with socket.socket() as other:
            other.bind(("127.0.0.1", found))
    assert usable_port("127.0.0.1", taken) == taken


def test_one_data_folder_is_served_once_and_the_second_is_told_where(tmp_path: Path) -> None:
    with (
        only_one_on(tmp_path, "http://127.0.0.1:8123"),
        pytest.raises(AlreadyRunning, match=r"already runs on .* at http://127\.0\.0\.1:8123"),
        only_one_on(tmp_path, "http://127.0.0.1:9"),
    ):
        pytest.fail("two on one folder")
    with only_one_on(tmp_path, "http://127.0.0.1:8124"):
        assert (tmp_path / "running").read_text() == "http://127.0.0.1:8124"


def test_the_secret_is_made_once_and_is_the_owners_alone(tmp_path: Path) -> None:
    first = child_environment(Wishes(), tmp_path, 8000)["FAIRLEAD_SECRET"]
    second = child_environment(Wishes(), tmp_path, 8000)["FAIRLEAD_SECRET"]
    assert first == second
    assert len(first) >= 48
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600


def test_what_the_person_set_wins_over_what_suits_a_laptop(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FAIRLEAD_BASE_URL", "https://swing.example")
    monkeypatch.setenv("FAIRLEAD_DATA_DIR", "elsewhere")
    environment = child_environment(Wishes(), tmp_path, 8000)
    assert environment["FAIRLEAD_BASE_URL"] == "https://swing.example"
    # Not "elsewhere": relative to what? The folder was resolved before.
    assert environment["FAIRLEAD_DATA_DIR"] == str(tmp_path)


def test_links_never_point_to_every_address(tmp_path: Path) -> None:
    environment = child_environment(Wishes(host="0.0.0.0"), tmp_path, 8005)  # noqa: S104 - not bound here
    assert environment["FAIRLEAD_BASE_URL"] == "http://127.0.0.1:8005"


def test_everybodys_mail_is_shown_in_the_demo_only(tmp_path: Path) -> None:
    assert "FAIRLEAD_DEMO_OUTBOX" not in child_environment(Wishes(), tmp_path, 8000)
    assert child_environment(Wishes(demo=True), tmp_path, 8000)["FAIRLEAD_DEMO_OUTBOX"] == "true"


def test_as_many_workers_as_asked_for() -> None:
    names = [program.name for program in programs(Wishes(workers=3), 8000)]
    assert names == ["api", "worker-1", "worker-2", "worker-3", "sweeper"]


def test_a_package_without_the_demos_clips_says_so_and_starts_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("worker.serve.DEMO_CLIPS", tmp_path / "no")
    monkeypatch.setenv("FAIRLEAD_DATA_DIR", str(tmp_path / "data"))
    said: list[str] = []
    assert serve(Wishes(demo=True), said.append) == 1
    assert "run it from a copy of the source" in said[0]
    assert not (tmp_path / "data").exists()

"""What is kept in git was measured on a commit."""

import importlib
import subprocess
from pathlib import Path

import pytest

command = importlib.import_module("tests.accuracy.__main__")


def test_nothing_is_kept_of_a_tree_with_changes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    init, add = ["git", "init", "-q"], ["git", "add", "note"]
    subprocess.run(init, cwd=tmp_path, check=True)
    monkeypatch.setattr(command, "ROOT", tmp_path)
    (tmp_path / "note").write_text("new")
    assert not command._changed()  # not tracked
    subprocess.run(add, cwd=tmp_path, check=True)
    with pytest.raises(SystemExit):
        command.main(["--keep"])
    assert "commit them first" in capsys.readouterr().err

"""The top of the tree stays as small as it was drawn."""

import subprocess
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ALLOWED = {
    "DEVELOPERS.md",
    "Dockerfile",
    "LICENSE",
    "Makefile",
    "README.md",
    "api",
    "docker-compose.yml",
    "migrations",
    "pyproject.toml",
    "requirements.lock",
    "tests",
    "web",
    "worker",
}
OWN_NETWORK = "worker/body/swing_points.onnx"
LARGEST_NETWORK_BYTES = 10_000_000
"""Our own weights, which no registry carries."""
LARGEST_FILE_BYTES = 700_000
LARGEST_CLIP_BYTES = 2_000_000
"""The rendered clips with truth are what the accuracy report stands on; they are ten, and fixed."""


def tracked() -> list[str]:
    """Files git holds. Run from a checkout; a source archive has no history to ask."""
    listed = subprocess.run(
        ["git", "-c", f"safe.directory={ROOT}", "-C", str(ROOT), "ls-files", "-z"],  # noqa: S607 - git, wherever it is
        capture_output=True,
        text=True,
        check=True,
    )
    return [name for name in listed.stdout.split("\0") if name]


def test_nothing_new_lies_at_the_top() -> None:
    top = {name.split("/")[0] for name in tracked()}
    assert {name for name in top if not name.startswith(".")} <= ALLOWED


def test_nothing_built_or_fetched_is_in_git() -> None:
    built = ("web/dist/", "web/node_modules/", "worker/body/weights/", "var/", ".venv/")
    assert [name for name in tracked() if name.startswith(built)] == []


def test_no_file_is_a_burden_to_clone() -> None:
    sizes = {name: (ROOT / name).stat().st_size for name in tracked() if (ROOT / name).is_file()}
    clips = {name for name in sizes if name.startswith("tests/clips/")}
    assert len({name for name in clips if name.endswith(".mp4")}) <= 12
    assert {name: sizes[name] for name in clips if sizes[name] > LARGEST_CLIP_BYTES} == {}
    assert sizes[OWN_NETWORK] < LARGEST_NETWORK_BYTES
    others = {name: size for name, size in sizes.items() if name not in {*clips, OWN_NETWORK}}
    assert {name: size for name, size in others.items() if size > LARGEST_FILE_BYTES} == {}

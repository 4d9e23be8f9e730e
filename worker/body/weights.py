"""Where the body networks lie and how we know they are the right ones.

The weights come inside the npm package ``@mediapipe/pose`` 0.5.1675469404 (Apache-2.0 by its
package metadata). They are fetched at install, never at run time, and are not in the repository.
"""

import hashlib
from enum import StrEnum
from functools import cache
from pathlib import Path

from api.domain.errors import PipelineFault

WEIGHTS_DIR = Path(__file__).resolve().parent / "weights"


class Network(StrEnum):
    """The networks by what they do; the value is the file's name in ``weights/``."""

    DETECTOR = "pose_detection.tflite"
    LITE = "pose_landmark_lite.tflite"
    FULL = "pose_landmark_full.tflite"
    HEAVY = "pose_landmark_heavy.tflite"


PACKAGE_FILES: dict[Network, str] = {
    # The package holds the person detector under another name: a packed file with one member.
    Network.DETECTOR: "pose_solution_packed_assets.data",
    Network.LITE: "pose_landmark_lite.tflite",
    Network.FULL: "pose_landmark_full.tflite",
    Network.HEAVY: "pose_landmark_heavy.tflite",
}

SHA256: dict[Network, str] = {
    Network.DETECTOR: "a63c614bef30d35947f13be361820b1e4e3bec9cfeebf4d11216a18373108e85",
    Network.LITE: "f17bfbecadb61c3be1baa8b8d851cc6619c870a87167b32848ad20db306b9d61",
    Network.FULL: "e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f",
    Network.HEAVY: "59e42d71bcd44cbdbabc419f0ff76686595fd265419566bd4009ef703ea8e1fe",
}


class WeightsMissing(PipelineFault):
    """The body networks are absent or not the ones this version was checked with."""


def sha256_of(path: Path) -> str:
    """Return the SHA-256 of a file in hexadecimal."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


@cache
def weights_path(network: Network, directory: Path = WEIGHTS_DIR) -> Path:
    """Path of a network's file, checked once per process.

    Raises ``WeightsMissing`` when the file is absent or its SHA-256 differs from the table.
    """
    path = directory / network.value
    if not path.is_file():
        message = (
            f"The body network {network.value} is not installed in {directory.name}/. "
            "Run `make install`: it fetches the networks with npm and checks them."
        )
        raise WeightsMissing(message)
    found = sha256_of(path)
    if found != SHA256[network]:
        message = (
            f"The body network {network.value} has SHA-256 {found}, expected {SHA256[network]}. "
            "Delete it and run `make install` again."
        )
        raise WeightsMissing(message)
    return path

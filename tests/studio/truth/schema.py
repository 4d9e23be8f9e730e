"""Truth files: ``save_truth`` and ``load_truth``. What they hold: ``tests.studio.truth.contents``."""

import json
from pathlib import Path

from api.domain.errors import Invalid
from api.domain.json_node import JsonNode
from tests.studio.guard import require_open
from tests.studio.truth.contents import (
    SCHEMA,
    CameraFacts,
    ClipTruth,
    Frames,
    InstantTruth,
    SwingTruth,
)
from tests.studio.truth.names import Moment, Sight, TruthId, Unit
from tests.studio.truth.reading import clip_from
from tests.studio.truth.recipes import CheckpointTruth
from tests.studio.truth.when import Absent
from tests.studio.truth.writing import clip_to

__all__ = [
    "SCHEMA",
    "Absent",
    "CameraFacts",
    "CheckpointTruth",
    "ClipTruth",
    "Frames",
    "InstantTruth",
    "Moment",
    "Sight",
    "SwingTruth",
    "TruthId",
    "Unit",
    "from_json",
    "load_truth",
    "save_truth",
    "to_json",
]


def save_truth(truth: ClipTruth, path: Path) -> None:
    """Write a truth file: compact JSON, the same bytes for the same truth."""
    path.write_text(to_json(truth), encoding="utf-8")


def load_truth(path: Path) -> ClipTruth:
    """Read a truth file. Raises ``Invalid``, whose words name the file and the place in it, and
    ``SetIsClosed`` for a clip of a set that is not open.
    """
    return from_json(path.read_text(encoding="utf-8"), path.name)


def to_json(truth: ClipTruth) -> str:
    """The text of a truth file."""
    return json.dumps(clip_to(truth), separators=(",", ":"), allow_nan=False) + "\n"


def from_json(text: str, name: str) -> ClipTruth:
    """The truth in a file's text; ``name`` stands in refusals. Raises ``Invalid``, and
    ``SetIsClosed`` for a clip of a set that is not open.
    """
    try:
        value = json.loads(text)
    except json.JSONDecodeError as error:
        raise Invalid(f"{name} is not JSON: {error}.", details={"path": name}) from error
    truth = clip_from(JsonNode(value, name))
    require_open(truth.dials.seed)
    return truth

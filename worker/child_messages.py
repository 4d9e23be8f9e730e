"""What a worker and its measuring child say to each other: one JSON object a line."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True)
class Order:
    """What the child is to do. Paths are absolute; ``measurer`` is ``module:function``."""

    path: str
    out_dir: str
    view: str
    handed: str
    club_length_m: float | None
    stature_m: float | None
    swings_slowly: bool
    cpu_s: int
    memory_bytes: int
    measurer: str

    def to_line(self) -> bytes:
        return json.dumps(asdict(self)).encode() + b"\n"

    @classmethod
    def from_line(cls, line: bytes) -> "Order":
        return cls(**json.loads(line))


MEASUREMENT = "measurement.json"
"""The file every finished order leaves in ``out_dir``: ``fairlead.measurement/1``."""

PROGRESS = "progress"
"""``{"progress": [stage, share]}``, any number of times."""

DONE = "done"
"""``{"done": [file name, ...]}``: everything is in ``out_dir``."""

REFUSED = "refused"
"""``{"refused": {"code", "message", "details"}}``: the clip's fault."""

FAULT = "fault"
"""``{"fault": "what happened"}``: ours."""


def read_json(path: Path) -> dict[str, object]:
    """The JSON object in a file the child left."""
    content: dict[str, object] = json.loads(path.read_bytes())
    return content


def to_line(message: Mapping[str, Any]) -> bytes:
    """One message, ready to write."""
    return json.dumps(message).encode() + b"\n"

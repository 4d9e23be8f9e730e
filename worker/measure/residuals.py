"""What no term of the uncertainty explains, fitted on the calibration set (``tests/calibration``).

``residuals.json`` is written by ``python -m tests.calibration`` and says which pipeline, studio and how
many clips it is of. A reading or instant with too few cases there has none.
"""

import json
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId

FILE = Path(__file__).with_name("residuals.json")


def _read() -> Mapping[str, Mapping[str, float]]:
    kept = json.loads(FILE.read_text(encoding="utf-8")) if FILE.is_file() else {}
    return MappingProxyType(
        {
            part: MappingProxyType({name: one["sigma"] for name, one in kept.get(part, {}).items()})
            for part in ("readings", "instants_s")
        }
    )


_RESIDUALS = _read()


def residual(checkpoint: CheckpointId, otherwise: float = 0.0) -> float:
    """One sigma in the reading's unit; ``otherwise`` where none was fitted."""
    return _RESIDUALS["readings"].get(checkpoint.value, otherwise)


def instant_residual_s(keyframe: KeyframeId) -> float:
    """One sigma, seconds."""
    return _RESIDUALS["instants_s"].get(keyframe.value, 0.0)

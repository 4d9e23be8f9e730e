"""A truth taken apart into plain JSON values. Rounding: 0.1 mm, 0.01 px, a microsecond."""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum, StrEnum
from typing import TypeVar, get_type_hints

import numpy as np

from tests.studio.pose import Array
from tests.studio.truth.contents import (
    SCHEMA,
    CameraFacts,
    ClipTruth,
    Frames,
    InstantTruth,
    SwingTruth,
)
from tests.studio.truth.recipes import CheckpointTruth, Quantity
from tests.studio.truth.when import Absent

METRE_DIGITS, PIXEL_DIGITS, TIME_DIGITS, VALUE_DIGITS = 4, 2, 6, 4
Plain = dict[str, object]
Key = TypeVar("Key", bound=StrEnum)


def clip_to(truth: ClipTruth) -> Plain:
    """The whole file."""
    return {
        "schema": SCHEMA,
        "studio": truth.studio,
        "name": truth.name,
        "view": truth.view.value,
        "handed": truth.handed.value,
        "width": truth.width,
        "height": truth.height,
        "club_length_m": truth.club_length_m,
        "grip_length_m": truth.grip_length_m,
        "stature_m": truth.stature_m,
        "dials": plain(truth.dials),
        "camera": _camera(truth.camera),
        "ideal_camera": _camera(truth.ideal_camera),
        "swings": [_swing(swing) for swing in truth.swings],
        "frames": _frames(truth.frames),
    }


def plain(value: object) -> object:
    """A frozen dataclass of numbers, texts, enumerations and tuples as JSON values."""
    if is_dataclass(value) and not isinstance(value, type):
        return {
            name: plain(_as_declared(getattr(value, name), kind)) for name, kind in _hints(value)
        }
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    return value


def _hints(value: object) -> list[tuple[str, object]]:
    return list(get_type_hints(type(value)).items())


def _as_declared(value: object, kind: object) -> object:
    """A whole number in a field of floats is written as a float, so that a copy writes the same."""
    return float(value) if kind is float and isinstance(value, int) else value


def _camera(camera: CameraFacts) -> Plain:
    return {name: plain(getattr(camera, name)) for name, _ in _hints(camera)}


def _swing(swing: SwingTruth) -> Plain:
    return {
        "instants": _instants(swing.instants),
        "moments": _instants(swing.moments),
        "checkpoints": [_checkpoint(one) for one in swing.checkpoints],
    }


def _instants(instants: Mapping[Key, InstantTruth | Absent]) -> Plain:
    """Keys are enumerations of text and stand as their text."""
    return {str(key): _instant(when) for key, when in instants.items()}


def _instant(when: InstantTruth | Absent) -> Plain:
    if isinstance(when, Absent):
        return {"absent": when.reason}
    times = {field.name: getattr(when, field.name) for field in fields(when)}
    return {name: round(time_s, TIME_DIGITS) for name, time_s in times.items()}


def _checkpoint(checkpoint: CheckpointTruth) -> Plain:
    return {
        "id": checkpoint.id.value,
        "at": checkpoint.at,
        "part": checkpoint.part,
        "unit": checkpoint.unit.value,
        "defined": checkpoint.defined.value,
        "ideal": _quantity(checkpoint.ideal),
        "actual": _quantity(checkpoint.actual),
        "space": _quantity(checkpoint.space),
    }


def _quantity(value: Quantity) -> object:
    return {"absent": value.reason} if isinstance(value, Absent) else round(value, VALUE_DIGITS)


def _frames(frames: Frames) -> Plain:
    """One list a frame: coordinates of the points in their order; ``null`` where there is none."""
    count = len(frames.life_s)
    return {
        "points": list(frames.points),
        "life_s": _numbers(frames.life_s, TIME_DIGITS),
        "file_s": _numbers(frames.file_s, TIME_DIGITS),
        "blur_px": _numbers(frames.blur_px, PIXEL_DIGITS),
        "world_m": [_numbers(row, METRE_DIGITS) for row in frames.world_m.reshape(count, -1)],
        "pixels": [_numbers(row, PIXEL_DIGITS) for row in frames.pixels.reshape(count, -1)],
    }


def _numbers(values: Array, digits: int) -> list[float | None]:
    """Rounded; -0.0 written as 0.0, what is not finite as ``null``."""
    rounded = np.round(values, digits) + 0.0
    return [float(value) if np.isfinite(value) else None for value in rounded]

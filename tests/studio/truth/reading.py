"""A truth put together again from JSON values; refusals name the place."""

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from types import UnionType
from typing import TypeVar, get_args, get_origin, get_type_hints

import numpy as np

from api.domain.json_node import JsonNode
from api.domain.names import Hand, KeyframeId, View
from tests.studio.dials import ClipDials
from tests.studio.pose import Array
from tests.studio.truth.contents import (
    SCHEMA,
    CameraFacts,
    ClipTruth,
    Frames,
    InstantTruth,
    SwingTruth,
)
from tests.studio.truth.names import Moment, Sight, TruthId, Unit
from tests.studio.truth.recipes import CheckpointTruth, Quantity
from tests.studio.truth.when import Absent

Made = TypeVar("Made")
Key = TypeVar("Key", bound=Enum)


def clip_from(node: JsonNode) -> ClipTruth:
    """The whole file. Raises ``Invalid``."""
    if node.child("schema").as_text() != SCHEMA:
        raise node.child("schema").refuse(f'"{SCHEMA}"')
    return ClipTruth(
        studio=node.text("studio"),
        name=node.text("name"),
        view=node.child("view").as_member(View),
        handed=node.child("handed").as_member(Hand),
        width=node.count("width"),
        height=node.count("height"),
        club_length_m=node.number("club_length_m"),
        grip_length_m=node.number("grip_length_m"),
        stature_m=node.number("stature_m"),
        dials=made_from(node.child("dials"), ClipDials),
        camera=made_from(node.child("camera"), CameraFacts),
        ideal_camera=made_from(node.child("ideal_camera"), CameraFacts),
        swings=tuple(_swing(one) for one in node.items("swings")),
        frames=_frames(node.child("frames")),
    )


def made_from(node: JsonNode, kind: type[Made]) -> Made:
    """A frozen dataclass from an object with exactly its fields. Raises ``Invalid``."""
    hints = get_type_hints(kind)
    names = [field.name for field in fields(kind)]  # type: ignore[arg-type]  # checked by the caller
    unknown = sorted(set(node.mapping()) - set(names))
    if unknown:
        raise node.refuse(f"an object without {', '.join(unknown)}")
    return kind(**{name: _value(node.child(name), hints[name]) for name in names})


def _value(node: JsonNode, kind: object) -> object:
    """A JSON value as the type that a field declares."""
    if get_origin(kind) is UnionType:
        if node.value is None:
            return None
        (kind,) = (one for one in get_args(kind) if one is not type(None))
    if get_origin(kind) is tuple:
        return _tuple(node, get_args(kind))
    if not isinstance(kind, type):
        raise TypeError(f"truth files hold no {kind}")
    if is_dataclass(kind):
        return made_from(node, kind)
    if issubclass(kind, Enum):
        return node.as_member(kind)
    readers: dict[type, Callable[[], object]] = {
        bool: node.as_flag,
        int: node.as_count,
        float: node.as_number,
        str: node.as_text,
    }
    return readers[kind]()


def _tuple(node: JsonNode, kinds: tuple[object, ...]) -> tuple[object, ...]:
    items = node.as_items()
    if len(items) != len(kinds):
        raise node.refuse(f"a list of {len(kinds)}")
    return tuple(_value(item, kind) for item, kind in zip(items, kinds, strict=True))


def _swing(node: JsonNode) -> SwingTruth:
    return SwingTruth(
        instants=_instants(node.child("instants"), KeyframeId),
        moments=_instants(node.child("moments"), Moment),
        checkpoints=tuple(_checkpoint(one) for one in node.items("checkpoints")),
    )


def _instants(node: JsonNode, kind: type[Key]) -> Mapping[Key, InstantTruth | Absent]:
    found = {node.key(kind, name): _instant(child) for name, child in node.members()}
    missing = [key.value for key in kind if key not in found]
    if missing:
        raise node.refuse(f"complete: {', '.join(missing)} is missing")
    return found


def _instant(node: JsonNode) -> InstantTruth | Absent:
    return _absent(node) or made_from(node, InstantTruth)


def _absent(node: JsonNode) -> Absent | None:
    return Absent(node.text("absent")) if node.has("absent") else None


def _checkpoint(node: JsonNode) -> CheckpointTruth:
    return CheckpointTruth(
        id=node.child("id").as_member(TruthId),
        at=node.text("at"),
        part=node.text("part"),
        unit=node.child("unit").as_member(Unit),
        defined=node.child("defined").as_member(Sight),
        ideal=_quantity(node.child("ideal")),
        actual=_quantity(node.child("actual")),
        space=_quantity(node.child("space")),
    )


def _quantity(node: JsonNode) -> Quantity:
    if isinstance(node.value, dict):
        return Absent(node.text("absent"))
    return node.as_number()


def _frames(node: JsonNode) -> Frames:
    points = tuple(one.as_text() for one in node.items("points"))
    life_s = _row(node.child("life_s"))
    count = len(life_s)
    return Frames(
        points=points,
        life_s=life_s,
        file_s=_row(node.child("file_s"), count),
        world_m=_table(node.child("world_m"), count, len(points), 3),
        pixels=_table(node.child("pixels"), count, len(points), 2),
        blur_px=_row(node.child("blur_px"), count),
    )


def _table(node: JsonNode, count: int, points: int, axes: int) -> Array:
    rows = node.as_items()
    if len(rows) != count:
        raise node.refuse(f"a list of {count}, one a frame")
    table = np.array([_row(row, points * axes) for row in rows])
    return table.reshape(count, points, axes)


def _row(node: JsonNode, length: int | None = None) -> Array:
    """Numbers; ``null`` becomes NaN."""
    items = node.as_items()
    if length is not None and len(items) != length:
        raise node.refuse(f"a list of {length}")
    return np.array([np.nan if item.value is None else item.as_number() for item in items])

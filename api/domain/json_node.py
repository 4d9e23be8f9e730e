"""Reading untrusted JSON values one step at a time, so that a refusal can point at the place."""

import math
from collections.abc import Callable, Mapping
from typing import TypeVar

from api.domain.errors import Invalid

Item = TypeVar("Item")


class JsonNode:
    """A JSON value and where it stands, so that a refusal can point at it."""

    def __init__(self, value: object, path: str) -> None:
        self.value = value
        self.path = path

    def refuse(self, wanted: str) -> Invalid:
        return Invalid(f"{self.path} must be {wanted}.", details={"path": self.path})

    def mapping(self) -> Mapping[str, object]:
        if not isinstance(self.value, dict) or not all(isinstance(key, str) for key in self.value):
            raise self.refuse("an object")
        return self.value

    def has(self, name: str) -> bool:
        return name in self.mapping()

    def child(self, name: str) -> "JsonNode":
        path = f"{self.path}.{name}"
        if name not in self.mapping():
            message = f"{path} is missing."
            raise Invalid(message, details={"path": path})
        return JsonNode(self.mapping()[name], path)

    def members(self) -> list[tuple[str, "JsonNode"]]:
        return [(name, self.child(name)) for name in self.mapping()]

    def items(self, name: str) -> list["JsonNode"]:
        return self.child(name).as_items()

    def as_items(self) -> list["JsonNode"]:
        if not isinstance(self.value, list):
            raise self.refuse("a list")
        return [JsonNode(item, f"{self.path}[{index}]") for index, item in enumerate(self.value)]

    def as_text(self) -> str:
        if not isinstance(self.value, str):
            raise self.refuse("text")
        return self.value

    def as_number(self) -> float:
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise self.refuse("a number")
        try:
            number = float(self.value)
        except OverflowError:  # JSON allows whole numbers of any length
            number = math.inf
        if not math.isfinite(number):
            raise self.refuse("a finite number")
        return number

    def as_count(self) -> int:
        if isinstance(self.value, bool) or not isinstance(self.value, int):
            raise self.refuse("a whole number")
        return self.value

    def as_flag(self) -> bool:
        if not isinstance(self.value, bool):
            raise self.refuse("true or false")
        return self.value

    def as_member(self, kind: Callable[[str], Item]) -> Item:
        """A member of an enumeration, by its stored text."""
        try:
            return kind(self.as_text())
        except ValueError as error:
            raise self.refuse("a known name") from error

    def text(self, name: str) -> str:
        return self.child(name).as_text()

    def number(self, name: str) -> float:
        return self.child(name).as_number()

    def count(self, name: str) -> int:
        return self.child(name).as_count()

    def numbers(self) -> dict[str, float]:
        return {name: node.as_number() for name, node in self.members()}

    def key(self, kind: Callable[[str], Item], name: str) -> Item:
        """An enumeration member used as a key of this object."""
        return JsonNode(name, f"{self.path}.{name}").as_member(kind)

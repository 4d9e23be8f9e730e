"""Words that a coach uses again, with fields that the page fills from the review at hand.

A field stands in braces: ``{student}``, ``{lead_arm_shaft_angle}``, ``{target lead_arm_shaft_angle}``. Names of
numbers are the checkpoints' ids; pages offer them by their names in words.
"""

import re

from api.domain.checkpoints import CHECKPOINTS
from api.domain.errors import Conflict, Invalid

PLAIN_FIELDS = ("student", "club", "drill", "until")
"""First name of the student, club of the clip, first drill prescribed, and until when."""
TARGET = "target "
"""Before a checkpoint's id: the limits of its good band, the student's own where they have one."""
LONGEST_NAME, LONGEST_BODY = 60, 2000
MOST_PHRASES = 200
"""On one shelf: more is not found again by eye."""

_FIELD = re.compile(r"\{([^{}]*)\}")


def fields_of(body: str) -> tuple[str, ...]:
    """Names of the fields in ``body``, in order, each once."""
    return tuple(dict.fromkeys(name.strip() for name in _FIELD.findall(body)))


def check_body(body: str) -> None:
    """Raises ``Invalid``, naming the field, for one that no page could fill, and for a brace left open."""
    for name in fields_of(body):
        if name not in PLAIN_FIELDS and name.removeprefix(TARGET) not in set(CHECKPOINTS):
            known = ", ".join(f"{{{one}}}" for one in PLAIN_FIELDS)
            raise Invalid(
                f"There is no field '{{{name}}}'. Fields are {known}, and the numbers that the page offers.",
                code="unknown_field",
            )
    left = _FIELD.sub("", body)
    if "{" in left or "}" in left:
        raise Invalid(
            "A brace stands alone: a field is one name between { and }.", code="unknown_field"
        )


def check_room(count: int) -> None:
    """Raises ``Conflict`` where a shelf is full."""
    if count >= MOST_PHRASES:
        raise Conflict(f"There are already {MOST_PHRASES} phrases here. Remove one first.")

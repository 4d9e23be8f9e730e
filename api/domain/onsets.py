"""What begins to move at the start of a swing, and how a reading of ``start_order`` keeps when (C04).

``start_order`` itself is one number, the hands' onset less the body's first. Beside it stands when each
of the four left its rest for good, in seconds of the clip, with one sigma: a coach asks next which of them
it was.
"""

from enum import StrEnum


class Onset(StrEnum):
    """Whose onset, in the order wanted: the body carries the arms, the wrists come last."""

    PELVIS = "pelvis"
    CHEST = "chest"
    HANDS = "hands"
    WRISTS = "wrists"


BODY = (Onset.PELVIS, Onset.CHEST)


def onset_input(onset: Onset) -> str:
    """Name of the input that holds an onset, seconds; absent where it was not seen."""
    return f"{onset.value}_s"

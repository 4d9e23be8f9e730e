"""What each submission of the demo shows, and the clips it is made of."""

from dataclasses import dataclass
from enum import StrEnum

from api.domain.names import Purpose, View


class Ending(StrEnum):
    """Where a scene is left."""

    HALF_SENT = "half_sent"
    WITHDRAWN = "withdrawn"
    UNREADABLE = "unreadable"
    ANSWERED = "answered"
    DRAFTED = "drafted"
    FILM_AGAIN = "film_again"
    WAITING = "waiting"
    BEING_MEASURED = "being_measured"


@dataclass(frozen=True, slots=True)
class Scene:
    """One submission. ``note`` tells scenes of a student apart, so that a second start finds them.

    ``clips`` name files of tests/clips by view; ``not_a_video`` sends text under such a name.
    """

    student: str
    note: str
    ending: Ending
    clips: tuple[tuple[View, str], ...] = ()
    purpose: Purpose = Purpose.FULL
    not_a_video: bool = False


SCENES = (
    Scene(
        "mira",
        "My irons start left and curl back. Is my wrist set too late?",
        Ending.ANSWERED,
        ((View.FACE_ON, "face_on_neutral.mp4"), (View.DOWN_THE_LINE, "down_the_line_neutral.mp4")),
    ),
    Scene(
        "oriel",
        "A friend says I lay the club off early. Do I?",
        Ending.DRAFTED,
        ((View.DOWN_THE_LINE, "down_the_line_roll.mp4"),),
    ),
    Scene(
        "mira",
        "Same drill as last week, filmed in the evening.",
        Ending.FILM_AGAIN,
        ((View.FACE_ON, "face_on_rotated.mp4"),),
    ),
    Scene(
        "mira",
        "From the chat app, I hope it works.",
        Ending.UNREADABLE,
        ((View.FACE_ON, "IMG_2041.mp4"),),
        not_a_video=True,
    ),
    Scene(
        "mira",
        "Slow rehearsal, the line at the range dropped half way.",
        Ending.HALF_SENT,
        ((View.FACE_ON, "face_on_neutral.mp4"),),
        purpose=Purpose.SLOW,
    ),
    Scene("oriel", "Wrong club, I will send another one.", Ending.WITHDRAWN),
    Scene(
        "leif",
        "First clip! I play left-handed.",
        Ending.WAITING,
        ((View.FACE_ON, "face_on_left_handed.mp4"),),
    ),
    Scene(
        "leif",
        "With the stop at lead arm level, as you asked.",
        Ending.BEING_MEASURED,
        ((View.FACE_ON, "face_on_pause.mp4"),),
        purpose=Purpose.PAUSE,
    ),
)
"""In the order they are sent. The last is still being measured when the demo opens."""

"""What was wrong with the filming, in words the student can act on. One catalogue for worker, CLI and pages.

A refusal (``api.domain.refusals``) says why nothing could be measured; a problem says what cost accuracy, or
why numbers were withheld. The pages have a drawing for every code (``web/src/filming``).
"""

from dataclasses import dataclass
from enum import StrEnum

from api.domain.measurement import Problem


class ProblemCode(StrEnum):
    """Problems of filming. Stored with the measurement and sent as text."""

    VIEW_CONTRADICTS = "view_contradicts"
    VIEW_UNCLEAR = "view_unclear"
    HAND_CONTRADICTS = "hand_contradicts"
    CAMERA_OFF_LINE = "camera_off_line"
    CAMERA_NOT_LEVEL = "camera_not_level"
    CAMERA_HIGH = "camera_high"
    CAMERA_LOW = "camera_low"
    CAMERA_NEAR = "camera_near"
    CAMERA_MOVES = "camera_moves"
    PERSON_SMALL = "person_small"
    PERSON_CUT_OFF = "person_cut_off"
    CLUB_CUT_OFF = "club_cut_off"
    LOW_FRAME_RATE = "low_frame_rate"
    PICTURE_DARK = "picture_dark"
    PICTURE_BLURRED = "picture_blurred"
    NO_SWING = "no_swing"


@dataclass(frozen=True, slots=True)
class ProblemWords:
    """How grave a problem is (as in ``Problem``), and its sentence with blanks in braces."""

    severity: str
    message: str


WORDS: dict[ProblemCode, ProblemWords] = {
    ProblemCode.VIEW_CONTRADICTS: ProblemWords(
        "serious",
        "You said {declared}, but the picture looks {seen}. "
        "Check which clip this is, or film it again from the other place.",
    ),
    ProblemCode.VIEW_UNCLEAR: ProblemWords(
        "serious",
        "The camera stands between the two views, so only times were read. Put it {place}, and film again.",
    ),
    ProblemCode.HAND_CONTRADICTS: ProblemWords(
        "serious",
        "You seem to swing from the other side than your profile says, or the camera mirrored the "
        "clip. Check which hand you play from, and film with the phone's rear camera.",
    ),
    ProblemCode.CAMERA_OFF_LINE: ProblemWords(
        "warning",
        "The camera stands about {degrees} degrees off its line. Put it {place}: each degree "
        "costs accuracy.",
    ),
    ProblemCode.CAMERA_NOT_LEVEL: ProblemWords(
        "warning",
        "The camera leans about {degrees} degrees to one side. Level the phone on its stand.",
    ),
    ProblemCode.CAMERA_HIGH: ProblemWords(
        "warning",
        "The lens is well above your hands, so it looks down on you. Lower the phone to the height of your "
        "hands at address.",
    ),
    ProblemCode.CAMERA_LOW: ProblemWords(
        "warning",
        "The lens is well below your hands, so it looks up at you. Raise the phone to the height of your "
        "hands at address.",
    ),
    ProblemCode.CAMERA_NEAR: ProblemWords(
        "warning",
        "The phone stands too near: what is close to the lens looks too large. Move it back to three or "
        "four metres, without the wide lens.",
    ),
    ProblemCode.CAMERA_MOVES: ProblemWords(
        "warning",
        "The camera moved while you swung. Stand the phone on something firm, and let nobody hold it.",
    ),
    ProblemCode.PERSON_SMALL: ProblemWords(
        "warning",
        "You are small in the picture. Stand the phone nearer (three to four metres).",
    ),
    ProblemCode.PERSON_CUT_OFF: ProblemWords(
        "warning",
        "Part of you is outside the picture at address. Turn the phone or move it back until head and feet "
        "are in view, with room all round.",
    ),
    ProblemCode.CLUB_CUT_OFF: ProblemWords(
        "warning",
        "The club leaves the picture during the swing. Aim the phone higher or move it back, so that there is "
        "room for the whole club.",
    ),
    ProblemCode.LOW_FRAME_RATE: ProblemWords(
        "warning",
        "The clip has {rate} pictures a second. Film at 60 or more: "
        "the club moves far between two pictures.",
    ),
    ProblemCode.PICTURE_DARK: ProblemWords(
        "warning",
        "The picture is dark, and in the dark a moving club is hard to see. Film in brighter light, with the "
        "light behind the phone.",
    ),
    ProblemCode.PICTURE_BLURRED: ProblemWords(
        "warning",
        "The picture is blurred, even where nothing moves. Wipe the lens, and tap on yourself on the screen "
        "before you film, so that the phone makes you sharp.",
    ),
    ProblemCode.NO_SWING: ProblemWords(
        "serious",
        "No swing was seen. Film from the still address to the held finish, both hands in view.",
    ),
}


def problem(code: ProblemCode, **values: str) -> Problem:
    """The problem ``code``; ``values`` fill the blanks of its message."""
    words = WORDS[code]
    return Problem(code.value, words.severity, words.message.format(**values))

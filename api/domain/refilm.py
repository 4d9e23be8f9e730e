"""Why a coach asks for a new film, with words to start the message from."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType


class RefilmReason(StrEnum):
    """Causes, counted to see whether the filming guide is understood. Stored and sent as text."""

    WRONG_VIEW = "wrong_view"
    CAMERA_OFF_LINE = "camera_off_line"
    TOO_CLOSE_OR_WIDE = "too_close_or_wide"
    CUT_OFF = "cut_off"
    DARK_OR_BLURRED = "dark_or_blurred"
    TOO_FEW_PICTURES = "too_few_pictures"
    NO_STILL_ADDRESS = "no_still_address"
    ENDS_TOO_EARLY = "ends_too_early"
    SOMEBODY_ELSE = "somebody_else"
    OTHER_CLUB = "other_club"
    MIRRORED = "mirrored"
    UNSAFE = "unsafe"
    NOT_A_SWING = "not_a_swing"
    OTHER = "other"


REFILM_WORDS: Mapping[RefilmReason, str] = MappingProxyType(
    {
        RefilmReason.WRONG_VIEW: "The clip shows the other view than the one you chose.",
        RefilmReason.CAMERA_OFF_LINE: (
            "The phone stood off its line. Face-on: square to your chest, aimed at your hands. "
            "Down-the-line: on the line through your hands, aimed at the target."
        ),
        RefilmReason.TOO_CLOSE_OR_WIDE: "Stand the phone three to four metres away, without zoom.",
        RefilmReason.CUT_OFF: (
            "Part of you, the club or the ball is out of the picture. Leave room all round."
        ),
        RefilmReason.DARK_OR_BLURRED: (
            "The picture is too dark or blurred to see the club. Film in brighter light, sun behind "
            "the phone."
        ),
        RefilmReason.TOO_FEW_PICTURES: "Set your phone to 60 pictures a second or more.",
        RefilmReason.NO_STILL_ADDRESS: "Stand still for one second before you start the swing.",
        RefilmReason.ENDS_TOO_EARLY: "Keep filming until you have held the finish.",
        RefilmReason.SOMEBODY_ELSE: "Film with nobody else close to the camera.",
        RefilmReason.OTHER_CLUB: "The club in the clip is not the one you named.",
        RefilmReason.MIRRORED: "The picture is mirrored. Use the back camera.",
        RefilmReason.UNSAFE: "Something is within reach of the club. Clear the space first.",
        RefilmReason.NOT_A_SWING: "The clip does not show a swing.",
        RefilmReason.OTHER: "",
    }
)

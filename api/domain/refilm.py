"""Why a coach asks for a new film, with words to start the message from and what the camera check says to it."""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType

from api.domain.filming_problems import ProblemCode

MOST_CAUSES = 5
"""More than that is a lesson in filming, and no student keeps it in mind at the range (working value)."""
FREE = "free"
"""A new film that a coach asks for costs the student nothing: the answer is still owed."""


class RefilmReason(StrEnum):
    """Causes, counted to see whether the filming guide is understood. Stored and sent as text."""

    WRONG_VIEW = "wrong_view"
    CAMERA_OFF_LINE = "camera_off_line"
    CAMERA_HEIGHT = "camera_height"
    CAMERA_MOVED = "camera_moved"
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
        RefilmReason.CAMERA_HEIGHT: "Set the phone level, as high as your hands at address.",
        RefilmReason.CAMERA_MOVED: "Stand the phone on something firm, and let nobody hold it.",
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

REASON_OF_PROBLEM: Mapping[ProblemCode, RefilmReason] = MappingProxyType(
    {
        ProblemCode.VIEW_CONTRADICTS: RefilmReason.WRONG_VIEW,
        ProblemCode.VIEW_UNCLEAR: RefilmReason.CAMERA_OFF_LINE,
        ProblemCode.HAND_CONTRADICTS: RefilmReason.MIRRORED,
        ProblemCode.CAMERA_OFF_LINE: RefilmReason.CAMERA_OFF_LINE,
        ProblemCode.CAMERA_NOT_LEVEL: RefilmReason.CAMERA_HEIGHT,
        ProblemCode.CAMERA_HIGH: RefilmReason.CAMERA_HEIGHT,
        ProblemCode.CAMERA_LOW: RefilmReason.CAMERA_HEIGHT,
        ProblemCode.CAMERA_NEAR: RefilmReason.TOO_CLOSE_OR_WIDE,
        ProblemCode.CAMERA_MOVES: RefilmReason.CAMERA_MOVED,
        ProblemCode.PERSON_SMALL: RefilmReason.TOO_CLOSE_OR_WIDE,
        ProblemCode.PERSON_CUT_OFF: RefilmReason.CUT_OFF,
        ProblemCode.CLUB_CUT_OFF: RefilmReason.CUT_OFF,
        ProblemCode.LOW_FRAME_RATE: RefilmReason.TOO_FEW_PICTURES,
        ProblemCode.PICTURE_DARK: RefilmReason.DARK_OR_BLURRED,
        ProblemCode.PICTURE_BLURRED: RefilmReason.DARK_OR_BLURRED,
        ProblemCode.NO_SWING: RefilmReason.NOT_A_SWING,
    }
)
"""The cause that a problem found by the camera check is counted under."""

DRAWING_OF_REASON: Mapping[RefilmReason, str] = MappingProxyType(
    {
        RefilmReason.WRONG_VIEW: "view_contradicts",
        RefilmReason.CAMERA_OFF_LINE: "camera_off_line",
        RefilmReason.CAMERA_HEIGHT: "camera_low",
        RefilmReason.CAMERA_MOVED: "camera_moves",
        RefilmReason.TOO_CLOSE_OR_WIDE: "person_small",
        RefilmReason.CUT_OFF: "person_cut_off",
        RefilmReason.DARK_OR_BLURRED: "picture_dark",
        RefilmReason.TOO_FEW_PICTURES: "low_frame_rate",
        RefilmReason.NO_STILL_ADDRESS: "no_swing",
        RefilmReason.ENDS_TOO_EARLY: "no_swing",
        RefilmReason.SOMEBODY_ELSE: "several_people",
        RefilmReason.MIRRORED: "hand_contradicts",
        RefilmReason.NOT_A_SWING: "no_swing",
    }
)
"""The guide's drawing for a cause that the camera check did not find. What no drawing shows has none."""

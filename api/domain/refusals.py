"""Why a clip is refused, in words the student can act on. One catalogue for CLI, API and pages."""

from enum import StrEnum

from api.domain.errors import ClipRefused


class RefusalCode(StrEnum):
    """Reasons a clip cannot be measured at all."""

    EMPTY_FILE = "empty_file"
    NOT_A_VIDEO = "not_a_video"
    DAMAGED = "damaged"
    NO_PICTURE = "no_picture"
    TOO_LONG = "too_long"
    TOO_SHORT = "too_short"
    TOO_LARGE = "too_large"
    PICTURE_TOO_LARGE = "picture_too_large"
    PICTURE_TOO_SMALL = "picture_too_small"
    TOO_DARK = "too_dark"
    TOO_BLURRED = "too_blurred"
    NOBODY_IN_VIEW = "nobody_in_view"
    SEVERAL_PEOPLE = "several_people"
    TOO_HARD = "too_hard"


MESSAGES: dict[RefusalCode, str] = {
    RefusalCode.EMPTY_FILE: "The file is empty. Choose the clip again and send it once more.",
    RefusalCode.NOT_A_VIDEO: (
        "This file is not a video we can read. Send the clip as your phone saved it (MP4 or MOV)."
    ),
    RefusalCode.DAMAGED: (
        "The video is cut off or damaged. Check that it plays on your phone, then send it again."
    ),
    RefusalCode.NO_PICTURE: "The file has sound but no picture. Send the video itself.",
    RefusalCode.TOO_LONG: (
        "The clip is longer than {limit}. Trim it to one swing: two seconds before, three after."
    ),
    RefusalCode.TOO_SHORT: (
        "The clip is too short to hold a swing. Start filming two seconds before you move."
    ),
    RefusalCode.TOO_LARGE: "The file is larger than {limit}. Trim it to one swing and send it again.",
    RefusalCode.PICTURE_TOO_LARGE: (
        "The picture is larger than {limit} points. Film in 1080p or 4K and send it again."
    ),
    RefusalCode.PICTURE_TOO_SMALL: (
        "The picture is too small to measure ({size}). Send the original, not a chat-app copy."
    ),
    RefusalCode.TOO_DARK: "The picture is too dark to read. Film with the light behind the camera.",
    RefusalCode.TOO_BLURRED: (
        "The picture is too blurred to read. Wipe the lens, stand the phone on something firm, "
        "and film in brighter light."
    ),
    RefusalCode.NOBODY_IN_VIEW: (
        "We cannot see anybody in the clip. Stand three to four metres from the phone, "
        "whole body in the picture."
    ),
    RefusalCode.SEVERAL_PEOPLE: (
        "More than one person is close to the camera. Film again with only the golfer in view."
    ),
    RefusalCode.TOO_HARD: (
        "We could not work through this file within our limits. Film in 1080p, trim it to one "
        "swing, and send it again."
    ),
}


def refuse(code: RefusalCode, **values: str) -> ClipRefused:
    """Build the refusal for ``code``; ``values`` fill the blanks of its message."""
    return ClipRefused(MESSAGES[code].format(**values), code=code.value, details=dict(values))

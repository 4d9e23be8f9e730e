"""Keys of the store: which are well-formed, and where each thing lives."""

import re
from uuid import UUID

_SEGMENT = re.compile(r"[A-Za-z0-9][A-Za-z0-9._+-]*")
_MAX_KEY_LENGTH = 512

_CONTENT_TYPES = {
    "json": "application/json",
    "jpg": "image/jpeg",
    "mp4": "video/mp4",
    "zip": "application/zip",
}


def checked_key(key: str) -> str:
    """Return ``key`` when it is one or more plain path segments, else raise ``ValueError``.

    A segment starts with a letter or digit, so ``..``, hidden names, empty segments, absolute
    paths, backslashes and NUL are all out.
    """
    if len(key) > _MAX_KEY_LENGTH or not all(map(_SEGMENT.fullmatch, key.split("/"))):
        raise ValueError(f"Not a storage key: {key!r}")
    return key


def clip_prefix(clip_id: UUID) -> str:
    """Everything about one clip: the upload and all that was made of it."""
    return f"clips/{clip_id}"


def original_key(clip_id: UUID) -> str:
    """The upload, byte for byte."""
    return f"{clip_prefix(clip_id)}/original"


def export_prefix(export_id: UUID) -> str:
    """Everything of one copy of somebody's data."""
    return f"exports/{export_id}"


def export_key(export_id: UUID) -> str:
    """The copy itself, under the name it is saved by."""
    return f"{export_prefix(export_id)}/my-data.zip"


def product_key(clip_id: UUID, pipeline_version: str, name: str) -> str:
    """Something a pipeline version made: ``measurement.json``, ``tracks.json``, ``proxy.mp4`` ..."""
    return checked_key(f"{clip_prefix(clip_id)}/{pipeline_version}/{name}")


def still_name(frame: int) -> str:
    """The plain picture of a frame, by its index among the shown frames."""
    return f"still_{frame}.jpg"


def annotated_name(keyframe: str) -> str:
    """The picture of a keyframe with the machine's lines on it."""
    return f"annotated_{keyframe}.jpg"


def content_type(key: str) -> str:
    """Media type by ending. The original is whatever was sent, so it has none."""
    return _CONTENT_TYPES.get(key.rpartition(".")[2], "application/octet-stream")

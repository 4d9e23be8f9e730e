"""What a sheet is made from: one answer as it was kept, and what its reader is told beside it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from api.sheet.checkpoints import Told, told

ReadPicture = Callable[[str], bytes | None]
"""From the key of a stored picture to its bytes; ``None``: it is kept no longer."""


@dataclass(frozen=True, slots=True)
class ClipOf:
    """A clip of the answer: its view, and the size of its picture, pixels (``None``: it was never measured)."""

    id: str
    view: str
    size: tuple[int, int] | None


@dataclass(frozen=True, slots=True)
class Source:
    """An answer. ``language``: of its reader, a tag. ``handed``: right or left, when it was filmed. ``content`` is its snapshot; ``superseded_at``: when a corrected one took its place."""

    academy: str
    zone: ZoneInfo
    student: str
    language: str
    handed: str
    club: str | None
    purpose: str
    text: str
    content: Mapping[str, Any]
    sent_at: datetime
    what_changed: str
    superseded_at: datetime | None
    clips: Sequence[ClipOf]
    read_picture: ReadPicture

    def view_of(self, clip_id: str) -> str | None:
        """A clip's view; ``None`` for a clip that is not the submission's."""
        return next((clip.view for clip in self.clips if clip.id == clip_id), None)

    def checkpoint(self, one: str) -> Told | None:
        """What a number was called and held against; ``None``: unknown."""
        return told(self.content.get("checkpoints", {}), one)

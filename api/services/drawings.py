"""What a coach ticks and draws, held against the clips of the review, and the stills that carry drawings."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from api.db.clips import current_analysis, current_clips
from api.db.models import Clip, Review, Submission
from api.domain.drawings import StillsOf
from api.services.media import frames_near


def swings_of(submission: Submission) -> dict[UUID, int]:
    """How many swings each clip has. One that could not be measured counts as one: a coach sees it all the same."""
    return {clip.id: _swings(clip) for clip in current_clips(submission)}


def _swings(clip: Clip) -> int:
    analysis = current_analysis(clip)
    return 1 if analysis is None else max(1, len(analysis.measurement["swings"]))


def stills_of(submission: Submission) -> Mapping[UUID, StillsOf]:
    """What may be drawn on, of each measured clip."""
    found = {}
    for clip in current_clips(submission):
        analysis = current_analysis(clip)
        if analysis is not None:
            size = analysis.measurement["clip"]
            frames = frozenset(frames_near(analysis.measurement))
            found[clip.id] = StillsOf(size["width"], size["height"], _swings(clip), frames)
    return found


def drawn_frames(review: Review, clip: Clip) -> dict[int, tuple[int, str]]:
    """Frames of a clip that carry drawings, with swing and keyframe of the first one on each."""
    found: dict[int, tuple[int, str]] = {}
    for one in review.draft_drawings:
        if one["clip_id"] == str(clip.id):
            found.setdefault(one["frame"], (one["swing"], one["keyframe"]))
    return found


def on_pictures(review: Review, pictures: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """The drawings for an answer: those whose still is among its pictures."""
    shown = {(one["clip_id"], one["frame"]) for one in pictures}
    return [one for one in review.draft_drawings if (one["clip_id"], one["frame"]) in shown]


def still_by_eye(review: Review) -> list[dict[str, Any]]:
    """The ticks for an answer: those of clips that still count."""
    clips = {str(clip.id) for clip in current_clips(review.submission)}
    return [one for one in review.draft_by_eye if one["clip_id"] in clips]

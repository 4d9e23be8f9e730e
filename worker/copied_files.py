"""The files that go into a copy of somebody's data: films as sent, pictures, the points that were found."""

from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Analysis, Answer, Clip, Submission
from api.storage.base import Storage
from api.storage.keys import annotated_name, original_key, product_key, still_name

_NEAR_FRAMES = 6
"""Frames either side of a keyframe of which a plain picture may have been kept."""


def files_of(session: Session, storage: Storage, membership_id: UUID) -> list[tuple[str, str]]:
    """Names in the copy with the keys of the store: films as sent, the pictures, what was told of them."""
    clips = session.scalars(
        select(Clip)
        .join(Submission, Submission.id == Clip.submission_id)
        .where(Submission.student_id == membership_id)
        .order_by(Clip.id)
    ).all()
    wanted: list[tuple[str, str]] = []
    for clip in clips:
        folder = f"clips/{clip.received_at:%Y-%m-%d}_{clip.view}_{clip.id}"
        wanted.append((f"{folder}/film{_ending(clip.filename)}", original_key(clip.id)))
        for analysis in clip.analyses:
            wanted += [
                (
                    f"{folder}/{analysis.pipeline_version}/{name}",
                    product_key(clip.id, analysis.pipeline_version, name),
                )
                for name in _products(analysis)
            ]
    wanted += _answer_pictures(session, membership_id)
    by_name = dict(wanted)  # a picture that two answers show is one
    return [(name, key) for name, key in by_name.items() if storage.exists(key)]


def _products(analysis: Analysis) -> list[str]:
    names = ["tracks.json", "frame_times.json"]
    frames = set()
    for swing in analysis.measurement.get("swings", ()):
        for keyframe, what in swing["keyframes"].items():
            if "frame" in what:
                names.append(annotated_name(keyframe))
                frames |= set(range(what["frame"] - _NEAR_FRAMES, what["frame"] + _NEAR_FRAMES + 1))
    return names + [still_name(frame) for frame in sorted(frames) if frame >= 0]


def _answer_pictures(session: Session, membership_id: UUID) -> list[tuple[str, str]]:
    answers = session.scalars(
        select(Answer)
        .join(Submission, Submission.id == Answer.submission_id)
        .where(Submission.student_id == membership_id)
        .order_by(Answer.id)
    )
    return [
        (f"answers/{answer.id}/{picture['keyframe']}_{picture['frame']}.jpg", picture["key"])
        for answer in answers
        for picture in answer.content["pictures"]
    ]


def _ending(filename: str) -> str:
    ending = filename.rpartition(".")[2].lower()
    return f".{ending}" if ending in {"mp4", "mov", "m4v", "webm", "mkv", "avi"} else ".bin"

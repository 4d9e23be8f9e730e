"""A coach's corrections: keyframes moved, points dragged, and readings taken again from them.

The formula is ``api.domain.checkpoints.evaluate``, the worker's own. Nothing is overwritten: a
correction retires the one before it, and the machine's rows never change.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.clips import clip_of, current_analysis
from api.db.models import Analysis, Clip, Mark, OverlayPoint, Review
from api.db.reviews import current_marks, current_points, retire_mark, retire_point
from api.domain.actors import Actor
from api.domain.errors import Conflict, Invalid
from api.domain.names import KeyframeId, PointName
from api.services.coach_readings import Correction, take_readings_again
from api.services.reviews import Desk, changing
from api.services.tracks import ClipTracks, load_tracks
from api.storage.base import Storage


@dataclass(frozen=True, slots=True)
class Place:
    """A keyframe of a swing of a clip. ``swing`` counts from 0 in order of time."""

    clip_id: UUID
    swing: int
    keyframe: KeyframeId


@dataclass(frozen=True, slots=True)
class Overlay:
    """One open clip of a review, with what the machine knows about it."""

    session: Session
    actor: Actor
    review: Review
    place: Place
    clip: Clip
    analysis: Analysis
    tracks: ClipTracks

    def machine_frame(self) -> int | None:
        """Where the machine put the keyframe; None when it did not find it."""
        swings = self.analysis.measurement["swings"]
        if self.place.swing >= len(swings):
            return None
        found: dict[str, int] = swings[self.place.swing]["keyframes"].get(self.place.keyframe, {})
        return found.get("frame")

    def mark(self) -> Mark | None:
        """The coach's keyframe, if set."""
        return next(filter(self._here, current_marks(self.session, self.review.id)), None)

    def points(self) -> Sequence[OverlayPoint]:
        """The coach's points at this keyframe, on whatever frame they were placed."""
        return [row for row in current_points(self.session, self.review.id) if self._here(row)]

    def frame(self) -> int | None:
        """The frame the keyframe is on now: the coach's, else the machine's."""
        mark = self.mark()
        return self.machine_frame() if mark is None else mark.frame

    def _here(self, row: Mark | OverlayPoint) -> bool:
        return (row.clip_id, row.swing, row.keyframe) == (
            self.place.clip_id,
            self.place.swing,
            self.place.keyframe,
        )


def open_overlay(
    session: Session, actor: Actor, storage: Storage, review: Review, place: Place
) -> Overlay:
    """Everything a correction needs.

    Raises ``NotFound`` for a clip that is not in the review's submission, ``Conflict`` with code
    ``not_measured`` where there are no frames to point at, ``Invalid`` for a swing out of range.
    """
    clip = clip_of(session, actor, review.submission_id, place.clip_id)
    analysis = current_analysis(clip)
    if analysis is None:
        raise Conflict(
            "This clip has not been measured, so there is nothing to correct. Answer in words, "
            "or ask for a new film.",
            code="not_measured",
        )
    swings = max(1, len(analysis.measurement["swings"]))
    if not 0 <= place.swing < swings:
        raise Invalid(f"This clip has {swings} swing(s), numbered from 0.")
    return Overlay(session, actor, review, place, clip, analysis, load_tracks(storage, analysis))


@dataclass(frozen=True, slots=True)
class Correcting:
    """One correction to come: whose, of which review, made from which versions of the draft."""

    desk: Desk
    storage: Storage
    review_id: UUID
    versions: Sequence[int] | None
    place: Place

    @contextmanager
    def change(self, act: str, **what: object) -> Iterator[Overlay]:
        """Hold the draft, correct the overlay inside the block, write down what was done."""
        place = {"swing": self.place.swing, "keyframe": self.place.keyframe.value}
        with changing(self.desk, self.review_id, self.versions, act, **place, **what) as review:
            desk = self.desk
            yield open_overlay(desk.session, desk.actor, self.storage, review, self.place)


def move_keyframe(correcting: Correcting, frame: int) -> Review:
    """Put a keyframe on ``frame``; its readings are taken again from the points there."""
    with correcting.change("review.mark_set", frame=frame) as overlay:
        _set_mark(overlay, frame, now=correcting.desk.now)
    return overlay.review


def keyframe_back(correcting: Correcting) -> Review:
    """Go back to the machine's keyframe. Points placed on its frame count again."""
    with correcting.change("review.mark_dropped") as overlay:
        _retire_mark(overlay, correcting.desk.now)
        _again(overlay, correcting.desk.now)
    return overlay.review


def move_point(correcting: Correcting, point: PointName, x: float, y: float) -> Review:
    """Place a point on the keyframe's frame; the readings that use it are taken again."""
    with correcting.change("review.point_set", point=point.value) as overlay:
        _set_point(overlay, point, x, y, now=correcting.desk.now)
    return overlay.review


def point_back(correcting: Correcting, point: PointName) -> Review:
    """Go back to the machine's point."""
    with correcting.change("review.point_dropped", point=point.value) as overlay:
        _retire_point(overlay, point, correcting.desk.now)
        _again(overlay, correcting.desk.now)
    return overlay.review


def _set_mark(overlay: Overlay, frame: int, *, now: datetime) -> None:
    if not 0 <= frame < overlay.analysis.frames:
        raise Invalid(f"The clip's frames go from 0 to {overlay.analysis.frames - 1}.")
    time_s = overlay.tracks.time_s(frame)
    if time_s is None:
        raise Conflict("The times of this clip's frames are not stored.", code="not_measured")
    _retire_mark(overlay, now)
    place = overlay.place
    overlay.session.add(
        Mark(
            review_id=overlay.review.id,
            clip_id=place.clip_id,
            swing=place.swing,
            keyframe=place.keyframe.value,
            frame=frame,
            time_s=time_s,
            machine_frame=overlay.machine_frame(),
            made_by=overlay.actor.membership_id,
        )
    )
    _again(overlay, now)


def _set_point(overlay: Overlay, point: PointName, x: float, y: float, *, now: datetime) -> None:
    frame = overlay.frame()
    if frame is None:
        raise Conflict("Choose the frame of this keyframe first.", code="no_frame")
    clip = overlay.analysis.measurement["clip"]
    if not (0 <= x <= clip["width"] and 0 <= y <= clip["height"]):
        raise Invalid(f"The point lies outside the picture ({clip['width']} x {clip['height']}).")
    place = overlay.place
    _retire_point(overlay, point, now)
    machine = overlay.tracks.at(frame).points.get(point)
    overlay.session.add(
        OverlayPoint(
            review_id=overlay.review.id,
            clip_id=place.clip_id,
            swing=place.swing,
            keyframe=place.keyframe.value,
            frame=frame,
            point=point.value,
            x=x,
            y=y,
            machine_x=None if machine is None else machine[0],
            machine_y=None if machine is None else machine[1],
            made_by=overlay.actor.membership_id,
        )
    )
    _again(overlay, now)


def _retire_mark(overlay: Overlay, now: datetime) -> None:
    place = overlay.place
    retire_mark(
        overlay.session,
        overlay.review.id,
        place.clip_id,
        place.swing,
        place.keyframe.value,
        now,
    )


def _retire_point(overlay: Overlay, point: PointName, now: datetime) -> None:
    place = overlay.place
    where = (place.clip_id, place.swing, place.keyframe.value, point.value)
    retire_point(overlay.session, overlay.review.id, where, now)


def _again(overlay: Overlay, now: datetime) -> None:
    overlay.session.flush()
    frame = overlay.frame()
    on_frame = {
        PointName(row.point): (row.x, row.y) for row in overlay.points() if row.frame == frame
    }
    take_readings_again(
        overlay.session,
        overlay.actor,
        Correction(
            review=overlay.review,
            clip=overlay.clip,
            analysis=overlay.analysis,
            tracks=overlay.tracks,
            swing=overlay.place.swing,
            keyframe=overlay.place.keyframe,
            frame=frame,
            moved=overlay.mark() is not None,
            placed=on_frame,
        ),
        now=now,
    )

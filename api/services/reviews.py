"""The coach's desk: claims, the draft, and every change under the version it was made from."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from datetime import date, datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import reviews as reviews_db
from api.db.audit import record
from api.db.models import Review
from api.db.queues import Looked, next_in_queue, promise_of
from api.domain.actors import Actor
from api.domain.by_eye import ByEye, check_by_eye
from api.domain.drawings import Drawing, check_drawings
from api.domain.drill_library import DRILLS
from api.domain.errors import Conflict, Invalid, NotFound, Stale
from api.domain.judgement import Judged, check_judged, check_later
from api.domain.queues import QueueFilters, QueueName
from api.domain.states import ReviewKind, ReviewState
from api.services.drawings import stills_of, swings_of

MAX_DRILLS = 2
"""One thing to work on and at most two drills: more is not practised (common practice)."""


@dataclass(frozen=True, slots=True)
class ChosenDrill:
    """A drill with its dose. ``pause_s`` seconds; None when there is no pause.

    ``start``: the first day, None for at once. ``ball``: with one or without, None where the drill's own steps
    say enough. ``proof``: whether the next clip is asked to show it.
    """

    drill_id: str
    sets: int
    reps: int
    pause_s: float | None
    days_per_week: int
    until: date | None
    note: str
    start: date | None = None
    ball: bool | None = None
    proof: bool = True

    def to_json(self) -> dict[str, Any]:
        """As the draft keeps it."""
        return {
            "drill_id": self.drill_id,
            "sets": self.sets,
            "reps": self.reps,
            "pause_s": self.pause_s,
            "days_per_week": self.days_per_week,
            "until": None if self.until is None else self.until.isoformat(),
            "note": self.note,
            "start": None if self.start is None else self.start.isoformat(),
            "ball": self.ball,
            "proof": self.proof,
        }


def drill_as_kept(kept: Mapping[str, Any]) -> dict[str, Any]:
    """A drill out of a draft or an answer. Those from before start, ball and proof were asked had none."""
    return {"start": None, "ball": None, "proof": True, **kept}


@dataclass(frozen=True, slots=True)
class DraftParts:
    """Parts of a draft to replace; ``None`` leaves a part as it is."""

    text: str | None = None
    drills: Sequence[ChosenDrill] | None = None
    judgements: Sequence[Judged] | None = None
    later: Sequence[str] | None = None
    by_eye: Sequence[ByEye] | None = None
    drawings: Sequence[Drawing] | None = None
    what_changed: str | None = None

    @property
    def given(self) -> list[str]:
        """Names of the parts that are replaced."""
        return [each.name for each in fields(self) if getattr(self, each.name) is not None]


@dataclass(frozen=True, slots=True)
class Desk:
    """Who works, when, and for how long a claim holds without a sign of life."""

    session: Session
    actor: Actor
    now: datetime
    lease: timedelta

    @property
    def until(self) -> datetime:
        """When a claim made or renewed now runs out."""
        return self.now + self.lease


def claim_next(desk: Desk, filters: QueueFilters | None = None) -> Review:
    """Take what is due first, of what ``filters`` leave. Raises ``NotFound``, code ``nothing_waiting``."""
    find = None
    if filters is not None and filters != QueueFilters():
        promise = promise_of(desk.session, desk.actor, desk.now)
        look = Looked(desk.session, desk.actor, QueueName.WAITING, filters, promise)
        find = partial(next_in_queue, look)
    review_id = reviews_db.claim_next(
        desk.session, desk.actor, now=desk.now, until=desk.until, find=find
    )
    if review_id is None:
        raise NotFound("Nothing is waiting. Well done.", code="nothing_waiting")
    return _claimed(desk, review_id)


def claim(desk: Desk, review_id: UUID) -> Review:
    """Take one review. Raises ``Conflict`` with code ``already_claimed`` or ``already_answered``.

    A question on which a colleague had begun an opinion comes as a review of its own, with another id.
    """
    review = reviews_db.review_for(desk.session, desk.actor, review_id)
    held = reviews_db.claim(desk.session, desk.actor, review.id, now=desk.now, until=desk.until)
    if held is None:
        raise why_not(desk, review_id)
    return _claimed(desk, held)


def _claimed(desk: Desk, review_id: UUID) -> Review:
    _record(desk, "review.claimed", review_id, after={"until": desk.until.isoformat()})
    return reviews_db.review_for(desk.session, desk.actor, review_id)


def renew(desk: Desk, review_id: UUID) -> Review:
    """Show a sign of life. Raises like ``claim``, or ``not_claimed``."""
    reviews_db.review_for(desk.session, desk.actor, review_id)
    if not reviews_db.renew(desk.session, desk.actor, review_id, until=desk.until):
        raise why_not(desk, review_id)
    return reviews_db.review_for(desk.session, desk.actor, review_id)


def release(desk: Desk, review_id: UUID) -> Review:
    """Put it back into the queue, draft and all."""
    reviews_db.review_for(desk.session, desk.actor, review_id)
    if not reviews_db.release(desk.session, desk.actor, review_id):
        raise why_not(desk, review_id)
    _record(desk, "review.released", review_id)
    return reviews_db.review_for(desk.session, desk.actor, review_id)


@contextmanager
def changing(
    desk: Desk, review_id: UUID, versions: Sequence[int] | None, act: str, **after: object
) -> Iterator[Review]:
    """One change of a draft: held by its coach, made from a version they have read, audited.

    ``versions`` are those the caller names (If-Match); None means whichever it is now. Raises
    ``Stale`` when the draft has moved on, ``Conflict`` when it is not the caller's to change.
    """
    seen = reviews_db.review_for(desk.session, desk.actor, review_id)
    held = reviews_db.hold_version(
        desk.session,
        desk.actor,
        review_id,
        [seen.version] if versions is None else versions,
        until=desk.until,
    )
    if not held:
        raise why_not(desk, review_id)
    review = reviews_db.review_for(desk.session, desk.actor, review_id)
    yield review
    desk.session.flush()
    _record(desk, act, review_id, before={"version": seen.version}, after=after)


def why_not(desk: Desk, review_id: UUID) -> Conflict | Stale:
    """Why a change was not the caller's to make, in words.

    Read as it is, since it may just have gone out of the caller's sight: they saw it a moment ago.
    """
    review = desk.session.get_one(Review, review_id, populate_existing=True)
    if review.kind != ReviewKind.MAIN:
        return _why_not_read(desk, review)
    if review.state == ReviewState.ANSWERED:
        return Conflict("This review has been answered.", code="already_answered")
    if review.state == ReviewState.CLOSED:
        return Conflict(
            "This review has ended: the student withdrew, or is to film again.", code="closed"
        )
    if review.claimed_by == desk.actor.membership_id:
        return _stale(review)
    if review.state == ReviewState.CLAIMED:
        return Conflict("Another coach has this review.", code="already_claimed")
    return Conflict("Take this review before you change it.", code="not_claimed")


def _stale(review: Review) -> Stale:
    return Stale(
        "The draft was changed in another tab or on another device, or another clip was measured "
        "meanwhile. Nothing was overwritten: load it again.",
        details={"version": review.version},
    )


def _why_not_read(desk: Desk, review: Review) -> Conflict | Stale:
    """The same of a second opinion or a blind read."""
    if review.state == ReviewState.ANSWERED:
        return Conflict("This has been committed: it stands as it was.", code="already_committed")
    if review.state == ReviewState.CLOSED:
        return Conflict(
            "Nobody waits for this any more: the question was withdrawn, a colleague took it over, the answer went "
            "out, or the student is to film again. What you wrote stays yours.",
            code="closed",
        )
    held = review.claimed_by == desk.actor.membership_id
    if held and reviews_db.may_go_on(desk.session, desk.actor, review.id):
        return _stale(review)
    if held:
        return Conflict(
            "Meanwhile you looked into the answer of these clips, or of later ones. Somebody who has not will read them.",
            code="not_blind",
        )
    if review.state == ReviewState.CLAIMED:
        return Conflict("Another coach has this.", code="already_claimed")
    return Conflict("Take this before you change it.", code="not_claimed")


def refuse_reads(review: Review) -> None:
    """Raise ``Conflict`` with code ``not_the_students`` for what no student is ever told."""
    if review.kind != ReviewKind.MAIN:
        raise Conflict(
            "This goes to no student: it is read beside the answer. Commit it instead.",
            code="not_the_students",
        )


def change_draft(
    desk: Desk,
    review_id: UUID,
    versions: Sequence[int] | None,
    parts: DraftParts,
) -> Review:
    """Replace what ``parts`` gives. Raises ``Invalid`` for what cannot be: an unknown drill, a drawing outside its picture."""
    if parts.drills is not None:
        _check_drills(parts.drills)
    if parts.judgements is not None:
        check_judged(parts.judgements)
    if parts.later is not None:
        check_later(parts.later)
    with changing(desk, review_id, versions, "review.draft_changed", changed=parts.given) as review:
        if parts.text is not None:
            review.draft_text = parts.text
        if parts.drills is not None:
            review.draft_drills = [drill.to_json() for drill in parts.drills]
        if parts.judgements is not None:
            review.draft_judgements = [one.to_json() for one in parts.judgements]
        if parts.later is not None:
            review.draft_later = list(parts.later)
        _change_picture_parts(review, parts)
        if parts.what_changed is not None:
            review.draft_what_changed = parts.what_changed
    return review


def _change_picture_parts(review: Review, parts: DraftParts) -> None:
    """What belongs to the review's own clips is held against them."""
    if parts.by_eye is not None:
        ticked = [ByEye.from_json(kept) for kept in review.draft_by_eye]
        check_by_eye(parts.by_eye, swings_of(review.submission), ticked)
        review.draft_by_eye = [one.to_json() for one in parts.by_eye]
    if parts.drawings is not None:
        drawn = [Drawing.from_json(kept) for kept in review.draft_drawings]
        check_drawings(parts.drawings, stills_of(review.submission), drawn)
        review.draft_drawings = [one.to_json() for one in parts.drawings]


def _check_drills(drills: Sequence[ChosenDrill]) -> None:
    ids = [drill.drill_id for drill in drills]
    unknown = [drill_id for drill_id in ids if drill_id not in DRILLS]
    if unknown:
        raise Invalid(f"There is no drill called {unknown[0]!r}.")
    if len(set(ids)) != len(ids):
        raise Invalid("The same drill is there twice.")
    for drill in drills:
        if drill.start is not None and drill.until is not None and drill.until < drill.start:
            raise Invalid(f"{DRILLS[drill.drill_id].name} ends before it begins.")
    if len(ids) > MAX_DRILLS:
        raise Invalid(f"{MAX_DRILLS} drills at most: a student can work on no more at a time.")


def _record(
    desk: Desk,
    act: str,
    review_id: UUID,
    *,
    before: Mapping[str, object] | None = None,
    after: Mapping[str, object] | None = None,
) -> None:
    record(desk.session, act, "review", review_id, actor=desk.actor, before=before, after=after)

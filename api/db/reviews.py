"""Reviews: visibility, the queue, and claims. Each change of hands is one conditional UPDATE."""

from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from sqlalchemy import ColumnElement, Select, and_, exists, false, or_, select, update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.base import utc_now
from api.db.models import (
    AuditEvent,
    Mark,
    OverlayPoint,
    Reading,
    Review,
    StudentProfile,
    Submission,
)
from api.db.profiles import stopped_students
from api.db.queue_order import DUE_FIRST
from api.db.second_reads import IS_MAIN, may_hold, may_see, may_take
from api.db.stopping import CONSENT, ERASURE
from api.db.submissions import end_unfinished_uploads, lock_submission, move_submission
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.names import Role
from api.domain.states import OPEN_REVIEW_STATES, ReviewKind, ReviewState, SubmissionState

_CLAIM_TRIES = 20


def reviews_visible_to(actor: Actor) -> Select[Review]:
    """Where every read of reviews starts: the academy's, for coaches and admins.

    None of who is stopped: their consent was withdrawn, or their data is being erased.
    Of reads beside an answer, and of what their reader must not know, see ``api.db.second_reads``.
    """
    rows = select(Review).where(Review.academy_id == actor.academy_id)
    if actor.role not in {Role.COACH, Role.ADMIN}:
        return rows.where(false())
    # Asked once a query, and of few people: the queue's own index stays in use.
    stopped = select(Submission.id).where(Submission.student_id.in_(stopped_students()))
    return rows.where(may_see(actor), Review.submission_id.not_in(stopped))


def review_for(session: Session, actor: Actor, review_id: UUID) -> Review:
    """One review, read afresh, else ``NotFound``, which tells the coach who had it where its student is stopped or erased."""
    review = session.scalars(
        reviews_visible_to(actor)
        .where(Review.id == review_id)
        .execution_options(populate_existing=True)
    ).one_or_none()
    if review is None:
        _say_why_gone(session, actor, review_id)
        raise NotFound("There is no such review, or it is not your academy's.")
    return review


def _say_why_gone(session: Session, actor: Actor, review_id: UUID) -> None:
    """Raises ``NotFound`` that says so to a coach who had a review whose student is stopped or erased; else nothing.

    Nobody else learns that there is one. ``review_erased``: the data is gone or going, and so is what the coach wrote;
    ``review_stopped``: what they wrote is theirs to copy for a while (``own_words_of``).
    """
    if actor.role != Role.COACH:
        return
    because = session.scalar(
        select(StudentProfile.stopped_because)
        .join(Submission, Submission.student_id == StudentProfile.membership_id)
        .join(Review, Review.submission_id == Submission.id)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            or_(Review.claimed_by == actor.membership_id, Review.drafted_by == actor.membership_id),
            StudentProfile.stopped_at.is_not(None),
        )
    )
    if because == ERASURE or (because is None and _was_erased(session, actor, review_id)):
        raise NotFound(
            "The data of this student is erased, or about to be. Nothing of this review is kept, "
            "and nothing of what you wrote in it.",
            code="review_erased",
        )
    if because is not None:
        raise NotFound(
            "This review cannot be worked on at the moment: nothing is to be said about these clips just now. "
            "The office can say what has to be done first.",
            code="review_stopped",
        )


def _was_erased(session: Session, actor: Actor, review_id: UUID) -> bool:
    """Whether a review that the caller once worked on is not there any more: reviews go with their student, and never else."""
    worked_on = exists().where(
        AuditEvent.subject_type == "review",
        AuditEvent.subject_id == review_id,
        AuditEvent.actor_id == actor.membership_id,
        AuditEvent.academy_id == actor.academy_id,
    )
    is_there = exists().where(Review.id == review_id)
    return session.scalar(select(and_(worked_on, ~is_there))) is True


OWN_WORDS_FOR = timedelta(days=14)
"""So long a coach can copy what they wrote before a student's consent was withdrawn."""


def own_words_of(session: Session, actor: Actor, review_id: UUID) -> tuple[Review, datetime]:
    """A stopped review whose draft the caller changed last, for their own words alone, and until when they may copy them.

    Raises ``NotFound``: ``review_erased`` where the student's data goes, ``own_words_over`` past that time, else as for any
    review that is not there.
    """
    found = session.execute(
        select(Review, StudentProfile.stopped_at)
        .join(Submission, Review.submission_id == Submission.id)
        .join(StudentProfile, StudentProfile.membership_id == Submission.student_id)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            Review.drafted_by == actor.membership_id,
            StudentProfile.stopped_because == CONSENT,
        )
    ).one_or_none()
    if found is None or found[1] is None:
        _say_why_gone(session, actor, review_id)
        raise NotFound("There is no such review, or nothing in it is yours to copy.")
    review: Review = found[0]
    until: datetime = found[1] + OWN_WORDS_FOR
    if utc_now() >= until:
        raise NotFound(
            "The time in which you could copy what you wrote is over.", code="own_words_over"
        )
    return review, until


def newest_reviews(session: Session, submission_ids: Sequence[UUID]) -> dict[UUID, Review]:
    """The student's newest review of each submission that has one."""
    rows = session.scalars(
        select(Review).where(Review.submission_id.in_(submission_ids), IS_MAIN).order_by(Review.id)
    )
    return {review.submission_id: review for review in rows}


def free_to_take(now: datetime) -> ColumnElement[bool]:
    """Waiting, or claimed by somebody whose lease has run out before they answered."""
    lapsed = and_(
        Review.state == ReviewState.CLAIMED,
        Review.lease_ends_at <= now,
        Review.amends_number.is_(None),  # a correction left alone: nobody waits for it
    )
    return or_(Review.state == ReviewState.WAITING, lapsed)


def claim(
    session: Session, actor: Actor, review_id: UUID, *, now: datetime, until: datetime
) -> UUID | None:
    """Take a free review, or take one's own up again; the id of what the coach holds now, None when somebody else holds it.

    The draft stays, and its version grows, so a tab of the coach who had it before is stale. Of an opinion and a blind
    read only one's own stays: whoever makes it begins with what the machine found. An opinion that a colleague began
    stays theirs, and the question goes on in another review, whose id is returned.
    """
    if renew(session, actor, review_id, until=until):
        return review_id
    taken = session.execute(
        update(Review)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            free_to_take(now),
            may_take(actor),
        )
        .values(
            state=ReviewState.CLAIMED.value,
            claimed_by=actor.membership_id,
            lease_ends_at=until,
            version=Review.version + 1,
        )
        .returning(Review.submission_id, Review.kind, Review.drafted_by)
        .execution_options(synchronize_session=False)
    ).one_or_none()
    if taken is None:
        return None
    held = review_id
    if taken.kind != ReviewKind.MAIN and taken.drafted_by not in {None, actor.membership_id}:
        if taken.kind == ReviewKind.SECOND:
            held = _leave_to_its_reader(session, actor, review_id)
        else:
            _begin_afresh(session, review_id, now)
    _bring_to_coach(session, taken.submission_id, taken.kind)
    return held


def _leave_to_its_reader(session: Session, actor: Actor, review_id: UUID) -> UUID:
    """Close an opinion that was just taken, for whoever began it, and open another to the same question; returns its id.

    Two people would be one reader otherwise, and what a colleague wrote until their claim ran out would be lost. Who took the
    question before goes on with what they had begun then.
    """
    begun = session.get_one(Review, review_id, populate_existing=True)
    until = begun.lease_ends_at
    begun.state, begun.claimed_by, begun.lease_ends_at = (
        ReviewState.CLOSED.value,
        begun.drafted_by,
        None,
    )
    session.flush()  # first: one question of a review is open at a time
    own = session.scalars(
        select(Review).where(
            Review.read_of_id == begun.read_of_id,
            Review.created_at == begun.created_at,
            Review.asked_by == begun.asked_by,
            Review.drafted_by == actor.membership_id,
            Review.state == ReviewState.CLOSED,
        )
    ).first()
    if own is None:
        own = Review(
            created_at=begun.created_at,
            academy_id=begun.academy_id,
            submission_id=begun.submission_id,
            due_at=begun.due_at,
            kind=begun.kind,
            read_of_id=begun.read_of_id,
            asked_by=begun.asked_by,
            asked_of=begun.asked_of,
            question=begun.question,
            version=0,
        )
        session.add(own)
    own.state, own.claimed_by, own.lease_ends_at = (
        ReviewState.CLAIMED.value,
        actor.membership_id,
        until,
    )
    own.version += 1
    session.flush()
    record(session, "review.passed_on", "review", begun.id, actor=actor, after={"to": str(own.id)})
    return own.id


def _begin_afresh(session: Session, review_id: UUID, now: datetime) -> None:
    """What somebody else began of a blind read does not hold any more: two people would be one reader."""
    for begun in (Mark, OverlayPoint, Reading):
        session.execute(
            update(begun)
            .where(begun.review_id == review_id, begun.retired_at.is_(None))
            .values(retired_at=now)
            .execution_options(synchronize_session=False)
        )
    session.execute(
        update(Review)
        .where(Review.id == review_id)
        .values(
            draft_text="",
            draft_drills=[],
            draft_judgements=[],
            draft_later=[],
            draft_by_eye=[],
            draft_drawings=[],
            drafted_by=None,
        )
        .execution_options(synchronize_session=False)
    )


def claim_next(
    session: Session,
    actor: Actor,
    *,
    now: datetime,
    until: datetime,
    find: Callable[[], UUID | None] | None = None,
) -> UUID | None:
    """Take the free review that is due first; None when nothing waits.

    ``find``: which one that is, where the coach has narrowed the queue.
    """
    for _ in range(_CLAIM_TRIES):
        review_id = _due_first(session, actor, now) if find is None else find()
        if review_id is None:
            return None
        held = claim(session, actor, review_id, now=now, until=until)
        if held is not None:
            return held
    return None  # others were faster every time


def _due_first(session: Session, actor: Actor, now: datetime) -> UUID | None:
    return session.scalar(
        select(Review.id)
        .where(Review.academy_id == actor.academy_id, free_to_take(now), may_take(actor))
        .order_by(*DUE_FIRST)
        .limit(1)
    )


def renew(session: Session, actor: Actor, review_id: UUID, *, until: datetime) -> bool:
    """Prolong one's own claim, also a lapsed one that nobody has taken since."""
    return _hold(session, actor, until, Review.id == review_id)


def may_go_on(session: Session, actor: Actor, review_id: UUID) -> bool:
    """Whether nothing but its version keeps a coach from going on with what they hold."""
    mine = exists().where(Review.id == review_id, may_hold(actor))
    return bool(session.scalar(select(mine)))


def hold_version(
    session: Session, actor: Actor, review_id: UUID, versions: Sequence[int], *, until: datetime
) -> bool:
    """Make one change the coach's to make: their claim, a version they have read, and count it.

    The row stays locked until the transaction ends, so two tabs change one after the other.
    """
    which = and_(Review.id == review_id, Review.version.in_(versions))
    by = actor.membership_id
    return _hold(session, actor, until, which, version=Review.version + 1, drafted_by=by)


def _hold(
    session: Session,
    actor: Actor,
    until: datetime,
    which: ColumnElement[bool],
    **values: object,
) -> bool:
    # A lapsed claim waits, a lapsed correction is answered: its coach goes on with either.
    open_still = or_(
        Review.state.in_([ReviewState.WAITING.value, ReviewState.CLAIMED.value]),
        and_(Review.state == ReviewState.ANSWERED, Review.amends_number.is_not(None)),
    )
    held = session.execute(
        update(Review)
        .where(
            which,
            Review.academy_id == actor.academy_id,
            Review.claimed_by == actor.membership_id,
            open_still,
            may_hold(actor),
        )
        .values(state=ReviewState.CLAIMED.value, lease_ends_at=until, **values)
        .returning(Review.submission_id, Review.kind)
        .execution_options(synchronize_session=False)
    ).one_or_none()
    if held is None:
        return False
    _bring_to_coach(session, held.submission_id, held.kind)
    return True


def _bring_to_coach(session: Session, submission_id: UUID, kind: str) -> None:
    """From here on no clip is added: one that came later would be in no answer.

    Who reads beside the answer does not have the student's review: nothing moves for the student.
    """
    if kind != ReviewKind.MAIN:
        return
    submission = lock_submission(session, submission_id)
    if submission.state == SubmissionState.WAITING:
        move_submission(submission, SubmissionState.WITH_COACH)
        end_unfinished_uploads(session, submission_id)


def release(session: Session, actor: Actor, review_id: UUID) -> bool:
    """Put one's own claim back into the queue; the draft stays for whoever is next.

    A correction goes back to the answer that stands, and its draft waits for the next correction.
    """
    if _put_aside(session, actor, review_id):
        return True
    freed = session.execute(
        update(Review)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            Review.claimed_by == actor.membership_id,
            Review.state == ReviewState.CLAIMED,
            Review.amends_number.is_(None),
        )
        .values(
            state=ReviewState.WAITING.value,
            claimed_by=None,
            lease_ends_at=None,
            version=Review.version + 1,
        )
        .returning(Review.submission_id, Review.kind)
        .execution_options(synchronize_session=False)
    ).one_or_none()
    if freed is None:
        return False
    if freed.kind == ReviewKind.MAIN:
        move_submission(lock_submission(session, freed.submission_id), SubmissionState.WAITING)
    return True


def _put_aside(session: Session, actor: Actor, review_id: UUID) -> bool:
    aside = session.execute(
        update(Review)
        .where(
            Review.id == review_id,
            Review.academy_id == actor.academy_id,
            Review.claimed_by == actor.membership_id,
            Review.state.in_([ReviewState.CLAIMED.value, ReviewState.ANSWERED.value]),
            Review.amends_number.is_not(None),
        )
        .values(
            state=ReviewState.ANSWERED.value,
            lease_ends_at=None,
            amends_number=None,
            version=Review.version + 1,
        )
        .returning(Review.submission_id)
        .execution_options(synchronize_session=False)
    ).one_or_none()
    if aside is None:
        return False
    lock_submission(session, aside.submission_id).state_reason = ""
    return True


def lapse_leases(session: Session, now: datetime) -> int:
    """Put reviews whose coach went silent back into the queue. Returns how many.

    ``claimed_by`` stays: until somebody else takes it, the same coach goes on without a word. A correction
    that was left alone goes back to the answer that stands, draft and all.
    """
    silent = and_(Review.state == ReviewState.CLAIMED, Review.lease_ends_at <= now)
    left_alone = session.execute(
        update(Review)
        .where(silent, Review.amends_number.is_not(None))
        .values(state=ReviewState.ANSWERED.value, lease_ends_at=None)
        .returning(Review.id, Review.academy_id)
        .execution_options(synchronize_session=False)
    ).all()
    for review_id, academy_id in left_alone:
        record(session, "review.lapsed", "review", review_id, academy_id=academy_id)
    lapsed = session.execute(
        update(Review)
        .where(silent, Review.amends_number.is_(None))
        .values(state=ReviewState.WAITING.value, lease_ends_at=None)
        .returning(Review.id, Review.submission_id, Review.academy_id, Review.kind)
        .execution_options(synchronize_session=False)
    ).all()
    for row in lapsed:
        if row.kind == ReviewKind.MAIN:
            move_submission(lock_submission(session, row.submission_id), SubmissionState.WAITING)
        record(session, "review.lapsed", "review", row.id, academy_id=row.academy_id)
    return len(lapsed) + len(left_alone)


def close_waiting(session: Session, submission_id: UUID) -> UUID | None:
    """Close a student's review if no coach holds it; returns its id."""
    return session.scalar(
        update(Review)
        .where(Review.submission_id == submission_id, IS_MAIN, Review.state == ReviewState.WAITING)
        .values(state=ReviewState.CLOSED.value)
        .returning(Review.id)
        .execution_options(synchronize_session=False)
    )


def count_change(session: Session, submission_id: UUID) -> None:
    """A clip of an open review was measured: whoever has the page open must look again."""
    session.execute(
        update(Review)
        .where(Review.submission_id == submission_id, Review.state.in_(OPEN_REVIEW_STATES))
        .values(version=Review.version + 1)
        .execution_options(synchronize_session=False)
    )


def count_change_of_student(session: Session, student_id: UUID, club_name: str) -> None:
    """A student's target moved: whoever has an open review of theirs on a page must look again.

    ``club_name``: only of clips with that club; empty for every club.
    """
    theirs = select(Submission.id).where(Submission.student_id == student_id)
    if club_name:
        theirs = theirs.where(Submission.club_name == club_name)
    session.execute(
        update(Review)
        .where(Review.submission_id.in_(theirs), Review.state.in_(OPEN_REVIEW_STATES))
        .values(version=Review.version + 1)
        .execution_options(synchronize_session=False)
    )


def current_marks(session: Session, review_id: UUID) -> Sequence[Mark]:
    """The keyframes as the coach has them now."""
    return session.scalars(
        select(Mark).where(Mark.review_id == review_id, Mark.retired_at.is_(None)).order_by(Mark.id)
    ).all()


def marks_when(session: Session, review_id: UUID, moment: datetime) -> Sequence[Mark]:
    """The keyframes as the coach had them at ``moment``: those of an answer, whatever was corrected since."""
    return session.scalars(
        select(Mark)
        .where(
            Mark.review_id == review_id,
            Mark.created_at <= moment,
            or_(Mark.retired_at.is_(None), Mark.retired_at > moment),
        )
        .order_by(Mark.id)
    ).all()


def current_points(session: Session, review_id: UUID) -> Sequence[OverlayPoint]:
    """The points as the coach has them now."""
    return session.scalars(
        select(OverlayPoint)
        .where(OverlayPoint.review_id == review_id, OverlayPoint.retired_at.is_(None))
        .order_by(OverlayPoint.id)
    ).all()


def retire_mark(
    session: Session, review_id: UUID, clip_id: UUID, swing: int, keyframe: str, now: datetime
) -> bool:
    """Take a coach's keyframe back; False when there was none."""
    return (
        session.execute(
            update(Mark)
            .where(
                Mark.review_id == review_id,
                Mark.clip_id == clip_id,
                Mark.swing == swing,
                Mark.keyframe == keyframe,
                Mark.retired_at.is_(None),
            )
            .values(retired_at=now)
            .returning(Mark.id)
        ).one_or_none()
        is not None
    )


def retire_point(
    session: Session,
    review_id: UUID,
    place: tuple[UUID, int, str, str],
    now: datetime,
) -> bool:
    """Take a coach's point back; ``place`` is clip, swing, keyframe, point."""
    clip_id, swing, keyframe, point = place
    return (
        session.execute(
            update(OverlayPoint)
            .where(
                OverlayPoint.review_id == review_id,
                OverlayPoint.clip_id == clip_id,
                OverlayPoint.swing == swing,
                OverlayPoint.keyframe == keyframe,
                OverlayPoint.point == point,
                OverlayPoint.retired_at.is_(None),
            )
            .values(retired_at=now)
            .returning(OverlayPoint.id)
        ).one_or_none()
        is not None
    )

"""Reviews beside the student's own: who may take one, and what its reader does not see meanwhile.

An opinion is formed and a blind read is made before anybody else's words are seen. Whoever holds one therefore
finds nothing of the same clips, nor of what that student sent later: not the review, nor its answer, and no later clip
that would be held against it. A blind read is for coaches who have worked on none of that and looked into none of it.
"""

from uuid import UUID

from sqlalchemy import ColumnElement, Select, and_, exists, or_, select, update
from sqlalchemy.orm import Session, aliased

from api.db.models import AuditEvent, Membership, Review, Submission
from api.domain.actors import Actor
from api.domain.names import Role
from api.domain.states import OPEN_REVIEW_STATES, ReviewKind, ReviewState

IS_MAIN = Review.kind == ReviewKind.MAIN
"""The student's own review, and none of the reads beside it."""


def held_reads(actor: Actor) -> Select[UUID]:
    """Ids of the submissions whose clips somebody reads beside the answer now."""
    return select(Review.submission_id).where(
        Review.kind != ReviewKind.MAIN,
        Review.state == ReviewState.CLAIMED,
        Review.claimed_by == actor.membership_id,
    )


def out_of_sight(actor: Actor) -> Select[UUID]:
    """Ids of the submissions that a coach does not see while they hold a read beside an answer."""
    held, read, hidden = aliased(Review), aliased(Submission), aliased(Submission)
    return (
        select(hidden.id)
        .join(
            read,
            and_(
                read.academy_id == hidden.academy_id,
                read.student_id == hidden.student_id,
                read.id <= hidden.id,
            ),
        )
        .join(held, held.submission_id == read.id)
        .where(
            held.kind != ReviewKind.MAIN,
            held.state == ReviewState.CLAIMED,
            held.claimed_by == actor.membership_id,
        )
    )


def may_see(actor: Actor) -> ColumnElement[bool]:
    """Which reviews of the academy exist for a coach or an admin.

    An admin's list has them all; no answer of a read is in it. For a coach: what they had last, the students' own, questions
    that are put to them and opinions that were given, and blind reads that they may make. Not what colleagues gave on a
    review while a question about it waits for the coach, whose own is to come first. A blind read that was
    committed is nobody's to open.
    """
    if actor.role == Role.ADMIN:
        return Review.academy_id == actor.academy_id
    mine = and_(
        Review.kind != ReviewKind.MAIN,
        Review.claimed_by == actor.membership_id,
        or_(
            Review.state != ReviewState.ANSWERED,
            Review.kind == ReviewKind.SECOND,
        ),
    )
    given = and_(
        Review.kind == ReviewKind.SECOND,
        Review.state == ReviewState.ANSWERED,
        Review.read_of_id.not_in(_asked_about(actor)),
    )
    free = and_(Review.state == ReviewState.WAITING, may_take(actor))
    others = and_(Review.submission_id.not_in(out_of_sight(actor)), or_(IS_MAIN, given, free))
    return or_(mine, others)


def may_take(actor: Actor) -> ColumnElement[bool]:
    """Which reviews a coach may take, as far as it depends on whose they are."""
    seen = Review.submission_id.not_in(out_of_sight(actor))
    return or_(
        and_(IS_MAIN, seen),
        and_(Review.kind == ReviewKind.SECOND, seen, _asked_of(actor, Review)),
        and_(Review.kind == ReviewKind.BLIND, seen, is_unread_by(actor)),
    )


def may_hold(actor: Actor) -> ColumnElement[bool]:
    """Whether a coach may go on with what they once took: a blind read only while it is blind."""
    return or_(Review.kind != ReviewKind.BLIND, is_unread_by(actor))


def _asked_of(actor: Actor, question: type[Review]) -> ColumnElement[bool]:
    """Put to this coach or to any; not by themself, nor while they hold the student's own review.

    ``question``: the reviews of the query, or an alias of them.
    """
    main = aliased(Review)
    holds_it = exists().where(
        main.id == question.read_of_id,
        main.state == ReviewState.CLAIMED,
        main.claimed_by == actor.membership_id,
    )
    return and_(
        or_(question.asked_of.is_(None), question.asked_of == actor.membership_id),
        question.asked_by != actor.membership_id,
        ~holds_it.correlate(question),
    )


def _asked_about(actor: Actor) -> Select[UUID | None]:
    """Ids of the reviews about which a question waits for a coach, by name or as any."""
    question = aliased(Review)
    return select(question.read_of_id).where(
        question.academy_id == actor.academy_id,
        question.kind == ReviewKind.SECOND,
        question.state == ReviewState.WAITING,
        _asked_of(actor, question),
    )


def is_to_form_an_opinion(session: Session, actor: Actor, review: Review) -> bool:
    """Whether a coach is to read these clips before they see what others made of them in this review.

    So of a review about which a question waits for them, by name or as any coach, and of an opinion or a blind read that
    somebody else began and left: whoever has read a first opinion writes the second one after it. Once they hold the
    question the review itself is out of their sight (``out_of_sight``); whoever holds the review sees it.
    """
    if actor.role != Role.COACH or review.state == ReviewState.ANSWERED:
        return False
    if review.kind != ReviewKind.MAIN:
        theirs = {None, actor.membership_id}
        return review.state == ReviewState.WAITING and review.drafted_by not in theirs
    waits = exists().where(Review.id == review.id, Review.id.in_(_asked_about(actor)))
    return session.scalar(select(waits)) is True


def is_unread_by(actor: Actor) -> ColumnElement[bool]:
    """Of a blind read: whether the coach's name is in no trail of these clips' answer, nor of later ones of the student.

    Whoever took a review stands in its trail, and so does whoever opened one (``note_look``).
    """
    touched, about, read = aliased(Review), aliased(Submission), aliased(Submission)
    trail = (
        select(AuditEvent.id)
        .join(touched, touched.id == AuditEvent.subject_id)
        .join(about, about.id == touched.submission_id)
        .join(read, and_(read.student_id == about.student_id, read.id <= about.id))
        .where(
            AuditEvent.subject_type == "review",
            AuditEvent.actor_id == actor.membership_id,
            touched.kind != ReviewKind.BLIND,
            read.id == Review.submission_id,
        )
        .correlate(Review)
    )
    return ~exists(trail)


def has_another_coach(session: Session, actor: Actor) -> bool:
    """Whether the academy has anybody besides this coach who could read."""
    others = exists().where(
        Membership.academy_id == actor.academy_id,
        Membership.role == Role.COACH,
        Membership.deactivated_at.is_(None),
        Membership.id != actor.membership_id,
    )
    return bool(session.scalar(select(others)))


def colleagues_of(session: Session, actor: Actor) -> list[Membership]:
    """The academy's other coaches who are still there, by name."""
    rows = session.scalars(
        select(Membership).where(
            Membership.academy_id == actor.academy_id,
            Membership.role == Role.COACH,
            Membership.deactivated_at.is_(None),
            Membership.id != actor.membership_id,
        )
    )
    return sorted(rows, key=lambda member: member.person.name.casefold())


def close_reads(session: Session, submission_id: UUID, *kinds: ReviewKind) -> list[UUID]:
    """End what nobody waits for any more; what was written in them stays. Returns which."""
    return list(
        session.scalars(
            update(Review)
            .where(
                Review.submission_id == submission_id,
                Review.kind.in_(kinds),
                Review.state.in_(OPEN_REVIEW_STATES),
            )
            .values(state=ReviewState.CLOSED.value, lease_ends_at=None, version=Review.version + 1)
            .returning(Review.id)
            .execution_options(synchronize_session=False)
        )
    )


def has_blind_read(session: Session, review_id: UUID) -> bool:
    """Whether one was opened for this review, whatever became of it."""
    mine = exists().where(Review.read_of_id == review_id, Review.kind == ReviewKind.BLIND)
    return bool(session.scalar(select(mine)))


def opinions_of(session: Session, review_id: UUID) -> list[Review]:
    """The second opinions that were asked for on a review, the newest first."""
    return list(
        session.scalars(
            select(Review)
            .where(Review.read_of_id == review_id, Review.kind == ReviewKind.SECOND)
            .order_by(Review.id.desc())
        )
    )

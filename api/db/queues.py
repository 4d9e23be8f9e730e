"""The queue as a coach's page lists it: rows with their reasons, filters, counts, and what changed.

Only columns are read here, never whole reviews: a submission brings its measurements with it.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from types import MappingProxyType
from typing import Any, Final
from uuid import UUID

from sqlalchemy import (
    ColumnElement,
    Row,
    Select,
    SQLColumnExpression,
    and_,
    case,
    exists,
    func,
    literal_column,
    not_,
    or_,
    select,
    true,
)
from sqlalchemy.orm import Session, aliased

from api.db.models import (
    Academy,
    Answer,
    Clip,
    DrillAssignment,
    Membership,
    Person,
    Review,
    Submission,
)
from api.db.models.reviews import OPEN
from api.db.profiles import sent_by_a_child
from api.db.queue_order import DUE_FIRST, HELD_FIRST, NEWEST_FIRST, QueueSpot
from api.db.reviews import free_to_take, reviews_visible_to
from api.db.second_reads import IS_MAIN, may_take
from api.db.words import lowered
from api.domain.actors import Actor
from api.domain.names import Role
from api.domain.queues import PROMISE_REASONS, Drafted, Promise, QueueFilters, QueueName, Reason
from api.domain.states import ReviewKind, ReviewState, SubmissionState

CHANGES_LOOKED_AT = 64
"""How many of the newest changes a look compares: more at once are told as "look at everything"."""
MAX_CLUBS = 60
_LISTED_NOTE = 200
_REACHED_A_COACH = [
    state.value
    for state in (
        SubmissionState.WAITING,
        SubmissionState.WITH_COACH,
        SubmissionState.ANSWERED,
        SubmissionState.REFILM_ASKED,
    )
]
_STUDENT: Final = aliased(Membership, name="student")
_IS_OPEN: Final[ColumnElement[bool]] = literal_column(f"reviews.{OPEN}")


@dataclass(frozen=True, slots=True)
class Drafter:
    """Who began a draft that lies with a waiting review, and whether their claim ran out."""

    id: UUID
    name: str
    lapsed: bool


@dataclass(frozen=True, slots=True)
class QueueItem:
    """A review as the queue lists it, with why it stands out, the weightiest first."""

    row: Row[Any]
    views: list[str]
    reasons: list[Reason]
    drills: list[str]
    """Ids of the drills that this clip may be the proof of."""
    holder: tuple[UUID, str] | None
    """Who has it; somebody whose lease lapsed is not its holder."""
    lapsed_from: tuple[UUID, str] | None
    drafter: Drafter | None
    asker: tuple[UUID, str] | None
    """Who asks for a second opinion."""


@dataclass(frozen=True, slots=True)
class Looked:
    """One coach's look at a queue, at one moment."""

    session: Session
    actor: Actor
    queue: QueueName
    filters: QueueFilters
    promise: Promise

    @property
    def now(self) -> datetime:
        """The moment."""
        return self.promise.now


def promise_of(session: Session, actor: Actor, now: datetime) -> Promise:
    """The academy's promise."""
    hours = session.scalars(select(Academy.promise_hours).where(Academy.id == actor.academy_id))
    return Promise(timedelta(hours=hours.one()), now)


# ---------------------------------------------------------------- what is in a queue


def _in_queue(queue: QueueName, actor: Actor, now: datetime) -> ColumnElement[bool]:
    if queue is QueueName.ANSWERED:
        return and_(IS_MAIN, Review.state == ReviewState.ANSWERED)
    if queue is QueueName.WAITING:
        theirs = true() if actor.role == Role.ADMIN else may_take(actor)
        return and_(_IS_OPEN, free_to_take(now), theirs)
    if queue is QueueName.CLAIMED:
        held = and_(Review.state == ReviewState.CLAIMED, Review.lease_ends_at > now)
        return and_(_IS_OPEN, held)
    mine = Review.claimed_by == actor.membership_id
    return and_(_IS_OPEN, Review.state == ReviewState.CLAIMED, mine)


def _arrival() -> Any:  # noqa: ANN401 - a scalar subquery
    """When the first of a submission's clips arrived: what was under way before proves nothing."""
    return (
        select(func.min(Clip.received_at))
        .where(Clip.submission_id == Submission.id, Clip.replaced_at.is_(None))
        .correlate(Submission)
        .scalar_subquery()
    )


def _last_answer() -> Any:  # noqa: ANN401 - a scalar subquery
    """The answer that ``api.services.proof`` would hold a submission's clips against."""
    earlier = aliased(Submission)
    return (
        select(Answer.id)
        .join(earlier, earlier.id == Answer.submission_id)
        .where(
            earlier.academy_id == Submission.academy_id,
            earlier.student_id == Submission.student_id,
            earlier.id != Submission.id,
            Answer.recalled_at.is_(None),
            Answer.sent_at < _arrival(),
        )
        .order_by(Answer.sent_at.desc(), Answer.id.desc())
        .limit(1)
        .correlate(Submission)
        .scalar_subquery()
    )


def _is_proof() -> ColumnElement[bool]:
    given = exists().where(
        DrillAssignment.answer_id == _last_answer(), DrillAssignment.withdrawn_at.is_(None)
    )
    return and_(
        # Cheap, and mostly no: only who has drills is asked for their last answer.
        exists().where(
            DrillAssignment.student_id == Submission.student_id,
            DrillAssignment.withdrawn_at.is_(None),
        ),
        given,
    )


def _is_first_clip() -> ColumnElement[bool]:
    earlier = aliased(Submission)
    return ~exists().where(
        earlier.student_id == Submission.student_id,
        earlier.id < Submission.id,
        earlier.state.in_(_REACHED_A_COACH),
    )


CONDITIONS: Mapping[Reason, Callable[[], ColumnElement[bool]]] = MappingProxyType(
    {
        Reason.CHILD: sent_by_a_child,
        Reason.SECOND_OPINION: lambda: Review.kind == ReviewKind.SECOND,
        Reason.FILMED_AGAIN: lambda: Submission.refilm_asked_at.is_not(None),
        Reason.PROOF: _is_proof,
        Reason.FIRST_CLIP: _is_first_clip,
        Reason.DRAFT_LEFT: lambda: and_(
            Review.state == ReviewState.WAITING, Review.drafted_by.is_not(None)
        ),
        Reason.BLIND_READ: lambda: Review.kind == ReviewKind.BLIND,
    }
)
"""When a reason holds for a review that is open. A new reason is one line here."""


def _of_the_promise(promise: Promise) -> dict[Reason, ColumnElement[bool]]:
    """Each of them alone: what is late is not due soon as well.

    Only of what has no answer yet: nobody waits for a correction of one that stands. Promised is the student's own
    answer only.
    """
    found: dict[Reason, ColumnElement[bool]] = {}
    sooner: ColumnElement[bool] = and_(IS_MAIN, Review.answered_at.is_(None))
    for reason, share in PROMISE_REASONS:
        by = promise.due_by(share)
        found[reason] = and_(sooner, Review.due_at <= by)
        sooner = Review.due_at > by
    return found


def _conditions(promise: Promise) -> dict[Reason, ColumnElement[bool]]:
    return _of_the_promise(promise) | {reason: make() for reason, make in CONDITIONS.items()}


def _searched(actor: Actor, words: Iterable[str]) -> Iterable[ColumnElement[bool]]:
    fields = [Person.name, func.coalesce(Submission.club_name, "")]
    if actor.role == Role.COACH:  # a note may speak of health; running an academy does not need it
        fields.append(Submission.note)
    for word in words:
        yield or_(*(lowered(field).contains(word, autoescape=True) for field in fields))


def _narrowed(look: Looked) -> Iterable[ColumnElement[bool]]:
    filters = look.filters
    yield from _searched(look.actor, filters.words)
    if filters.view is not None:
        yield exists().where(
            Clip.submission_id == Submission.id,
            Clip.replaced_at.is_(None),
            Clip.view == filters.view,
        )
    if filters.purpose is not None:
        yield Submission.purpose == filters.purpose
    if filters.club is not None:
        named = Submission.club_name == filters.club
        yield named if filters.club else Submission.club_name.is_(None)
    if filters.reason is not None:
        yield _IS_OPEN
        yield _conditions(look.promise)[filters.reason]
    if filters.drafted is not None:
        mine = func.coalesce(Review.drafted_by == look.actor.membership_id, False)
        yield mine if filters.drafted is Drafted.MINE else not_(mine)


def _rows(look: Looked, *columns: Any) -> Select[Any]:  # noqa: ANN401 - whichever are read
    return (
        reviews_visible_to(look.actor)
        .with_only_columns(*columns)
        .select_from(Review)
        .join(Submission, Submission.id == Review.submission_id)
        .join(_STUDENT, _STUDENT.id == Submission.student_id)
        .join(Person, Person.id == _STUDENT.person_id)
        .where(_in_queue(look.queue, look.actor, look.now), *_narrowed(look))
    )


# ---------------------------------------------------------------- pages


def queue_page(
    look: Looked,
    *,
    after: QueueSpot | None,
    limit: int,
    only: Collection[UUID] = (),
) -> list[QueueItem]:
    """Items of the queue, what is due first first, corrections last; the answered ones newest first.

    ``only``: of these, those that are in it; the way to follow changes without reading it all again.
    """
    rows = _rows(
        look,
        Review.id,
        Review.submission_id,
        Review.state,
        Review.due_at,
        Review.claimed_by,
        Review.lease_ends_at,
        Review.drafted_by,
        Review.answered_at,
        Review.kind,
        Review.asked_by,
        Review.question,
        func.coalesce(Submission.received_at, Review.created_at).label("waiting_since"),
        Submission.club_name,
        Submission.purpose,
        func.substr(Submission.note, 1, _LISTED_NOTE).label("note"),
        Person.name.label("student_name"),
    )
    if only:
        rows = rows.where(Review.id.in_(only))
    if after is not None:
        rows = rows.where(_beyond(look.queue, after))
    found = look.session.execute(rows.order_by(*_order(look.queue)).limit(limit)).all()
    return _items(look, found)


def _order(queue: QueueName) -> tuple[SQLColumnExpression[Any], ...]:
    if queue is QueueName.ANSWERED:
        return NEWEST_FIRST
    return DUE_FIRST if queue is QueueName.WAITING else HELD_FIRST


def _beyond(queue: QueueName, spot: QueueSpot) -> ColumnElement[bool]:
    if queue is QueueName.ANSWERED:
        return spot.older()
    return spot.due_after() if queue is QueueName.WAITING else spot.held_after()


def next_in_queue(look: Looked) -> UUID | None:
    """What is due first of a queue as it is narrowed."""
    found: UUID | None = look.session.scalar(_rows(look, Review.id).order_by(*DUE_FIRST).limit(1))
    return found


def _items(look: Looked, rows: Sequence[Row[Any]]) -> list[QueueItem]:
    views = _views(look.session, [row.submission_id for row in rows])
    reasons = _reasons(look, rows)
    drills = _drills(look, [id_ for id_, found in reasons.items() if Reason.PROOF in found])
    acted = (one for row in rows for one in (row.claimed_by, row.drafted_by, row.asked_by))
    coaches = {one for one in acted if one is not None}
    names = _names(look.session, coaches)
    return [
        QueueItem(
            row=row,
            views=views.get(row.submission_id, []),
            reasons=reasons[row.id],
            drills=drills.get(row.id, []),
            holder=_claimant(row, names, held=True),
            lapsed_from=_claimant(row, names, held=False),
            drafter=_drafter(row, names),
            asker=None if row.asked_by is None else (row.asked_by, names[row.asked_by]),
        )
        for row in rows
    ]


def _claimant(row: Row[Any], names: Mapping[UUID, str], *, held: bool) -> tuple[UUID, str] | None:
    if row.claimed_by is None or (row.state != ReviewState.WAITING) != held:
        return None
    return row.claimed_by, names[row.claimed_by]


def _drafter(row: Row[Any], names: Mapping[UUID, str]) -> Drafter | None:
    if row.drafted_by is None or row.state != ReviewState.WAITING:
        return None
    return Drafter(row.drafted_by, names[row.drafted_by], row.claimed_by is not None)


def _views(session: Session, submission_ids: Collection[UUID]) -> dict[UUID, list[str]]:
    found: dict[UUID, list[str]] = {}
    clips = select(Clip.submission_id, Clip.view).where(
        Clip.submission_id.in_(submission_ids), Clip.replaced_at.is_(None)
    )
    for submission_id, view in session.execute(clips.order_by(Clip.id)):
        found.setdefault(submission_id, []).append(view)
    return found


def _names(session: Session, members: Collection[UUID]) -> dict[UUID, str]:
    rows = session.execute(
        select(Membership.id, Person.name)
        .join(Person, Person.id == Membership.person_id)
        .where(Membership.id.in_(members))
    )
    return {member: name for member, name in rows}  # noqa: C416 - rows are not pairs to mypy


def _reasons(look: Looked, rows: Sequence[Row[Any]]) -> dict[UUID, list[Reason]]:
    """One query for all rows; nothing is urgent about what has been answered."""
    found: dict[UUID, list[Reason]] = {row.id: [] for row in rows}
    if look.queue is QueueName.ANSWERED or not rows:
        return found
    asked = select(Review.id, *(make().label(reason) for reason, make in CONDITIONS.items()))
    asked = asked.join(Submission, Submission.id == Review.submission_id)
    seen = {row.id: row for row in look.session.execute(asked.where(Review.id.in_(found)))}
    for row in rows:
        promised = row.kind == ReviewKind.MAIN and row.answered_at is None
        of_clock = look.promise.reason(row.due_at) if promised else None
        holds = {reason for reason in CONDITIONS if getattr(seen[row.id], reason)}
        found[row.id] = [reason for reason in Reason if reason in holds or reason == of_clock]
    return found


def _drills(look: Looked, review_ids: Collection[UUID]) -> dict[UUID, list[str]]:
    found: dict[UUID, list[str]] = {}
    if not review_ids:
        return found
    rows = look.session.execute(
        select(Review.id, DrillAssignment.drill)
        .join(Submission, Submission.id == Review.submission_id)
        .join(DrillAssignment, DrillAssignment.answer_id == _last_answer())
        .where(Review.id.in_(review_ids), DrillAssignment.withdrawn_at.is_(None))
        .order_by(DrillAssignment.id)
    )
    for review_id, drill in rows:
        found.setdefault(review_id, []).append(drill)
    return found


# ---------------------------------------------------------------- counts


def queue_counts(session: Session, actor: Actor, now: datetime) -> dict[str, int]:
    """How many reviews each queue holds, unnarrowed."""
    open_ones = [queue for queue in QueueName if queue is not QueueName.ANSWERED]
    row = session.execute(
        reviews_visible_to(actor)
        .with_only_columns(*(_sum_of(_in_queue(one, actor, now)).label(one) for one in open_ones))
        .where(_IS_OPEN)
    ).one()
    answered = session.scalar(
        reviews_visible_to(actor)
        .with_only_columns(func.count())
        .where(_in_queue(QueueName.ANSWERED, actor, now))
    )
    return {one.value: getattr(row, one) for one in open_ones} | {"answered": answered or 0}


def found_and_late(look: Looked) -> tuple[int, int]:
    """How many the narrowed queue holds, and how many of them are late."""
    late = _sum_of(and_(IS_MAIN, Review.answered_at.is_(None), Review.due_at <= look.now))
    found, late_ones = look.session.execute(_rows(look, func.count(), late)).one()
    return found, 0 if look.queue is QueueName.ANSWERED else late_ones


def _sum_of(condition: ColumnElement[bool]) -> ColumnElement[int]:
    return func.coalesce(func.sum(case((condition, 1), else_=0)), 0)


@dataclass(frozen=True, slots=True)
class FilterCounts:
    """How many items each choice of a filter would leave, with the other filters as they are."""

    views: dict[str, int]
    purposes: dict[str, int]
    clubs: dict[str, int]
    """Empty name: no club was named. The commonest, when there are very many."""
    reasons: dict[str, int]
    drafted: dict[str, int]


def filter_counts(look: Looked) -> FilterCounts:
    """For the filters of the page."""
    clubs = replace(look, filters=replace(look.filters, club=None))
    club = func.coalesce(Submission.club_name, "")
    views = replace(look, filters=replace(look.filters, view=None))
    clip = aliased(Clip)  # the filter by view asks for clips too
    seen = _rows(views, clip.view, func.count()).join(
        clip, and_(clip.submission_id == Submission.id, clip.replaced_at.is_(None))
    )
    purposes = replace(look, filters=replace(look.filters, purpose=None))
    commonest = _rows(clubs, club, func.count()).group_by(literal_column("1"))
    return FilterCounts(
        views=_pairs(look, seen.group_by(clip.view)),
        purposes=_pairs(
            look, _rows(purposes, Submission.purpose, func.count()).group_by(Submission.purpose)
        ),
        clubs=_pairs(
            look, commonest.order_by(func.count().desc(), literal_column("1")).limit(MAX_CLUBS)
        ),
        reasons=_reason_counts(replace(look, filters=replace(look.filters, reason=None))),
        drafted=_drafted_counts(replace(look, filters=replace(look.filters, drafted=None))),
    )


def _pairs(look: Looked, rows: Select[Any]) -> dict[str, int]:
    return {str(value): count for value, count in look.session.execute(rows)}


def _reason_counts(look: Looked) -> dict[str, int]:
    if look.queue is QueueName.ANSWERED:
        return {reason.value: 0 for reason in Reason}
    conditions = _conditions(look.promise)
    sums = [_sum_of(conditions[reason]).label(reason) for reason in Reason]
    row = look.session.execute(_rows(look, *sums)).one()
    return {reason.value: getattr(row, reason) for reason in Reason}


def _drafted_counts(look: Looked) -> dict[str, int]:
    mine = _sum_of(Review.drafted_by == look.actor.membership_id)
    all_of_them, drafted = look.session.execute(_rows(look, func.count(), mine)).one()
    return {Drafted.MINE.value: drafted, Drafted.NOT_MINE.value: all_of_them - drafted}


# ---------------------------------------------------------------- what changed

Seen = Mapping[UUID, tuple[object, ...]]


def newest_changes(session: Session, actor: Actor) -> Seen:
    """The reviews of the academy that changed last, each with what a row of the queue shows of it.

    Not the newest time alone: a transaction that began earlier may commit later, and its change
    would never be the newest. One query along an index, however long the queue is.
    """
    rows = session.execute(
        reviews_visible_to(actor)
        .with_only_columns(
            Review.id,
            Review.state,
            Review.due_at,
            Review.claimed_by,
            Review.drafted_by,
            Review.lease_ends_at,
            Review.version,
        )
        .order_by(Review.changed_at.desc())
        .limit(CHANGES_LOOKED_AT)
    )
    return {row.id: _shown_of(row) for row in rows}


def _shown_of(row: Any) -> tuple[object, ...]:  # noqa: ANN401 - a row of the look
    ends = row.lease_ends_at
    return (
        row.state,
        row.due_at,
        row.claimed_by,
        row.drafted_by,
        # Leases are shown to the minute, and every keystroke of a draft prolongs one.
        None if ends is None else ends.replace(second=0, microsecond=0),
        # While it waits, only a clip that was measured counts it up.
        row.version if row.state == ReviewState.WAITING else None,
    )


def changed_between(before: Seen, after: Seen) -> list[UUID] | None:
    """Which rows are others than before, None when there may be more than were looked at."""
    changed = [id_ for id_, shown in after.items() if before.get(id_) != shown]
    return None if len(changed) >= CHANGES_LOOKED_AT else changed

"""Coaches' corrections in the answers that stood at a moment, beside what the coaches left alone.

Only what can no longer change is read: an answer counts from when it was sent until it is called back, and
the rows that say so stay. Asked about the same moment later, the outcome is the same.
"""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from sqlalchemy import ColumnElement, Row, Select, and_, case, exists, func, or_, select
from sqlalchemy.orm import Session, aliased

from api.db.models import Analysis, Answer, Clip, Reading, Submission
from api.db.readings import COACH, MACHINE
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.corrections import RATE_LIMIT, Correction, Group, RateClass
from api.domain.names import View

_MACHINE = aliased(Reading, name="machine")
_COACH = aliased(Reading, name="coach")
_RATE = case(
    (
        Analysis.measurement["clip"]["frame_rate"].as_float() < RATE_LIMIT,
        RateClass.UNDER_45.value,
    ),
    else_=RateClass.FROM_45.value,
)
_RATE_CLASS = "rate_class"
_GROUP = (_MACHINE.checkpoint, Clip.view, _RATE_CLASS, Analysis.pipeline_version)
"""The rate by its label: its expression holds parameters, which PostgreSQL takes for others each time."""
_MOVABLE = frozenset(
    checkpoint.id.value
    for checkpoint in CHECKPOINTS.values()
    if checkpoint.points and not checkpoint.moment
)
"""A coach who agrees can only be told from one who could do nothing where there is something to move."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which corrections: of one academy's answers that stood at ``moment``; narrowed where not ``None``."""

    academy_id: UUID
    moment: datetime
    pipeline: str | None = None
    view: View | None = None


@dataclass(slots=True)
class Seen:
    """The corrections by group, the newest answers' first, and how many readings coaches left alone."""

    corrections: dict[Group, list[Correction]] = field(default_factory=dict)
    left_alone: Counter[Group] = field(default_factory=Counter)


def corrections_seen(session: Session, asked: Asked) -> Seen:
    """What coaches changed, by group, with what they left alone in groups where they changed anything."""
    seen = Seen()
    for row in session.execute(
        _answered(asked)
        .add_columns(
            (_MACHINE.value - _COACH.value).label("difference"),
            _MACHINE.sigma.label("machine_sigma"),
            _COACH.sigma.label("coach_sigma"),
        )
        .where(_COACH.value.is_not(None))
        .order_by(Answer.sent_at.desc(), _MACHINE.id)
    ):
        one = Correction(row.difference, row.machine_sigma, row.coach_sigma)
        seen.corrections.setdefault(_group(row), []).append(one)
    if seen.corrections:
        checkpoints = {group.checkpoint.value for group in seen.corrections}
        seen.left_alone = _left_alone(session, asked, checkpoints)
    return seen


def _left_alone(session: Session, asked: Asked, checkpoints: Collection[str]) -> Counter[Group]:
    rows = session.execute(
        _answered(asked)
        .add_columns(func.count().label("readings"))
        .where(_COACH.id.is_(None), _MACHINE.checkpoint.in_(_MOVABLE.intersection(checkpoints)))
        .group_by(*_GROUP)
    )
    return Counter({_group(row): row.readings for row in rows})


def _answered(asked: Asked) -> Select[str, str, str, str]:
    """The machine's readings in answers that stood, each with the coach's that replaced it, if any."""
    rows = (
        select(
            _MACHINE.checkpoint.label("checkpoint"),
            Clip.view.label("view"),
            _RATE.label(_RATE_CLASS),
            Analysis.pipeline_version.label("pipeline"),
        )
        .select_from(Answer)
        .join(Submission, Submission.id == Answer.submission_id)
        .join(Clip, Clip.submission_id == Submission.id)
        .join(Analysis, Analysis.clip_id == Clip.id)
        .join(_MACHINE, and_(_MACHINE.analysis_id == Analysis.id, _MACHINE.source == MACHINE))
        .outerjoin(_COACH, _replaced_it())
        .where(
            Submission.academy_id == asked.academy_id,
            Answer.sent_at < asked.moment,
            or_(Answer.recalled_at.is_(None), Answer.recalled_at > asked.moment),
            ~_corrected_by(asked.moment),
            or_(Clip.replaced_at.is_(None), Clip.replaced_at > Answer.sent_at),
            Analysis.created_at < Answer.sent_at,
            _MACHINE.value.is_not(None),
        )
    )
    if asked.pipeline is not None:
        rows = rows.where(Analysis.pipeline_version == asked.pipeline)
    return rows if asked.view is None else rows.where(Clip.view == asked.view.value)


def _corrected_by(moment: datetime) -> ColumnElement[bool]:
    """Whether a corrected answer had taken its place then: told by when each was sent and called back."""
    later = aliased(Answer, name="later")
    return exists().where(
        later.review_id == Answer.review_id,
        later.number > Answer.number,
        later.sent_at < moment,
        or_(later.recalled_at.is_(None), later.recalled_at > moment),
    )


def _replaced_it() -> ColumnElement[bool]:
    """The coach's reading of the same answer: made before it was sent, and not retired by then.

    What is made while an answer stands is of its correction.
    """
    return and_(
        _COACH.supersedes_id == _MACHINE.id,
        _COACH.source == COACH,
        _COACH.review_id == Answer.review_id,
        or_(_COACH.retired_at.is_(None), _COACH.retired_at > Answer.sent_at),
        _COACH.created_at <= Answer.sent_at,
    )


def _group(row: Row[str, str, str, str]) -> Group:
    return Group(
        CheckpointId(row.checkpoint), View(row.view), RateClass(row.rate_class), row.pipeline
    )

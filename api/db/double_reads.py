"""Blind reads that were committed, beside the answers that they were read after."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from api.db.models import Academy, Answer, Clip, Review
from api.domain.states import OPEN_REVIEW_STATES, ReviewKind, ReviewState


@dataclass(frozen=True, slots=True)
class TwiceRead:
    """What an answer told and what its blind reader committed. ``views``: of the clips, by id."""

    answer: dict[str, Any]
    blind: dict[str, Any]
    views: dict[str, str]


def share_of(session: Session, academy_id: UUID) -> float:
    """How many of the academy's answers are read again, 0 to 1."""
    share = select(Academy.double_read_share).where(Academy.id == academy_id)
    return session.scalars(share).one()


def twice_read(session: Session, academy_id: UUID) -> Iterator[TwiceRead]:
    """Each committed blind read with the answer as it was first sent, unless that was called back for good."""
    rows = session.execute(
        select(Review.submission_id, Review.committed, Answer.content)
        .join(Answer, Answer.review_id == Review.read_of_id)
        .where(
            Review.academy_id == academy_id,
            Review.kind == ReviewKind.BLIND,
            Review.state == ReviewState.ANSWERED,
            Answer.recalled_at.is_(None),
            Answer.corrects_number.is_(None),
        )
        .order_by(Review.id)
    ).all()
    views = _views(session, [row.submission_id for row in rows])
    for row in rows:
        yield TwiceRead(row.content, row.committed, views[row.submission_id])


def _views(session: Session, submission_ids: list[UUID]) -> dict[UUID, dict[str, str]]:
    found: dict[UUID, dict[str, str]] = {one: {} for one in submission_ids}
    clips = select(Clip.submission_id, Clip.id, Clip.view)
    for submission_id, clip_id, view in session.execute(
        clips.where(Clip.submission_id.in_(submission_ids))
    ):
        found[submission_id][str(clip_id)] = view
    return found


def count_reads(session: Session, academy_id: UUID) -> tuple[int, int]:
    """How many blind reads are open, and how many were committed."""
    rows = session.execute(
        select(Review.state, func.count())
        .where(Review.academy_id == academy_id, Review.kind == ReviewKind.BLIND)
        .group_by(Review.state)
    )
    counted = {ReviewState(state): count for state, count in rows}
    waiting = sum(counted.get(state, 0) for state in OPEN_REVIEW_STATES)
    return waiting, counted.get(ReviewState.ANSWERED, 0)

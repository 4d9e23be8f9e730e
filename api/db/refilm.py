"""New films asked for, as the student was told."""

from collections.abc import Sequence
from uuid import UUID

from sqlalchemy import select
from sqlalchemy.orm import Session

from api.db.models import Membership, Person, RefilmRequest


def newest_requests(
    session: Session, submission_ids: Sequence[UUID]
) -> dict[UUID, tuple[RefilmRequest, str]]:
    """The newest request of each submission that has one, with the name of who asked."""
    if not submission_ids:
        return {}
    rows = session.execute(
        select(RefilmRequest, Person.name)
        .join(Membership, Membership.id == RefilmRequest.asked_by)
        .join(Person, Person.id == Membership.person_id)
        .where(RefilmRequest.submission_id.in_(submission_ids))
        .order_by(RefilmRequest.id)
    )
    return {request.submission_id: (request, name) for request, name in rows}

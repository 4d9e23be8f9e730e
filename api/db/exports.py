"""A copy of everything about one place: which rows it holds, and when it goes again."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from enum import Enum
from typing import Any
from uuid import UUID

from sqlalchemy import or_, select, update
from sqlalchemy.orm import Session

from api.db.looks import LOOKED_INTO
from api.db.models import (
    AuditEvent,
    ConsentRecord,
    DataExport,
    Guardianship,
    Membership,
    Reading,
    Review,
)
from api.db.rows_of import Rows, rows_of_person, rows_of_place, table_of
from api.domain.states import ExportState, ReviewKind

_SECRET_OR_OURS = frozenset(
    {
        "token_sha256",
        "csrf_token",
        "metadata_header",
        "changed_at",
        "fence",
        "request_sha256",
        "p256dh",
        "auth",
    }
)
_NOT_COPIED = frozenset(
    {
        "marks",
        "overlay_points",
        "idempotency_keys",
        "sign_in_links",
        "mails",
        "push_messages",
        "queue_views",
        "jobs",
    }
)
"""Points and moments are in the answers' own readings; the rest is links and bookkeeping of requests."""
_NOT_TOLD = (LOOKED_INTO, *(f"review.opinion_{what}" for what in ("asked", "given", "withdrawn")))
"""Acts on a student's review that speak of what is read beside it."""
_DRAFT = "draft"

Plain = dict[str, Any]


def exports_of(session: Session, membership_id: UUID) -> Sequence[DataExport]:
    """Copies of a place that were asked for, newest first."""
    return session.scalars(
        select(DataExport)
        .where(DataExport.about_id == membership_id)
        .order_by(DataExport.id.desc())
    ).all()


def data_of(session: Session, membership_id: UUID) -> Plain:
    """Everything about a place, by table, as JSON can hold it. Unsent drafts are the coach's, not the student's.

    So are second opinions and blind reads, of which no student is ever told; an erasure takes them away all the same.
    """
    member = session.get_one(Membership, membership_id)
    rows = rows_of_place(session, membership_id)
    for name, ids in rows_of_person(session, member.person_id).items():
        rows[name] |= ids
    _leave_reads_out(session, rows)
    tables = {
        name: _rows(session, name, ids)
        for name, ids in sorted(rows.items())
        if ids and name not in _NOT_COPIED
    }
    return {
        "schema": "fairlead.person/1",
        "academy": member.academy.name,
        "role": member.role,
        "joined_at": member.created_at.isoformat(),
        "person": _rows(session, "people", {member.person_id})[0],
        "consents": [_consent(row) for row in _consents(session, membership_id)],
        "guardians": _guardians(session, membership_id),
        "acts": _acts(session, membership_id, rows),
        "tables": tables,
    }


def _leave_reads_out(session: Session, rows: Rows) -> None:
    """Take what is read beside an answer out of what is copied, with the readings made there."""
    beside = select(Review.id).where(Review.kind != ReviewKind.MAIN)
    reads = set(session.scalars(beside.where(Review.id.in_(rows["reviews"]))))
    theirs = select(Reading.id).where(Reading.review_id.in_(reads))
    rows["reviews"] -= reads
    rows["readings"] -= set(session.scalars(theirs))


def _rows(session: Session, name: str, ids: set[UUID]) -> list[Plain]:
    table = table_of(name)
    left_out = {
        column.name
        for column in table.columns
        if column.name in _SECRET_OR_OURS or column.name.startswith(_DRAFT)
    }
    found = session.execute(select(table).where(table.c.id.in_(ids)).order_by(table.c.id))
    return [
        {key: _json(value) for key, value in row.items() if key not in left_out}
        for row in found.mappings()
    ]


def _json(value: object) -> object:
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, UUID):
        return str(value)
    return value.value if isinstance(value, Enum) else value


def _consents(session: Session, membership_id: UUID) -> Sequence[ConsentRecord]:
    mine = or_(ConsentRecord.student_id == membership_id, ConsentRecord.given_by == membership_id)
    return session.scalars(select(ConsentRecord).where(mine).order_by(ConsentRecord.id)).all()


def _consent(row: ConsentRecord) -> Plain:
    return {
        "for": str(row.student_id),
        "by": str(row.given_by),
        "decision": row.decision,
        "decided_at": row.decided_at.isoformat(),
        "from_address": row.source,
        "withdrawn_at": _json(row.withdrawn_at),
        "text": row.text.body,
        "text_version": row.text.version,
        "text_sha256": row.text.sha256,
    }


def _guardians(session: Session, membership_id: UUID) -> list[Plain]:
    """A child's guardians; of a guardian their own entries, without the child's name."""
    mine = or_(Guardianship.child_id == membership_id, Guardianship.guardian_id == membership_id)
    return [
        {
            "child": str(row.child_id),
            "name": row.name,
            "email": row.email,
            "named_at": row.created_at.isoformat(),
            "came_in_at": _json(row.accepted_at),
            "ended_at": _json(row.ended_at),
        }
        for row in session.scalars(select(Guardianship).where(mine).order_by(Guardianship.id))
    ]


def _acts(session: Session, membership_id: UUID, rows: Mapping[str, set[UUID]]) -> list[Plain]:
    """What the audit trail says of the person and of what is theirs: what, when, by whom in words."""
    about = {membership_id}.union(*rows.values())
    found: dict[UUID, AuditEvent] = {}
    ordered = sorted(about)
    for start in range(0, len(ordered), 500):
        of_these = AuditEvent.subject_id.in_(ordered[start : start + 500])
        told = AuditEvent.act.not_in(_NOT_TOLD)
        for event in session.scalars(select(AuditEvent).where(of_these, told)):
            found[event.id] = event
    for event in session.scalars(select(AuditEvent).where(AuditEvent.actor_id == membership_id)):
        found[event.id] = event
    actors = {event.actor_id for event in found.values()} - {None}
    seen = session.execute(select(Membership.id, Membership.role).where(Membership.id.in_(actors)))
    roles = {row.id: row.role for row in seen}
    return [
        {
            "at": event.at.isoformat(),
            "act": event.act,
            "by": _by(event, membership_id, roles),
            "about": str(event.subject_id),
        }
        for _, event in sorted(found.items())
    ]


def _by(event: AuditEvent, membership_id: UUID, roles: Mapping[UUID, str]) -> str:
    if event.actor_id is None:
        return "the service"
    if event.actor_id == membership_id:
        return "this person"
    role = roles.get(event.actor_id, "somebody")
    return {"admin": "the office", "coach": "a coach", "guardian": "a guardian"}.get(role, role)


def ready(session: Session, export_id: UUID, *, size: int, now: datetime, until: datetime) -> None:
    """The file is there. Nothing to say where the wish is gone meanwhile."""
    session.execute(
        update(DataExport)
        .where(DataExport.id == export_id, DataExport.state == ExportState.ASKED.value)
        .values(state=ExportState.READY.value, ready_at=now, expires_at=until, bytes=size)
    )


def failed(session: Session, export_id: UUID) -> None:
    """It could not be made, in sight of who asked."""
    session.execute(
        update(DataExport)
        .where(DataExport.id == export_id, DataExport.state == ExportState.ASKED.value)
        .values(state=ExportState.FAILED.value)
    )


def exports_over(session: Session, now: datetime) -> Sequence[UUID]:
    """Copies whose time is over and whose files are still there."""
    return session.scalars(
        select(DataExport.id).where(
            DataExport.state == ExportState.READY.value, DataExport.expires_at <= now
        )
    ).all()


def gone(session: Session, export_id: UUID) -> None:
    """The file is deleted."""
    session.execute(
        update(DataExport).where(DataExport.id == export_id).values(state=ExportState.GONE.value)
    )

"""Erasing everything about one place, once and completely, however often it is begun.

Files go first and rows afterwards in one transaction: who is killed in between finds the rows again, and
deletes files that are gone already without a word.
"""

import json
from collections.abc import Collection, Iterable
from datetime import datetime
from uuid import UUID

from sqlalchemy import delete, exists, or_, select, update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.models import (
    ConsentRecord,
    Erasure,
    Guardianship,
    IdempotencyKey,
    Invitation,
    Job,
    Mail,
    Membership,
    Person,
)
from api.db.profiles import end_guardianship
from api.db.rows_of import Rows, delete_rows, rows_of_person, rows_of_place

NOBODY = "Erased person"


def erasure_due(session: Session, erasure_id: UUID) -> Erasure | None:
    """The erasure if it is still to be carried out."""
    return session.scalars(
        select(Erasure)
        .where(
            Erasure.id == erasure_id,
            Erasure.confirmed_at.is_not(None),
            Erasure.called_back_at.is_(None),
            Erasure.done_at.is_(None),
        )
        .with_for_update()
        .execution_options(populate_existing=True)
    ).one_or_none()


def under_way(session: Session, membership_id: UUID) -> Erasure | None:
    """A wish that was neither carried out nor called back."""
    return session.scalars(
        select(Erasure).where(
            Erasure.about_id == membership_id,
            Erasure.done_at.is_(None),
            Erasure.called_back_at.is_(None),
        )
    ).one_or_none()


def erase_rows(session: Session, erasure_id: UUID, now: datetime) -> None:
    """Take every row about the place away, and the name from what law and others' work need kept.

    The place itself stays, closed and with nobody's name at it: acts in the audit trail lead to it. A person
    with places at other academies keeps their account there, and so the name, the address and the clubs.
    """
    erasure = erasure_due(session, erasure_id)
    if erasure is None:
        return
    member = session.get_one(Membership, erasure.about_id)
    person = member.person
    rows = rows_of_place(session, member.id)
    last_place = not session.scalar(
        select(exists().where(Membership.person_id == person.id, Membership.id != member.id))
    )
    end_guardianship(session, member.id, now)
    _take_names_away(session, member, now)
    _forget_mails(session, member, person, last_place=last_place)
    _forget_repeats(session, member, person)
    session.execute(
        delete(Invitation).where(
            Invitation.academy_id == member.academy_id, Invitation.email == person.email
        )
    )
    gone = delete_rows(session, rows)
    _forget_jobs(session, rows)
    _leave_nobody(session, member, person, last_place=last_place, now=now)
    erasure.done_at = now
    erasure.token_sha256 = None
    record(
        session,
        "person.erased",
        "membership",
        member.id,
        academy_id=member.academy_id,
        after={"rows": gone, "account": last_place},
    )
    session.flush()


def _take_names_away(session: Session, member: Membership, now: datetime) -> None:
    """Consents stay as proof of what was agreed to, without where from; guardianships without who."""
    mine = or_(ConsentRecord.student_id == member.id, ConsentRecord.given_by == member.id)
    session.execute(update(ConsentRecord).where(mine).values(source=""))
    session.execute(
        update(Guardianship)
        .where(or_(Guardianship.child_id == member.id, Guardianship.guardian_id == member.id))
        .values(name="", email="", token_sha256=None)
    )
    session.execute(
        update(Guardianship)
        .where(Guardianship.guardian_id == member.id, Guardianship.ended_at.is_(None))
        .values(ended_at=now)
    )


def _forget_mails(
    session: Session, member: Membership, person: Person, *, last_place: bool
) -> None:
    """Mails to the address, with their jobs; of one that is still used elsewhere, those that went out."""
    mails = select(Mail.id).where(Mail.to_address == person.email)
    if not last_place:
        mails = mails.where(Mail.sent_at.is_not(None))
    ids = set(session.scalars(mails)) | set(
        session.scalars(select(Mail.id).where(Mail.about_id == member.id))
    )
    _delete_all(session, ids, Job, Job.subject_id)
    _delete_all(session, ids, Mail, Mail.id)


def _forget_repeats(session: Session, member: Membership, person: Person) -> None:
    """First answers kept for repeated requests, of anybody in the academy, that tell of the person."""
    tells = {person.email, person.name, str(member.id)}
    rows = session.execute(
        select(IdempotencyKey.id, IdempotencyKey.response)
        .join(Membership, Membership.id == IdempotencyKey.membership_id)
        .where(Membership.academy_id == member.academy_id)
    )
    ids = {
        row.id
        for row in rows
        if any(one in json.dumps(row.response, ensure_ascii=False) for one in tells)
    }
    _delete_all(session, ids, IdempotencyKey, IdempotencyKey.id)


def _forget_jobs(session: Session, rows: Rows) -> None:
    every: set[UUID] = set().union(*rows.values()) if rows else set()
    _delete_all(session, every, Job, Job.subject_id)


def _delete_all(session: Session, ids: Collection[UUID], model: type, column: object) -> None:
    for some in _portions(ids):
        session.execute(
            delete(model).where(column.in_(some)).execution_options(synchronize_session=False)  # type: ignore[attr-defined]  # a column of the model
        )


def _portions(ids: Iterable[UUID]) -> Iterable[list[UUID]]:
    ordered = sorted(ids)
    for start in range(0, len(ordered), 500):
        yield ordered[start : start + 500]


def _leave_nobody(
    session: Session, member: Membership, person: Person, *, last_place: bool, now: datetime
) -> None:
    nobody = Person(email=f"{member.id}@erased.invalid", name=NOBODY)
    session.add(nobody)
    session.flush()
    member.person = nobody
    member.deactivated_at = member.deactivated_at or now
    session.flush()
    if last_place:
        delete_rows(session, rows_of_person(session, person.id))
        session.delete(person)
        session.flush()

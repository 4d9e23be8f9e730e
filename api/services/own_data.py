"""A copy of one's data, and having it erased: asked for by the person or, for a child, by the guardian."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.consents import is_being_erased, standing_of
from api.db.erasures import under_way
from api.db.exports import exports_of
from api.db.jobs import enqueue
from api.db.mails import Matter, queue_mail
from api.db.models import ConsentRecord, DataExport, Erasure, Guardianship, Membership
from api.db.people import place_of
from api.db.profiles import profile_of
from api.db.stopping import CONSENT, ERASURE, end_jobs, let_go_on, stop_student
from api.domain.actors import Actor
from api.domain.consent import BEING_ERASED, Consent, Decision
from api.domain.errors import Conflict, LinkSpent, NotFound
from api.domain.names import Role
from api.domain.notices import MailKind
from api.domain.secrets import digest, new_secret
from api.domain.states import ExportState
from api.domain.tasks import TaskName
from api.services.letters_home import erasure_letter
from api.settings import Settings


@dataclass(frozen=True, slots=True)
class Confirmed:
    """An erasure that will be carried out at ``due_at``, of ``name`` at ``academy``."""

    due_at: datetime
    name: str
    academy: str


def ask_export(session: Session, actor: Actor, membership_id: UUID) -> DataExport:
    """Have a worker make a copy. One that is being made already is given again.

    Raises ``Conflict`` (``being_erased``).
    """
    place_of(session, actor, membership_id)
    _refuse_while_erased(session, membership_id)
    for row in exports_of(session, membership_id):
        if row.state == ExportState.ASKED:
            return row
    row = DataExport(about_id=membership_id, asked_by=actor.membership_id)
    session.add(row)
    session.flush()
    enqueue(session, TaskName.EXPORT_DATA, row.id)
    after = {"about": str(membership_id)}
    record(session, "copy.asked", "data_export", row.id, actor=actor, after=after)
    return row


def list_exports(session: Session, actor: Actor, membership_id: UUID) -> Sequence[DataExport]:
    """Copies that were asked for, newest first."""
    place_of(session, actor, membership_id)
    return exports_of(session, membership_id)


def ask_erasure(
    session: Session, settings: Settings, actor: Actor, membership_id: UUID, now: datetime
) -> Erasure:
    """Mail the link that confirms it: to the person, for a child with a guardian to the guardian.

    Asking again before it is confirmed sends a fresh link. Raises ``Conflict``: ``being_erased`` once it was
    confirmed, ``still_guardian`` for a guardian on whose consent a child's clips rest.
    """
    member = place_of(session, actor, membership_id)
    _refuse_while_erased(session, membership_id)
    if member.role == Role.GUARDIAN:
        _refuse_guardian_in_need(session, member, now)
    row = under_way(session, membership_id)
    if row is None:
        row = Erasure(
            about_id=membership_id,
            asked_by=actor.membership_id,
            link_expires_at=now + settings.erasure_link_lasts,
        )
        session.add(row)
    token = new_secret()
    row.token_sha256 = digest(token)
    row.link_expires_at = now + settings.erasure_link_lasts
    session.flush()
    _mail_link(session, settings, member, token, now)
    after = {"about": str(membership_id)}
    record(session, "erasure.asked", "erasure", row.id, actor=actor, after=after)
    return row


def _mail_link(
    session: Session, settings: Settings, member: Membership, token: str, now: datetime
) -> None:
    guardianship = (
        standing_of(session, member.id, now).guardianship if member.role == Role.STUDENT else None
    )
    to, whose = member.person, f"your data at {member.academy.name}"
    if guardianship is not None and guardianship.guardian_id is not None:
        to = session.get_one(Membership, guardianship.guardian_id).person
        whose = f"the data of {member.person.name} at {member.academy.name}"
    days = settings.erasure_grace.days
    letter = erasure_letter(settings.base_url, token, name=to.name, whose=whose, days=days)
    queue_mail(session, to.email, letter.subject, letter.body, Matter(MailKind.ERASURE, member.id))


def confirm_erasure(session: Session, settings: Settings, token: str, now: datetime) -> Confirmed:
    """Use the mailed link: everything stops and is hidden now, and is erased when the grace is over.

    Not before every worker that holds something of it has noticed: a job's lease is the least. Raises
    ``LinkSpent``.
    """
    wait = max(settings.erasure_grace, settings.job_lease)
    confirmed = session.scalar(
        update(Erasure)
        .where(
            Erasure.token_sha256 == digest(token),
            Erasure.confirmed_at.is_(None),
            Erasure.called_back_at.is_(None),
            Erasure.link_expires_at > now,
        )
        .values(confirmed_at=now, due_at=now + wait, token_sha256=None)
        .returning(Erasure.id)
    )
    if confirmed is None:
        raise LinkSpent(
            "This link has been used, has expired, or a newer one has replaced it. Ask for a new one on "
            "the page About me."
        )
    row = session.get_one(Erasure, confirmed, populate_existing=True)
    member = session.get_one(Membership, row.about_id)
    if member.role == Role.STUDENT:
        stop_student(session, member.id, ERASURE, now)
    copies = select(DataExport.id).where(DataExport.about_id == member.id)
    end_jobs(session, TaskName.EXPORT_DATA, copies)
    job = enqueue(session, TaskName.ERASE_PERSON, row.id)
    job.available_at = now + wait
    session.flush()
    record(
        session,
        "erasure.confirmed",
        "erasure",
        row.id,
        academy_id=member.academy_id,
        after={"about": str(member.id), "due_at": (now + wait).isoformat()},
    )
    return Confirmed(now + wait, member.person.name, member.academy.name)


def call_back(session: Session, actor: Actor, membership_id: UUID, now: datetime) -> None:
    """Stop an erasure before it is carried out. What ended with its confirmation stays ended.

    Raises ``NotFound`` when none is under way.
    """
    place_of(session, actor, membership_id)
    stopped = session.scalar(
        update(Erasure)
        .where(
            Erasure.about_id == membership_id,
            Erasure.done_at.is_(None),
            Erasure.called_back_at.is_(None),
        )
        .values(called_back_at=now, token_sha256=None)
        .returning(Erasure.id)
    )
    if stopped is None:
        raise NotFound("No erasure is under way.")
    record(session, "erasure.called_back", "erasure", stopped, actor=actor)
    profile = profile_of(session, membership_id)
    if profile is None or profile.stopped_because != ERASURE:
        return
    let_go_on(session, membership_id)
    if _consent_is_gone(session, membership_id, now):
        stop_student(session, membership_id, CONSENT, now)


def _consent_is_gone(session: Session, student_id: UUID, now: datetime) -> bool:
    standing = standing_of(session, student_id, now)
    gone = {Consent.REFUSED, Consent.WITHDRAWN, Consent.GUARDIAN_ASKED, Consent.GUARDIAN_MISSING}
    return standing.consent in gone


def erasure_of(session: Session, actor: Actor, membership_id: UUID) -> Erasure | None:
    """The erasure that is under way, if one is."""
    place_of(session, actor, membership_id)
    return under_way(session, membership_id)


def _refuse_while_erased(session: Session, membership_id: UUID) -> None:
    if is_being_erased(session, membership_id):
        raise Conflict(BEING_ERASED.to_student, code=BEING_ERASED.code)


def _refuse_guardian_in_need(session: Session, guardian: Membership, now: datetime) -> None:
    theirs = session.scalars(
        select(Guardianship.child_id).where(
            Guardianship.guardian_id == guardian.id, Guardianship.ended_at.is_(None)
        )
    )
    for child_id in theirs:
        standing = standing_of(session, child_id, now)
        if _in_force(standing.record):
            raise Conflict(
                "Your child's clips rest on your consent. Withdraw it first, or have your child's data "
                "erased; then your own account can go.",
                code="still_guardian",
            )


def _in_force(row: ConsentRecord | None) -> bool:
    return row is not None and row.decision == Decision.GIVEN and row.withdrawn_at is None

"""What somebody chose about notices, and whether one may go now: looked at when it is made and again when it is sent."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time
from uuid import UUID

from sqlalchemy import exists, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from api.db.consents import is_being_erased
from api.db.jobs import bring_forward
from api.db.mails import held_mails
from api.db.models import Guardianship, Membership, NoticeChoices, Submission
from api.db.profiles import profile_of
from api.db.push import held_messages
from api.domain.names import Role
from api.domain.notices import NOTICES, WAITS, LeftOut, MailKind
from api.domain.quiet_hours import QuietHours
from api.domain.states import SubmissionState
from api.domain.tasks import TaskName

_STILL_SO: dict[MailKind, frozenset[SubmissionState]] = {
    MailKind.ANSWERED: frozenset({SubmissionState.ANSWERED}),
    MailKind.FILM_AGAIN: frozenset({SubmissionState.REFILM_ASKED}),
    MailKind.REPLIED: frozenset(SubmissionState) - {SubmissionState.WITHDRAWN},
}
"""In which state of the clips a notice still says how things are."""


@dataclass(frozen=True, slots=True)
class Notice:
    """What a notice tells: its kind, to whom, of which submission, and of which child where a guardian gets it."""

    kind: MailKind
    to_id: UUID
    submission_id: UUID | None = None
    child_id: UUID | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """It waits until ``until``: quiet hours."""

    until: datetime


def choices_of(session: Session, membership_id: UUID) -> NoticeChoices | None:
    """What somebody chose, if anything."""
    return session.scalars(
        select(NoticeChoices).where(NoticeChoices.membership_id == membership_id)
    ).one_or_none()


def choices_to_change(session: Session, membership_id: UUID) -> NoticeChoices:
    """The choices, locked until the transaction ends; made now where there are none."""
    query = (
        select(NoticeChoices)
        .where(NoticeChoices.membership_id == membership_id)
        .with_for_update()
        .execution_options(populate_existing=True)
    )
    found = session.scalars(query).one_or_none()
    if found is not None:
        return found
    try:
        with session.begin_nested():
            session.add(NoticeChoices(membership_id=membership_id, mail_off=[], push_off=[]))
    except IntegrityError:  # another request made them a moment ago
        pass
    return session.scalars(query).one()


def zone_of(session: Session, member: Membership) -> str:
    """The zone somebody lives in: a student's own of their profile, else what was chosen, else the academy's."""
    if member.role == Role.STUDENT:
        profile = profile_of(session, member.id)
        own = None if profile is None else profile.time_zone
    else:
        choices = choices_of(session, member.id)
        own = None if choices is None else choices.time_zone
    return own or member.academy.time_zone


def quiet_hours_of(session: Session, member: Membership) -> QuietHours | None:
    """When somebody's notices wait, if ever."""
    choices = choices_of(session, member.id)
    if choices is None or choices.quiet_from is None or choices.quiet_to is None:
        return None
    return QuietHours(
        time.fromisoformat(choices.quiet_from),
        time.fromisoformat(choices.quiet_to),
        zone_of(session, member),
    )


def comes_by_mail(session: Session, membership_id: UUID, kind: MailKind) -> bool:
    """Whether somebody gets mails of a kind."""
    choices = choices_of(session, membership_id)
    return kind not in NOTICES or choices is None or kind.value not in choices.mail_off


def reason_to_leave_out(session: Session, notice: Notice) -> LeftOut | None:
    """Why a notice must not go, by mail or otherwise, whatever was chosen; ``None`` where it may."""
    member = session.get_one(Membership, notice.to_id)
    if member.deactivated_at is not None or is_being_erased(session, notice.to_id):
        return LeftOut.PLACE_CLOSED
    if notice.kind is MailKind.CHILD_WRITTEN_TO and not _answers_for(session, notice):
        return LeftOut.PLACE_CLOSED
    allowed = _STILL_SO.get(notice.kind)
    if allowed is None or notice.submission_id is None:
        return None
    state = session.scalar(select(Submission.state).where(Submission.id == notice.submission_id))
    return LeftOut.OVERTAKEN if state is None or SubmissionState(state) not in allowed else None


def _answers_for(session: Session, notice: Notice) -> bool:
    still = exists().where(
        Guardianship.child_id == notice.child_id,
        Guardianship.guardian_id == notice.to_id,
        Guardianship.ended_at.is_(None),
    )
    return bool(session.scalar(select(still)))


def held(session: Session, notice: Notice, now: datetime) -> Held | None:
    """Whether a notice has to wait now, and until when."""
    if notice.kind not in WAITS:
        return None
    quiet = quiet_hours_of(session, session.get_one(Membership, notice.to_id))
    until = None if quiet is None else quiet.over_at(now)
    return None if until is None else Held(until)


def look_again(session: Session, membership_id: UUID) -> None:
    """After choices or a zone have changed: what was held is looked at again at once, by the new ones."""
    bring_forward(session, TaskName.SEND_MAIL, held_mails(session, membership_id))
    bring_forward(session, TaskName.SEND_PUSH, held_messages(session, membership_id))


def comes_by_push(session: Session, membership_id: UUID, kind: MailKind) -> bool:
    """Whether somebody's browsers show a kind of notice, where they show any."""
    choices = choices_of(session, membership_id)
    return choices is None or kind.value not in choices.push_off


def kinds_off(session: Session, membership_id: UUID) -> Sequence[MailKind]:
    """Kinds that do not come by mail, in their order."""
    return [kind for kind in NOTICES if not comes_by_mail(session, membership_id, kind)]

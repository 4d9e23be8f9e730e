"""Consent: who reads which text, says what to it, and what that allows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.consents import Standing, audience_of, consents_for, standing_of, text_in_force
from api.db.models import ConsentRecord, ConsentText, Membership
from api.db.notices import Notice
from api.db.people import place_of
from api.db.profiles import profile_of
from api.db.stopping import CONSENT, let_go_on, stop_student
from api.domain.actors import Actor
from api.domain.ages import Age
from api.domain.consent import (
    BEING_ERASED,
    REFUSALS,
    Consent,
    Decision,
    may_be_answered,
    may_send_clips,
)
from api.domain.errors import Conflict, NotAllowed, NotFound
from api.domain.names import Role
from api.domain.notices import MailKind
from api.services.letters_home import consent_decided_letter
from api.services.notices import tell

USUAL_LOCALE = "en"
NOT_AGREED_YET = (
    "You have not agreed yet. Read the text on your child's page and decide; then clips are taken."
)


@dataclass(frozen=True, slots=True)
class Told:
    """Where a student's consent stands, with the text that is asked about and who must answer."""

    standing: Standing
    text: ConsentText
    is_mine_to_give: bool


def check_may_send(session: Session, actor: Actor, student_id: UUID, now: datetime) -> None:
    """Raise ``Conflict`` with a code of ``api.domain.consent`` when no clip may be taken of a student.

    ``actor``: who sends it, the student or their guardian.
    """
    standing = standing_of(session, student_id, now)
    if standing.being_erased:
        raise Conflict(BEING_ERASED.to_student, code=BEING_ERASED.code)
    if not may_send_clips(standing.consent):
        refusal = REFUSALS[standing.consent]
        mine = actor.role is Role.GUARDIAN and standing.consent is Consent.GUARDIAN_ASKED
        raise Conflict(NOT_AGREED_YET if mine else refusal.to_student, code=refusal.code)


def check_may_be_answered(session: Session, student_id: UUID, now: datetime) -> None:
    """Raise ``Conflict`` when nothing of a coach's may go to the student."""
    standing = standing_of(session, student_id, now)
    if standing.being_erased:
        raise Conflict(BEING_ERASED.to_coach, code=BEING_ERASED.code)
    if not may_be_answered(standing.consent, standing.age):
        refusal = REFUSALS[standing.consent]
        raise Conflict(refusal.to_coach, code=refusal.code)


def told(session: Session, actor: Actor, student_id: UUID, locale: str, now: datetime) -> Told:
    """Where consent stands, and the text in force."""
    standing = standing_of(session, student_id, now)
    text = text_in_force(session, actor.academy_id, audience_of(standing.age), locale, now)
    return Told(standing, text, _may_decide(actor, student_id, standing))


def _may_decide(actor: Actor, student_id: UUID, standing: Standing) -> bool:
    if standing.age is Age.CHILD:
        guardianship = standing.guardianship
        return guardianship is not None and guardianship.guardian_id == actor.membership_id
    return standing.age is Age.ADULT and actor.membership_id == student_id


def decide(
    session: Session,
    actor: Actor,
    student_id: UUID,
    *,
    text_id: UUID,
    decision: Decision,
    source: str,
    base_url: str,
    now: datetime,
) -> ConsentRecord:
    """Agree to the text in force, or refuse. Saying the same of the same text again is harmless.

    Raises ``Conflict``: ``age_unknown`` before the age is known, ``text_replaced`` when another text is in
    force by now; ``NotAllowed`` (``guardian_decides``) when a child would decide.
    """
    member = place_of(session, actor, student_id)
    standing = standing_of(session, student_id, now)
    _check_decider(actor, student_id, standing)
    text = session.get(ConsentText, text_id)
    in_force = text_in_force(
        session, actor.academy_id, audience_of(standing.age), USUAL_LOCALE, now
    )
    if text is None or text.academy_id not in {None, actor.academy_id}:
        raise NotFound("There is no such text.")
    if (text.audience, text.version) != (in_force.audience, in_force.version):
        raise Conflict(
            "Another text is in force by now. Load the page again and read that one.",
            code="text_replaced",
        )
    last = standing.record
    if _says_the_same(last, text, decision) and last is not None:
        return last
    row = ConsentRecord(
        student_id=student_id,
        given_by=actor.membership_id,
        guardianship_id=None if standing.guardianship is None else standing.guardianship.id,
        text_id=text.id,
        decision=decision.value,
        decided_at=now,
        source=source,
    )
    session.add(row)
    session.flush()
    after = {"student_id": str(student_id), "text_id": str(text.id), "version": text.version}
    record(session, f"consent.{decision.value}", "consent", row.id, actor=actor, after=after)
    _carry_out(session, student_id, standing, decision, now)
    _tell_child(session, member, standing, base_url, now, given=decision is Decision.GIVEN)
    return row


def _says_the_same(last: ConsentRecord | None, text: ConsentText, decision: Decision) -> bool:
    return (
        last is not None
        and last.withdrawn_at is None
        and (last.decision, last.text.version) == (decision.value, text.version)
    )


def _check_decider(actor: Actor, student_id: UUID, standing: Standing) -> None:
    if standing.age is Age.UNKNOWN:
        refusal = REFUSALS[Consent.AGE_UNKNOWN]
        raise Conflict(refusal.to_student, code=refusal.code)
    if standing.being_erased:
        raise Conflict(BEING_ERASED.to_student, code=BEING_ERASED.code)
    if not _may_decide(actor, student_id, standing):
        raise NotAllowed("This is for the guardian to decide.", code="guardian_decides")


def _carry_out(
    session: Session, student_id: UUID, standing: Standing, decision: Decision, now: datetime
) -> None:
    """A yes lets a stopped student go on; a no stops what an earlier yes had begun."""
    profile = profile_of(session, student_id)
    if decision is Decision.REFUSED and standing.record is not None:
        stop_student(session, student_id, CONSENT, now)
    elif decision is Decision.GIVEN and profile is not None and profile.stopped_at is not None:
        let_go_on(session, student_id)


def withdraw(
    session: Session, actor: Actor, student_id: UUID, *, base_url: str, now: datetime
) -> ConsentRecord:
    """Take a consent back; again is harmless. Everything of the student stops (``api.db.stopping``).

    A child may stop it too: nobody is filmed against their will. Raises ``Conflict`` (``nothing_to_withdraw``)
    when there is no consent.
    """
    member = place_of(session, actor, student_id)
    standing = standing_of(session, student_id, now)
    row = standing.record
    if row is None or row.decision != Decision.GIVEN:
        raise Conflict("There is no consent to withdraw.", code="nothing_to_withdraw")
    if row.withdrawn_at is None:
        row.withdrawn_at = now
        row.withdrawn_by = actor.membership_id
        session.flush()
        after = {"student_id": str(student_id)}
        record(session, "consent.withdrawn", "consent", row.id, actor=actor, after=after)
        stop_student(session, student_id, CONSENT, now)
        _tell_child(session, member, standing, base_url, now, given=False)
    return row


def _tell_child(
    session: Session,
    member: Membership,
    standing: Standing,
    base_url: str,
    now: datetime,
    *,
    given: bool,
) -> None:
    if standing.age is not Age.CHILD:
        return
    person = member.person
    letter = consent_decided_letter(base_url, person.name, given=given)
    tell(session, Notice(MailKind.CONSENT_DECIDED, member.id), letter, now)


def history(session: Session, actor: Actor, student_id: UUID) -> Sequence[ConsentRecord]:
    """Everything that was said for a student, newest first, as the student, guardian or office reads it."""
    place_of(session, actor, student_id)
    return consents_for(session, student_id)

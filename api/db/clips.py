"""Clips: who may see which, and what was measured on them."""

from uuid import UUID

from sqlalchemy import Select, and_, false, or_, select
from sqlalchemy.orm import Session

from api.db.models import Analysis, Clip, Membership, Submission
from api.db.second_reads import held_reads
from api.db.submissions import seen_by
from api.domain.actors import Actor
from api.domain.errors import NotFound
from api.domain.names import Role
from api.domain.states import SubmissionState


def clips_visible_to(actor: Actor) -> Select[Clip]:
    """Where every read of clips starts.

    A student sees their own, a guardian their children's, a coach the academy's, an admin none: running an
    academy needs no look at anybody's body. What a coach reads beside an answer is seen nowhere else, and its clips are what
    they read.
    """
    seen = or_(and_(*seen_by(actor)), Submission.id.in_(held_reads(actor)))
    rows = select(Clip).join(Clip.submission).where(seen)
    return rows if may_see_clips(actor) else rows.where(false())


def may_see_clips(actor: Actor) -> bool:
    """Whether the role sees pictures and measurements at all (of what it may see)."""
    return actor.role in {Role.STUDENT, Role.GUARDIAN, Role.COACH}


def clip_of(session: Session, actor: Actor, submission_id: UUID, clip_id: UUID) -> Clip:
    """A clip that counts for a submission, else ``NotFound``."""
    clip = session.scalars(
        clips_visible_to(actor).where(
            Clip.id == clip_id, Clip.submission_id == submission_id, Clip.replaced_at.is_(None)
        )
    ).one_or_none()
    if clip is None:
        raise NotFound("There is no such clip in this submission.")
    return clip


def sent_before(
    session: Session, student: Membership, length: int, sha256: str | None
) -> Clip | None:
    """The newest of a student's clips with so many bytes, and of that very content where a hash is given.

    Of submissions that were taken back none counts: sending it anew is what one then wants.
    """
    rows = (
        select(Clip)
        .join(Clip.submission)
        .where(
            Submission.academy_id == student.academy_id,
            Submission.student_id == student.id,
            Submission.state != SubmissionState.WITHDRAWN,
            Clip.bytes == length,
        )
        .order_by(Clip.id.desc())
        .limit(1)
    )
    return session.scalars(rows if sha256 is None else rows.where(Clip.sha256 == sha256)).first()


def current_clips(submission: Submission) -> list[Clip]:
    """The clips that count: those not filmed again."""
    return [clip for clip in submission.clips if clip.replaced_at is None]


def current_analysis(clip: Clip) -> Analysis | None:
    """What the newest pipeline made of the clip."""
    return clip.analyses[-1] if clip.analyses else None

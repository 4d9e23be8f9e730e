"""What the coaches of an academy have taught the machine, so far and before a clip was measured."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.corrections import Asked, Seen, corrections_seen
from api.db.models import Analysis
from api.domain.actors import Actor
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.corrections import Group, Learnt, learn, rate_class
from api.domain.names import View

_KEPT = "learnt_before"


@dataclass(frozen=True, slots=True)
class Lesson:
    """A group of corrections and what they teach; nothing yet where they are too few."""

    group: Group
    learnt: Learnt


def list_lessons(session: Session, actor: Actor, now: datetime) -> list[Lesson]:
    """Every group in which a coach of the caller's academy corrected something.

    What was answered last with the newest pipeline comes first; within a pipeline the checkpoints in their
    usual order.
    """
    learnt = _learnt(corrections_seen(session, Asked(actor.academy_id, now)))
    pipelines = list(dict.fromkeys(group.pipeline for group in learnt))
    checkpoints = list(CHECKPOINTS)
    ordered = sorted(
        learnt,
        key=lambda group: (
            pipelines.index(group.pipeline),
            checkpoints.index(group.checkpoint),
            group.view,
            group.rate,
        ),
    )
    return [Lesson(group, learnt[group]) for group in ordered]


def learnt_before(
    session: Session, academy_id: UUID, view: View, analysis: Analysis
) -> Mapping[CheckpointId, Learnt]:
    """What the academy's corrections taught of each number by the time a clip was measured.

    Later corrections say nothing of it: what a coach has begun to work on does not move, and an answer reads
    tomorrow as it does today. Only numbers of which something was learnt are there. Looked up once in a
    session: a desk asks for the same clip's several times over, and the past does not change.
    """
    kept: dict[UUID, Mapping[CheckpointId, Learnt]] = session.info.setdefault(_KEPT, {})
    if analysis.id not in kept:
        kept[analysis.id] = _learnt_before(session, academy_id, view, analysis)
    return kept[analysis.id]


def _learnt_before(
    session: Session, academy_id: UUID, view: View, analysis: Analysis
) -> dict[CheckpointId, Learnt]:
    asked = Asked(academy_id, analysis.created_at, analysis.pipeline_version, view)
    rate = rate_class(analysis.measurement["clip"]["frame_rate"])
    return {
        group.checkpoint: learnt
        for group, learnt in _learnt(corrections_seen(session, asked)).items()
        if group.rate is rate and learnt.teaches
    }


def _learnt(seen: Seen) -> dict[Group, Learnt]:
    return {
        group: learn(corrections, left_alone=seen.left_alone[group])
        for group, corrections in seen.corrections.items()
    }

"""Blind double reads: opened behind some of the answers that are sent, told to the academy's admin as figures alone."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.double_reads import count_reads, share_of, twice_read
from api.db.models import Review
from api.db.readings import MACHINE
from api.db.second_reads import has_another_coach, has_blind_read
from api.domain.actors import Actor
from api.domain.agreement import Agreement, agreement_of
from api.domain.checkpoint_ids import CheckpointId
from api.domain.double_reads import NO_PROMISE, is_picked
from api.domain.names import View
from api.domain.states import ReviewKind, ReviewState
from api.services.two_views import SHOWN_SWING


def open_blind_read(session: Session, actor: Actor, review: Review, secret: bytes) -> Review | None:
    """Have the clips of an answer that is being sent read again, if its lot is within the academy's share.

    Nothing is opened where nobody else could read, nor a second time when an answer was called back and is sent again.
    Who sends is not written into the read's own trail: its reader can see that.
    """
    share = share_of(session, actor.academy_id)
    if not is_picked(review.id, share, secret) or has_blind_read(session, review.id):
        return None
    if not has_another_coach(session, actor):
        return None
    blind = Review(
        academy_id=review.academy_id,
        submission_id=review.submission_id,
        state=ReviewState.WAITING.value,
        due_at=NO_PROMISE,
        kind=ReviewKind.BLIND.value,
        read_of_id=review.id,
    )
    session.add(blind)
    session.flush()
    record(session, "review.blind_opened", "review", blind.id, academy_id=review.academy_id)
    return blind


@dataclass(frozen=True, slots=True)
class Agreed:
    """How one number in one view was read twice. ``left_alone``: pairs in which neither coach changed the machine's."""

    checkpoint: CheckpointId
    view: View
    left_alone: int
    agreement: Agreement


@dataclass(frozen=True, slots=True)
class AgreementTold:
    """All figures of an academy, with how many blind reads are open and how many are committed."""

    share: float
    open: int
    committed: int
    items: list[Agreed]


Place = tuple[CheckpointId, View]


def agreement_told(session: Session, actor: Actor) -> AgreementTold:
    """Figures of the blind reads beside the answers that stood when nobody had spoken yet.

    A pair is the first answer of a chain of corrections (not called back) and the blind read: the same number, on the
    same measurement, of the shown swing of a clip, so that a clip counts once. Where either has none there is no pair.
    """
    pairs: dict[Place, list[tuple[float, float]]] = defaultdict(list)
    left_alone: dict[Place, int] = defaultdict(int)
    for twice in twice_read(session, actor.academy_id):
        first = _by_place(twice.answer["readings"])
        measured = set(twice.answer.get("findings", {}))
        same = {clip for clip, analysis in twice.blind["analyses"].items() if analysis in measured}
        for key, again in _by_place(twice.blind["readings"]).items():
            clip_id, checkpoint = key
            before = first.get(key)
            if before is None or clip_id not in same or clip_id not in twice.views:
                continue
            place = (CheckpointId(checkpoint), View(twice.views[clip_id]))
            pairs[place].append((before["value"], again["value"]))
            left_alone[place] += before["source"] == MACHINE and again["source"] == MACHINE
    order = list(CheckpointId)
    found = sorted(pairs, key=lambda place: (order.index(place[0]), place[1]))
    waiting, committed = count_reads(session, actor.academy_id)
    return AgreementTold(
        share=share_of(session, actor.academy_id),
        open=waiting,
        committed=committed,
        items=[Agreed(*place, left_alone[place], agreement_of(pairs[place])) for place in found],
    )


def _by_place(readings: list[Mapping[str, Any]]) -> dict[tuple[str, str], Mapping[str, Any]]:
    return {
        (one["clip_id"], one["checkpoint"]): one
        for one in readings
        if one["swing"] == SHOWN_SWING and one["value"] is not None
    }

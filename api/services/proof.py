"""What new clips say of the drills that the student's last answer gave."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.answers import drills_of, last_answer_before
from api.db.models import DrillAssignment, Submission
from api.domain.drill_library import DRILLS
from api.domain.drills import Drill
from api.domain.names import Purpose
from api.domain.proof import Part, Proof, Verdict, prove
from api.services.two_views import SwingShown, swing_shown

NO_STOP_ASKED = "It was sent as a full swing, and nobody has to stop in one."


def prove_last_drills(
    session: Session, submission: Submission, review_id: UUID | None
) -> dict[str, Any] | None:
    """Each drill of the last answer before these clips with the verdict on everything it asked.

    As answers keep it and as it is sent; ``None`` where there is nothing measured, no answer before,
    or no drill in it that a clip was asked to prove. A clip that was under way before the drills were given says nothing of them.
    """
    shown = swing_shown(session, submission, review_id)
    if not shown.clips:
        return None
    arrived = min(one.clip.received_at for one in shown.clips.values())
    answer = last_answer_before(session, submission, arrived)
    if answer is None:
        return None
    drills = [
        _drill(DRILLS[given.drill], given, shown, Purpose(submission.purpose))
        for given in drills_of(session, answer)
        if given.drill in DRILLS and given.dose.get("proof", True)
    ]
    if not drills:
        return None
    return {
        "answered_at": answer.sent_at.isoformat(),
        "coach_name": answer.content["coach_name"],
        "drills": drills,
    }


def proof_as_kept(kept: dict[str, Any] | None) -> dict[str, Any] | None:
    """The proof that an answer kept, as it is told now.

    Answers from before a place or a part was asked for are never rewritten: they asked for the value anywhere.
    """
    if kept is None:
        return None
    usual = {"part": Part.VALUE.value, "where": None}
    drills = [
        {**drill, "asked": [usual | one for one in drill["asked"]]} for drill in kept["drills"]
    ]
    return {**kept, "drills": drills}


def _drill(
    drill: Drill, given: DrillAssignment, shown: SwingShown, purpose: Purpose
) -> dict[str, Any]:
    asked = prove(drill, shown.readings, pause_s=_own_pause(drill, given), bands=shown.bands)
    return {
        "drill_id": drill.id,
        "name": drill.name,
        "next_clip": drill.next_clip,
        "asked": [_asked(one) for one in _fair(asked, purpose)],
    }


def _own_pause(drill: Drill, given: DrillAssignment) -> float | None:
    """The pause that the coach set, 0 for none. ``None`` where it is the drill's usual one.

    The desk fills in the usual dose, and the usual pause of a drill may be a breath at address, which
    is nothing to read: only a pause that the coach chose is asked of a drill that checks nothing.
    """
    pause_s = float(given.dose.get("pause_s") or 0.0)
    return None if pause_s == drill.dose.pause_s else pause_s


def _fair(asked: tuple[Proof, ...], purpose: Purpose) -> Iterator[Proof]:
    """A stop that is missing in a full swing is no failing; one that is there counts."""
    for one in asked:
        if one.of_a_stop and purpose is Purpose.FULL and one.verdict is not Verdict.MET:
            unseen = one.why if one.verdict is Verdict.NOT_SEEN else ""
            yield replace(one, verdict=Verdict.NOT_SEEN, why=unseen or NO_STOP_ASKED)
        else:
            yield one


def _asked(one: Proof) -> dict[str, Any]:
    return {
        "checkpoint": one.checkpoint.value,
        "part": one.part.value,
        "where": None if one.where is None else one.where.value,
        "unit": one.unit.value,
        "least": one.least,
        "most": one.most,
        "verdict": one.verdict.value,
        "why": one.why,
        "value": one.value,
        "low": one.low,
        "high": one.high,
    }

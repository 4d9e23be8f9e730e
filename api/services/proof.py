"""What new clips say of the drills that the student's last answer gave."""

from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.answers import drills_of, last_answer_before
from api.db.models import DrillAssignment, Submission
from api.domain.drill_library import DRILLS
from api.domain.drills import Drill
from api.domain.film_proof import ClipOfSwings, FilmProof, prove_film
from api.domain.names import Purpose
from api.domain.proof import Part
from api.services.two_views import SwingShown, swing_shown


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
        for given in drills_of(session, answer, given_before=arrived)
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

    Older answers are never rewritten: before a place or a part was asked for they asked for the value anywhere, and
    before every swing was read they read the first of each clip, and did not say which clip spoke.
    """
    if kept is None:
        return None
    usual = {"part": Part.VALUE.value, "where": None} | dict.fromkeys(
        ("view", "swing", "swings", "swings_met", "swings_unseen")
    )
    drills = [
        {**drill, "asked": [usual | one for one in drill["asked"]]} for drill in kept["drills"]
    ]
    return {**kept, "drills": drills}


def _drill(
    drill: Drill, given: DrillAssignment, shown: SwingShown, purpose: Purpose
) -> dict[str, Any]:
    asked = prove_film(
        drill,
        [ClipOfSwings(view, clip.every_swing) for view, clip in shown.clips.items()],
        purpose=purpose,
        pause_s=_asked_pause(given),
        bands=shown.bands,
    )
    return {
        "drill_id": drill.id,
        "name": drill.name,
        "next_clip": drill.next_clip,
        "asked": [_asked(one) for one in asked],
    }


def _asked_pause(given: DrillAssignment) -> float:
    """The pause that the answer gave, seconds, 0 for none: the desk fills in the drill's usual one."""
    return float(given.dose.get("pause_s") or 0.0)


def _asked(one: FilmProof) -> dict[str, Any]:
    proof = one.proof
    return {
        "checkpoint": proof.checkpoint.value,
        "part": proof.part.value,
        "where": None if proof.where is None else proof.where.value,
        "unit": proof.unit.value,
        "least": proof.least,
        "most": proof.most,
        "verdict": proof.verdict.value,
        "why": proof.why,
        "value": proof.value,
        "low": proof.low,
        "high": proof.high,
        "view": None if one.view is None else one.view.value,
        "swing": one.swing,
        "swings": one.swings,
        "swings_met": one.swings_met,
        "swings_unseen": one.swings_unseen,
    }

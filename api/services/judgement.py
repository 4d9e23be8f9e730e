"""Findings of a submission for the desk and for the answer, and what its coach said to them."""

from collections.abc import Sequence
from functools import partial
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.models import Clip, Review, Submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.findings import FINDINGS, find
from api.domain.judgement import Judged, Judgement, Standing, told, words_of
from api.domain.names import View
from api.services.readings import limits_of, measured_clips, of_swing, own_targets, told_of_clip
from api.services.two_views import SHOWN_SWING, finding_json, read_together


def findings_seen(
    session: Session, submission: Submission, review_id: UUID | None
) -> list[dict[str, Any]]:
    """What the readings that hold point to, the coach's corrections among them: one entry for each pattern.

    Of two clips the shown swings are read together. A pattern that other swings show as well says on which;
    one that only another swing shows stands with that swing's numbers. ``swings``: clip and swing of each.
    """
    found: dict[str, dict[str, Any]] = {}
    together = read_together(session, submission, review_id)
    if together is not None:
        places = [
            {"clip_id": place["clip_id"], "swing": place["swing"]}
            for place in together["read_from"]
        ]
        for one in together["findings"]:
            found[one["code"]] = {**one, "swings": list(places), "joined": True}
    own = own_targets(session, submission)
    for clip, analysis in measured_clips(submission):
        seen = told_of_clip(session, submission, clip, analysis, review_id, own)
        for swing in range(len(analysis.measurement["swings"])):
            if together is not None and swing == SHOWN_SWING:
                continue
            readings = of_swing(seen, swing)
            for finding in find(readings, bands=limits_of(own)):
                one = finding_json(finding, readings, partial(_view, clip))
                _add(found, {**one, "joined": False}, {"clip_id": str(clip.id), "swing": swing})
    return [
        {name: value for name, value in one.items() if name != "joined"} for one in found.values()
    ]


def _view(clip: Clip, checkpoint: CheckpointId) -> tuple[View, ...]:
    view = View(clip.view)
    return (view,) if view in CHECKPOINTS[checkpoint].views else ()


def _add(found: dict[str, dict[str, Any]], one: dict[str, Any], place: dict[str, Any]) -> None:
    known = found.get(one["code"])
    if known is None:
        found[one["code"]] = {**one, "swings": [place]}
    elif one["sure"] and not known["sure"] and not known["joined"]:
        # The clearest swing's numbers stand for the pattern, unless two views were read together.
        found[one["code"]] = {**one, "swings": [place, *known["swings"]]}
    else:
        known["swings"].append(place)


def judged_in(review: Review) -> list[Judged]:
    """What the draft says."""
    return [Judged.from_json(kept) for kept in review.draft_judgements]


def dismissed_in(judged: Sequence[Judged]) -> set[str]:
    """Codes of the patterns that the coach took away."""
    return {one.key for one in judged if one.verdict is Judgement.DISMISSED}


def findings_for_answer(session: Session, review: Review) -> list[dict[str, Any]]:
    """What the student is told, as answers keep it: the coach's word first, then what is clear, then what is open."""
    found = findings_seen(session, review.submission, review.id)
    standing = told(found, judged_in(review))
    return [_told_json(one) for one in sorted(standing, key=_rank)]


def _rank(one: Standing) -> int:
    return 0 if one.judged is not None else 2 if one.is_open else 1


def _told_json(one: Standing) -> dict[str, Any]:
    name, meaning = words_of(one)
    code = one.found["code"] if one.found else one.judged.code if one.judged else None
    return {
        "code": code,
        "name": name,
        "meaning": meaning,
        "caution": "" if code is None else FINDINGS[code].caution,
        "sure": one.found is not None and bool(one.found["sure"]),
        "judged": "open" if one.judged is None else one.judged.verdict.value,
        "seen_by_machine": one.found is not None,
        "words": "" if one.judged is None else one.judged.words,
        "because": [] if one.found is None else one.found["because"],
    }

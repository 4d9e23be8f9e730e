"""What two clips of one submission say together, from the readings that hold.

Of each clip its first swing is read: the one that the desk opens with and that the picture's lines show. Proof of
drills reads every swing (``api.services.proof``).
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.models import Clip, Submission
from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.domain.findings import FINDINGS, FindingCode, find
from api.domain.measurement import Finding, Missing, Reading
from api.domain.names import View
from api.domain.two_views import LIKE_SWINGS, Disagreement, Joined, Readings, join
from api.services.readings import (
    limits_of,
    measured_clips,
    of_swing,
    own_targets,
    told_of_clip,
)

SHOWN_SWING = 0
ViewsOf = Callable[[CheckpointId], tuple[View, ...]]


@dataclass(frozen=True, slots=True)
class ClipShown:
    """A measured clip with what holds of each swing on it, in their order."""

    clip: Clip
    every_swing: tuple[Readings, ...]

    @property
    def swings(self) -> int:
        """How many are on it."""
        return len(self.every_swing)

    @property
    def readings(self) -> Readings:
        """Of the shown swing."""
        return self.every_swing[SHOWN_SWING]

    @property
    def view(self) -> View:
        """Where its camera stood."""
        return View(self.clip.view)


@dataclass(frozen=True, slots=True)
class SwingShown:
    """The clips that count, by view, and the student's own bands that hold for their club."""

    clips: Mapping[View, ClipShown]
    bands: Mapping[CheckpointId, Bands]

    def views_of(self, checkpoint: CheckpointId) -> tuple[View, ...]:
        """The clips that a number was read on."""
        return tuple(
            view
            for view in CHECKPOINTS[checkpoint].views
            if view in self.clips and isinstance(self.clips[view].readings.get(checkpoint), Reading)
        )

    def joined(self) -> Joined:
        """Both clips together; needs both."""
        return join(
            self.clips[View.FACE_ON].readings,
            self.clips[View.DOWN_THE_LINE].readings,
            bands=self.bands,
        )


def swing_shown(session: Session, submission: Submission, review_id: UUID | None) -> SwingShown:
    """The measured clips with what is told of their shown swing. ``review_id``: whose corrections hold."""
    own = own_targets(session, submission)
    shown = {}
    for clip, analysis in measured_clips(submission):
        if not analysis.measurement["swings"]:
            continue
        told = told_of_clip(session, submission, clip, analysis, review_id, own)
        swings = len(analysis.measurement["swings"])
        every = tuple(of_swing(told, swing) for swing in range(swings))
        shown[View(clip.view)] = ClipShown(clip, every)
    return SwingShown(shown, limits_of(own))


def read_together(
    session: Session, submission: Submission, review_id: UUID | None
) -> dict[str, Any] | None:
    """Both views together as answers keep it and as it is sent; ``None`` without both."""
    shown = swing_shown(session, submission, review_id)
    if len(shown.clips) < len(View):
        return None
    joined = shown.joined()
    findings = find(joined.readings, bands=shown.bands)
    return {
        "words": LIKE_SWINGS,
        "read_from": [_place(one) for one in shown.clips.values()],
        "findings": [finding_json(one, joined.readings, shown.views_of) for one in findings],
        "disagreements": [_disagreement(one) for one in joined.disagreements],
    }


def without(together: dict[str, Any] | None, dismissed: set[str]) -> dict[str, Any] | None:
    """The same without the findings that a coach took away."""
    if together is None:
        return None
    kept = [one for one in together["findings"] if one["code"] not in dismissed]
    return {**together, "findings": kept}


def borne_out(measurement: dict[str, Any], together: Mapping[str, Any]) -> dict[str, Any]:
    """A clip's measurement where no finding of the shown swing is surer than both views together."""
    sure = {finding["code"] for finding in together["findings"] if finding["sure"]}
    swings = list(measurement["swings"])
    swings[SHOWN_SWING] = {
        **swings[SHOWN_SWING],
        "findings": [
            {**finding, "sure": finding["sure"] and finding["code"] in sure}
            for finding in swings[SHOWN_SWING]["findings"]
        ],
    }
    return {**measurement, "swings": swings}


def _place(shown: ClipShown) -> dict[str, Any]:
    return {
        "clip_id": str(shown.clip.id),
        "view": shown.view.value,
        "swing": SHOWN_SWING,
        "swings": shown.swings,
    }


def finding_json(finding: Finding, readings: Readings, views_of: ViewsOf) -> dict[str, Any]:
    """A finding with its words, what it rests on and the drills that serve it.

    ``views_of`` tells the clips that a number was read on.
    """
    code = FindingCode(finding.code)
    words = FINDINGS[code]
    return {
        "code": code.value,
        "name": words.name,
        "meaning": words.meaning,
        "caution": words.caution,
        "sure": finding.sure,
        "because": [_evidence(each, readings[each], views_of(each)) for each in finding.because],
        "drills": [
            {"id": drill.id, "name": drill.name}
            for drill in DRILLS.values()
            if code in drill.serves
        ],
    }


def _evidence(
    checkpoint: CheckpointId, reading: Reading | Missing, views: tuple[View, ...]
) -> dict[str, Any]:
    if isinstance(reading, Missing):
        number: dict[str, Any] = {"value": None, "low": None, "high": None}
        views = CHECKPOINTS[checkpoint].views
    else:
        number = {"value": reading.value, "low": reading.low, "high": reading.high}
    return {
        "checkpoint": checkpoint.value,
        "unit": CHECKPOINTS[checkpoint].unit.value,
        **number,
        "missing": reading.reason if isinstance(reading, Missing) else None,
        "views": [view.value for view in views],
    }


def _disagreement(apart: Disagreement) -> dict[str, Any]:
    return {
        "checkpoint": apart.checkpoint.value,
        "face_on": apart.face_on,
        "down_the_line": apart.down_the_line,
        "unit": CHECKPOINTS[apart.checkpoint].unit.value,
    }

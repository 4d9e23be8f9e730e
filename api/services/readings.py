"""Readings as they are told: the one that holds, with what corrections taught, against the student's target.

Nothing here is written back. The stored reading stays what the machine or the coach said; an answer keeps
what was told when it was sent.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID

from sqlalchemy.orm import Session

from api.db.bands import EVERY_CLUB, bands_in_force
from api.db.clips import current_analysis, current_clips
from api.db.models import Analysis, Clip, StudentBands, Submission
from api.db.models import Reading as Row
from api.db.readings import MACHINE, as_domain, readings_in_force
from api.domain.bands import Bands, band_of
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.corrections import Learnt, adjusted
from api.domain.findings import find
from api.domain.measurement import Finding, Missing, Reading
from api.domain.names import View
from api.services.corrections import learnt_before

Readings = Mapping[CheckpointId, Reading | Missing]


@dataclass(frozen=True, slots=True)
class Told:
    """A reading as people are told it, beside the stored ``row``.

    ``learnt``: what moved it, ``None`` where it stands as it was read. ``own``: the student's own bands that it
    is held against, ``None`` for the usual ones.
    """

    row: Row
    reading: Reading | Missing
    learnt: Learnt | None
    own: StudentBands | None

    @property
    def checkpoint(self) -> CheckpointId:
        """Which number it is."""
        return CheckpointId(self.row.checkpoint)


def measured_clips(submission: Submission) -> list[tuple[Clip, Analysis]]:
    """The clips that count and were measured, with what the newest pipeline made of them."""
    found = [(clip, current_analysis(clip)) for clip in current_clips(submission)]
    return [(clip, analysis) for clip, analysis in found if analysis is not None]


def own_targets(session: Session, submission: Submission) -> dict[CheckpointId, StudentBands]:
    """The student's own bands that hold for the submission's club."""
    rows = bands_in_force(session, submission)
    return {CheckpointId(checkpoint): row for checkpoint, row in rows.items()}


def limits_of(own: Mapping[CheckpointId, StudentBands]) -> dict[CheckpointId, Bands]:
    """The same, as the domain takes them."""
    return {checkpoint: bands_of_row(row) for checkpoint, row in own.items()}


def bands_of_row(row: StudentBands) -> Bands:
    """A stored row's limits."""
    return Bands(row.watch_low, row.good_low, row.good_high, row.watch_high)


def told_of_clip(
    session: Session,
    submission: Submission,
    clip: Clip,
    analysis: Analysis,
    review_id: UUID | None,
    own: Mapping[CheckpointId, StudentBands],
) -> list[Told]:
    """Everything read on a clip, every swing. ``review_id``: whose corrections hold."""
    learnt = learnt_before(session, submission.academy_id, View(clip.view), analysis)
    return [_told(row, learnt, own) for row in readings_in_force(session, review_id, [analysis])]


def _told(
    row: Row, learnt: Mapping[CheckpointId, Learnt], own: Mapping[CheckpointId, StudentBands]
) -> Told:
    checkpoint = CheckpointId(row.checkpoint)
    target = own.get(checkpoint)
    reading = as_domain(row)
    if isinstance(reading, Missing):
        return Told(row, reading, None, target)
    bands = None if target is None else bands_of_row(target)
    lesson = learnt.get(checkpoint) if row.source == MACHINE else None
    if lesson is not None:
        return Told(row, adjusted(checkpoint, reading, lesson, bands=bands), lesson, target)
    if bands is not None:
        reading = replace(reading, band=band_of(reading.low, reading.high, bands))
    return Told(row, reading, None, target)


def told_to_people(session: Session, submission: Submission, review_id: UUID | None) -> list[Told]:
    """What the desk and the answer list: only what a clip's own view can show.

    The machine also notes why the others are missing, which nobody has to read twice.
    """
    own = own_targets(session, submission)
    return [
        told
        for clip, analysis in measured_clips(submission)
        for told in told_of_clip(session, submission, clip, analysis, review_id, own)
        if View(clip.view) in CHECKPOINTS[told.checkpoint].views
    ]


def of_swing(told: Sequence[Told], swing: int) -> dict[CheckpointId, Reading | Missing]:
    """One swing's readings, for the domain."""
    return {one.checkpoint: one.reading for one in told if one.row.swing == swing}


def findings_told(session: Session, submission: Submission) -> dict[str, Any]:
    """By analysis, for each swing, what the machine's readings point to as they are told.

    Those that came with the measurement, unless something was learnt before it or the student has own
    bands: then the same rules look again.
    """
    own = own_targets(session, submission)
    return {
        str(analysis.id): list(_findings(session, submission, clip, analysis, own))
        for clip, analysis in measured_clips(submission)
    }


def _findings(
    session: Session,
    submission: Submission,
    clip: Clip,
    analysis: Analysis,
    own: Mapping[CheckpointId, StudentBands],
) -> Iterator[list[dict[str, Any]]]:
    told = told_of_clip(session, submission, clip, analysis, None, own)
    as_stored = not own and all(one.learnt is None for one in told)
    for number, swing in enumerate(analysis.measurement["swings"]):
        if as_stored:
            yield swing["findings"]
        else:
            found = find(of_swing(told, number), bands=limits_of(own))
            yield [_finding_json(one) for one in found]


def _finding_json(finding: Finding) -> dict[str, Any]:
    return {
        "code": finding.code,
        "sure": finding.sure,
        "because": [checkpoint.value for checkpoint in finding.because],
    }


def reading_json(told: Told) -> dict[str, Any]:
    """A reading as answers keep it and as it is sent."""
    row, reading = told.row, told.reading
    missing = reading if isinstance(reading, Missing) else None
    number = None if isinstance(reading, Missing) else reading
    return {
        "clip_id": str(row.clip_id),
        "swing": row.swing,
        "checkpoint": row.checkpoint,
        "source": row.source,
        "value": None if number is None else number.value,
        "sigma": None if number is None else number.sigma,
        "low": None if number is None else number.low,
        "high": None if number is None else number.high,
        "unit": None if number is None else number.unit.value,
        "band": None if number is None else number.band.value,
        "missing": None if missing is None else missing.reason,
        "frame": row.frame,
        "points": row.points,
        "inputs": row.inputs,
        "adjusted": None if told.learnt is None else _adjusted_json(row, told.learnt),
        "own_bands": None if told.own is None else _own_json(told.own),
    }


def as_shown(kept: Mapping[str, Any]) -> dict[str, Any]:
    """A reading out of an answer. Those sent before there was such a thing were told without it."""
    return {"adjusted": None, "own_bands": None, **kept}


def _adjusted_json(row: Row, learnt: Learnt) -> dict[str, Any]:
    return {
        "machine_value": row.value,
        "machine_low": row.low,
        "machine_high": row.high,
        "bias": learnt.bias,
        "bias_sigma": learnt.bias_sigma,
        "spread": learnt.spread,
        "corrections": learnt.cases,
        "left_alone": learnt.left_alone,
    }


def _own_json(own: StudentBands) -> dict[str, Any]:
    return {
        "id": str(own.id),
        "club": None if own.club_name == EVERY_CLUB else own.club_name,
        "watch_low": own.watch_low,
        "good_low": own.good_low,
        "good_high": own.good_high,
        "watch_high": own.watch_high,
        "reason": own.reason,
        "set_by": own.coach.person.name,
    }

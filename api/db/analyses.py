"""Storing what became of a clip: measured, refused or failed. Nothing here commits.

Each function runs in the transaction in which the worker ends its job (``jobs.complete`` or
``jobs.fail`` first), so results, states, the review and the job stand or fall together.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import exists, select, update
from sqlalchemy.orm import Session

from api.db.audit import record
from api.db.jobs import Claim, held_by
from api.db.models import Analysis, Clip, Job, Reading, Submission
from api.db.profiles import is_stopped
from api.db.reviews import count_change
from api.db.submissions import settle_submission
from api.domain.checkpoint_ids import CheckpointId
from api.domain.measurement import Measurement, Missing
from api.domain.measurement import Reading as DomainReading
from api.domain.measurement_json import reading_to_json, to_json
from api.domain.names import Hand, Purpose, View
from api.domain.states import ClipState, SubmissionState

COULD_NOT_MEASURE = (
    "We could not measure this clip; the fault is ours. Your coach sees the clip and answers "
    "without our numbers."
)


@dataclass(frozen=True, slots=True)
class ClipToMeasure:
    """What a worker needs to know of a clip. ``club_length_m`` and ``stature_m`` may be unknown.

    ``swings_slowly``: the student sent it as a rehearsal, a slow swing or one with a pause.
    """

    clip_id: UUID
    view: View
    handed: Hand
    club_length_m: float | None
    stature_m: float | None
    swings_slowly: bool


def clip_to_measure(session: Session, clip_id: UUID) -> ClipToMeasure | None:
    """The clip if it still waits to be measured; ``None`` when there is nothing (left) to do."""
    clip = session.get(Clip, clip_id)
    if clip is None or clip.state != ClipState.RECEIVED or clip.replaced_at is not None:
        return None
    submission = session.get_one(Submission, clip.submission_id)
    if submission.state == SubmissionState.WITHDRAWN or is_stopped(session, submission.student_id):
        return None
    return ClipToMeasure(
        clip_id=clip.id,
        view=View(clip.view),
        handed=Hand(submission.handed),
        club_length_m=submission.club_length_m,
        stature_m=submission.stature_m,
        swings_slowly=Purpose(submission.purpose) is not Purpose.FULL,
    )


def record_progress(session: Session, claim: Claim, stage: str, share: float) -> None:
    """Show how far the measuring is (``share`` 0 to 1), as long as ``claim`` holds its job."""
    holds = exists().where(held_by(claim)).correlate_except(Job)
    session.execute(
        update(Clip)
        .where(Clip.id == claim.subject_id, Clip.state == ClipState.RECEIVED.value, holds)
        .values(progress_stage=stage, progress_share=min(1.0, max(0.0, share))),
        execution_options={"synchronize_session": False},
    )


def store_measured(session: Session, clip_id: UUID, measurement: Measurement) -> Analysis:
    """Keep a measurement with its machine readings, once per clip and pipeline version."""
    clip = session.get_one(Clip, clip_id)
    analysis = _analysis_of(session, clip_id, measurement.pipeline)
    if analysis is None:
        analysis = _add_analysis(session, clip_id, measurement)
    _end_clip(session, clip, ClipState.MEASURED, {"pipeline": measurement.pipeline})
    settle_submission(session, clip.submission_id)
    return analysis


def store_refused(session: Session, clip_id: UUID, code: str, message: str) -> None:
    """Keep why a clip cannot be measured; the student is told ``message``."""
    clip = session.get_one(Clip, clip_id)
    clip.refusal_code = code
    clip.refusal_message = message
    _end_clip(session, clip, ClipState.REFUSED, {"code": code})
    settle_submission(session, clip.submission_id)


def store_failed(session: Session, clip_id: UUID, error: str) -> None:
    """Give up on measuring, in sight of a person: the clip goes to a coach without numbers."""
    clip = session.get(Clip, clip_id)
    if clip is None or clip.state != ClipState.RECEIVED:
        return
    _end_clip(session, clip, ClipState.FAILED, {"error": error})
    state = settle_submission(session, clip.submission_id)
    if state is SubmissionState.WAITING:
        session.get_one(Submission, clip.submission_id).state_reason = COULD_NOT_MEASURE


def settle_stuck(session: Session) -> int:
    """Move on submissions whose clips are all done but which nobody moved. Returns how many.

    No path is known that leaves one behind; a student must not wait for us to learn of one.
    """
    unfinished = exists().where(
        Clip.submission_id == Submission.id, Clip.state == ClipState.RECEIVED.value
    )
    stuck = select(Submission.id).where(
        Submission.state == SubmissionState.ANALYSING.value, ~unfinished
    )
    moved = [settle_submission(session, submission_id) for submission_id in session.scalars(stuck)]
    return sum(state is not SubmissionState.ANALYSING for state in moved)


def _analysis_of(session: Session, clip_id: UUID, version: str) -> Analysis | None:
    return session.scalars(
        select(Analysis).where(Analysis.clip_id == clip_id, Analysis.pipeline_version == version)
    ).one_or_none()


def _add_analysis(session: Session, clip_id: UUID, measurement: Measurement) -> Analysis:
    analysis = Analysis(
        clip_id=clip_id,
        pipeline_version=measurement.pipeline,
        measurement=to_json(measurement),
        frames=measurement.clip.frames,
    )
    session.add(analysis)
    session.flush()
    for number, swing in enumerate(measurement.swings):
        for checkpoint, reading in swing.checkpoints.items():
            session.add(_reading_row(analysis, number, checkpoint, reading))
    session.flush()
    return analysis


def _reading_row(
    analysis: Analysis, swing: int, checkpoint: CheckpointId, reading: DomainReading | Missing
) -> Reading:
    columns: dict[str, Any] = {"points": {}, "inputs": {}, **reading_to_json(reading)}
    return Reading(
        clip_id=analysis.clip_id,
        analysis_id=analysis.id,
        source="machine",
        swing=swing,
        checkpoint=checkpoint.value,
        **columns,
    )


def _end_clip(session: Session, clip: Clip, state: ClipState, after: Mapping[str, object]) -> None:
    count_change(session, clip.submission_id)  # review before submission, as everywhere
    clip.state = state.value
    clip.progress_stage = None
    clip.progress_share = None
    submission = session.get_one(Submission, clip.submission_id)
    record(
        session,
        f"clip.{state.value}",
        "clip",
        clip.id,
        before={"state": ClipState.RECEIVED.value},
        after={"state": state.value, **after},
        academy_id=submission.academy_id,
    )

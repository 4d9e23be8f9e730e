"""From a queued job to a review in the coach's queue, and every other way it can end."""

import dataclasses
import errno
from pathlib import Path
from typing import TypeVar
from uuid import UUID

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session, sessionmaker

from api.db import jobs
from api.db.analyses import COULD_NOT_MEASURE, record_progress, settle_stuck
from api.db.models import Analysis, AuditEvent, Clip, Job, Reading, Review, Submission
from api.db.session import transaction
from api.domain.measurement_json import from_json
from api.domain.states import ClipState, JobState, ReviewState, SubmissionState
from api.domain.tasks import TaskName
from api.storage.base import Storage
from api.storage.keys import product_key
from tests.worker.measurers import VERSION
from tests.worker.sending import Sender
from worker.runner import Runner
from worker.tasks.analyse_clip import AnalyseClip

Row = TypeVar("Row")


def rows(factory: sessionmaker[Session], model: type[Row]) -> list[Row]:
    with transaction(factory) as session:
        return list(session.scalars(select(model)))


def run_all(runner: Runner) -> None:
    while runner.run_next():
        pass


def measuring_with(runner: Runner, measurer: str) -> Runner:
    task = runner.tasks[TaskName.ANALYSE_CLIP]
    assert isinstance(task, AnalyseClip)
    changed = dataclasses.replace(task, measurer=f"tests.worker.measurers:{measurer}")
    return dataclasses.replace(runner, tasks={**runner.tasks, TaskName.ANALYSE_CLIP: changed})


@pytest.fixture
def text_file(tmp_path: Path) -> Path:
    path = tmp_path / "letter.mp4"
    path.write_text("Dear coach")
    return path


class TestMeasured:
    def test_rows_states_and_review_stand_together(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        submission_id, (clip_id,) = sender.send()
        run_all(runner)

        (analysis,) = rows(factory, Analysis)
        assert (analysis.clip_id, analysis.pipeline_version) == (clip_id, VERSION)
        assert from_json(analysis.measurement).clip.frames == 20
        by_checkpoint = {row.checkpoint: row for row in rows(factory, Reading)}
        angle = by_checkpoint["lead_arm_shaft_angle"]
        assert (angle.value, angle.low, angle.high, angle.band) == (86.0, 80.1, 91.9, "good")
        assert (angle.source, angle.swing, angle.frame) == ("machine", 0, 5)
        assert angle.points["lead_wrist"] == [90.0, 165.0]
        other = by_checkpoint["butt_end_inside"]
        assert (other.value, other.missing) == (None, "Needs the other view.")

        clip = sender.clip_row(clip_id)
        assert (clip.state, clip.progress_stage) == (ClipState.MEASURED, None)
        submission = sender.submission(submission_id)
        assert submission.state == SubmissionState.WAITING
        (review,) = rows(factory, Review)
        assert (review.state, review.due_at) == (ReviewState.WAITING, submission.due_at)
        assert [job.state for job in rows(factory, Job)] == [JobState.DONE]
        assert "clip.measured" in {event.act for event in rows(factory, AuditEvent)}

    def test_what_the_pages_need_is_in_the_store(
        self, runner: Runner, sender: Sender, storage: Storage
    ) -> None:
        _, (clip_id,) = sender.send()
        run_all(runner)
        names = ["measurement.json", "tracks.json", "proxy.mp4", "frame_times.json"]
        names += ["still_5.jpg", "annotated_lead_arm_parallel.jpg"]
        for name in names:
            assert storage.size(product_key(clip_id, VERSION, name)) > 0

    @pytest.mark.parametrize(
        ("purpose", "slowly"),
        [("full", "False"), ("slow", "True"), ("pause", "True"), ("rehearsal", "True")],
    )
    def test_the_measuring_knows_whether_the_swing_may_be_slow(
        self,
        runner: Runner,
        sender: Sender,
        factory: sessionmaker[Session],
        purpose: str,
        slowly: str,
    ) -> None:
        sender.send(purpose=purpose)
        run_all(measuring_with(runner, "repeating"))
        (analysis,) = rows(factory, Analysis)
        assert from_json(analysis.measurement).models == {"swings_slowly": slowly}

    def test_a_second_wake_up_changes_nothing(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        _, (clip_id,) = sender.send()
        assert runner.run_subject(TaskName.ANALYSE_CLIP, clip_id)
        assert not runner.run_subject(TaskName.ANALYSE_CLIP, clip_id)
        assert len(rows(factory, Analysis)) == 1

    def test_two_clips_move_on_together(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session], small_clip: Path
    ) -> None:
        submission_id, _ = sender.send(small_clip, small_clip)
        assert runner.run_next()
        assert sender.submission(submission_id).state == SubmissionState.ANALYSING
        assert rows(factory, Review) == []
        assert runner.run_next()
        assert sender.submission(submission_id).state == SubmissionState.WAITING
        assert len(rows(factory, Review)) == 1

    def test_a_withdrawn_submission_is_not_measured(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        submission_id, _ = sender.send()
        with transaction(factory) as session:
            session.get_one(Submission, submission_id).state = SubmissionState.WITHDRAWN.value
        run_all(runner)
        assert rows(factory, Analysis) == []
        assert [job.state for job in rows(factory, Job)] == [JobState.DONE]


class TestRefused:
    def test_the_student_is_told_why(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session], text_file: Path
    ) -> None:
        submission_id, (clip_id,) = sender.send(text_file)
        run_all(runner)
        clip = sender.clip_row(clip_id)
        assert (clip.state, clip.refusal_code) == (ClipState.REFUSED, "not_a_video")
        submission = sender.submission(submission_id)
        assert submission.state == SubmissionState.UNREADABLE
        assert submission.state_reason == clip.refusal_message
        (job,) = rows(factory, Job)
        assert (job.state, job.attempts) == (JobState.REFUSED, 1)
        assert rows(factory, Review) == []

    def test_one_good_clip_of_two_is_enough(
        self, runner: Runner, sender: Sender, small_clip: Path, text_file: Path
    ) -> None:
        submission_id, _ = sender.send(small_clip, text_file)
        run_all(runner)
        assert sender.submission(submission_id).state == SubmissionState.WAITING

    def test_a_clip_beyond_the_limits_is_refused_and_not_tried_again(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        runner = measuring_with(runner, "greedy")
        _, (clip_id,) = sender.send()
        run_all(runner)
        assert sender.clip_row(clip_id).refusal_code == "too_hard"
        assert rows(factory, Job)[0].attempts == 1


class TestFault:
    def test_after_the_last_attempt_a_coach_sees_the_clip(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        submission_id, (clip_id,) = sender.send()
        run_all(measuring_with(runner, "raising"))
        (job,) = rows(factory, Job)
        assert (job.state, job.attempts) == (JobState.FAILED, 2)
        assert job.last_error == "PipelineFault: ZeroDivisionError: by nought"
        assert sender.clip_row(clip_id).state == ClipState.FAILED
        submission = sender.submission(submission_id)
        assert submission.state == SubmissionState.WAITING
        assert submission.state_reason == COULD_NOT_MEASURE
        assert len(rows(factory, Review)) == 1
        assert "clip.failed" in {event.act for event in rows(factory, AuditEvent)}

    def test_a_fault_that_passes_leaves_no_trace(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        submission_id, _ = sender.send()
        assert measuring_with(runner, "aborting").run_next()
        assert rows(factory, Job)[0].state == JobState.QUEUED
        run_all(runner)
        assert sender.submission(submission_id).state == SubmissionState.WAITING
        assert len(rows(factory, Analysis)) == 1

    def test_a_full_disk_loses_nothing(
        self,
        runner: Runner,
        sender: Sender,
        factory: sessionmaker[Session],
        storage: Storage,
        monkeypatch: pytest.MonkeyPatch,
    ) -> None:
        submission_id, (clip_id,) = sender.send()

        def full(_key: str, _path: Path) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

        with monkeypatch.context() as patch:
            patch.setattr(storage, "put_file", full)
            assert runner.run_next()
        (job,) = rows(factory, Job)
        assert job.state == JobState.QUEUED
        assert "No space left" in (job.last_error or "")
        assert sender.clip_row(clip_id).state == ClipState.RECEIVED
        run_all(runner)
        assert sender.submission(submission_id).state == SubmissionState.WAITING

    def test_a_stop_gives_the_job_back_at_once(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        sender.send()
        runner.stop.set()
        assert runner.run_next()
        (job,) = rows(factory, Job)
        assert (job.state, job.attempts, job.lease_ends_at) == (JobState.QUEUED, 0, None)


class TestProgress:
    def progress(self, factory: sessionmaker[Session], clip_id: UUID) -> tuple[str | None, object]:
        with transaction(factory) as session:
            clip = session.get_one(Clip, clip_id)
            return clip.progress_stage, clip.progress_share

    def test_only_the_holder_may_say_how_far_it_is(
        self, runner: Runner, sender: Sender, factory: sessionmaker[Session]
    ) -> None:
        _, (clip_id,) = sender.send()
        with transaction(factory) as session:
            claim = jobs.claim_next(session, "w", lease=runner.settings.job_lease, max_attempts=5)
        assert claim is not None
        with transaction(factory) as session:
            record_progress(session, claim, "scan", 0.25)
        assert self.progress(factory, clip_id) == ("scan", 0.25)
        zombie = dataclasses.replace(claim, fence=claim.fence - 1)
        with transaction(factory) as session:
            record_progress(session, zombie, "probe", 0.0)
        assert self.progress(factory, clip_id) == ("scan", 0.25)


def test_a_submission_left_behind_is_moved_on(
    sender: Sender, factory: sessionmaker[Session]
) -> None:
    submission_id, (clip_id,) = sender.send()
    with transaction(factory) as session:
        assert settle_stuck(session) == 0
        session.get_one(Clip, clip_id).state = ClipState.MEASURED.value
    with transaction(factory) as session:
        assert settle_stuck(session) == 1
    assert sender.submission(submission_id).state == SubmissionState.WAITING

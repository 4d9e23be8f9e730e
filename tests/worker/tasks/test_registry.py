"""Every name has exactly one function, in both kinds of worker."""

from pathlib import Path

import pytest

from api.db.session import make_engine, make_session_factory
from api.domain.tasks import TaskName
from api.settings import Settings
from api.storage.factory import open_storage
from worker.celery_app import VISIBILITY_TIMEOUT_S, make_app
from worker.tasks.analyse_clip import REAL_MEASURER, AnalyseClip
from worker.tasks.registry import MEASURER_VARIABLE, all_tasks


def tasks_of(settings: Settings) -> dict[TaskName, object]:
    factory = make_session_factory(make_engine("sqlite://"))
    return dict(all_tasks(settings, factory, open_storage(settings)))


def test_the_runner_knows_each_name(tmp_path: Path) -> None:
    assert set(tasks_of(Settings(data_dir=tmp_path))) == set(TaskName)


def test_celery_knows_each_name() -> None:
    registered = make_app(Settings()).tasks
    ours = {name for name in registered if not name.startswith("celery.")}
    assert ours == {name.value for name in TaskName}


def test_celery_hands_a_task_out_again_only_after_its_limit() -> None:
    settings = Settings()
    conf = make_app(settings).conf
    assert conf.task_acks_late
    assert conf.task_reject_on_worker_lost
    assert conf.worker_prefetch_multiplier == 1
    assert conf.broker_transport_options["visibility_timeout"] == VISIBILITY_TIMEOUT_S
    assert settings.child_wall_limit.total_seconds() < VISIBILITY_TIMEOUT_S


@pytest.mark.parametrize("development", [True, False])
def test_another_measurer_only_in_development(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, development: bool
) -> None:
    monkeypatch.setenv(MEASURER_VARIABLE, "some:other")
    settings = Settings(data_dir=tmp_path, development=development, secret="s" * 40)
    task = tasks_of(settings)[TaskName.ANALYSE_CLIP]
    assert isinstance(task, AnalyseClip)
    assert task.measurer == ("some:other" if development else REAL_MEASURER)

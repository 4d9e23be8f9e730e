"""A job that the API can queue is a job that every kind of worker knows."""

import threading
from pathlib import Path

from api.db import migrate
from api.domain.tasks import TaskName
from api.settings import Settings
from worker.celery_app import app
from worker.setting_up import set_up


def test_the_polling_worker_has_one_function_for_each_name(tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path)
    migrate.upgrade(settings.effective_database_url)
    setup = set_up(settings, threading.Event())
    assert set(setup.runner.tasks) == set(TaskName)


def test_celery_has_registered_each_name() -> None:
    ours = {name for name in app.tasks if not name.startswith("celery.")}
    assert ours == {name.value for name in TaskName}

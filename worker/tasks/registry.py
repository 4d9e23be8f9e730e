"""Which function does which job: exactly one for each name."""

import os
from collections.abc import Mapping

from sqlalchemy.orm import Session, sessionmaker

from api.domain.tasks import TaskName
from api.settings import Settings
from api.storage.base import Storage
from worker.runner import Task
from worker.tasks.analyse_clip import REAL_MEASURER, AnalyseClip
from worker.tasks.erase_person import ErasePerson
from worker.tasks.export_data import ExportData
from worker.tasks.send_mail import SendMail
from worker.tasks.send_push import SendPush

MEASURER_VARIABLE = "FAIRLEAD_MEASURER"
"""Names another measuring function, ``module:function``; heeded in development only."""


def all_tasks(
    settings: Settings, factory: sessionmaker[Session], storage: Storage
) -> Mapping[TaskName, Task]:
    """One task for each ``TaskName``."""
    measurer = os.environ.get(MEASURER_VARIABLE) if settings.development else None
    return {
        TaskName.ANALYSE_CLIP: AnalyseClip(settings, factory, storage, measurer or REAL_MEASURER),
        TaskName.SEND_MAIL: SendMail(settings, factory),
        TaskName.SEND_PUSH: SendPush(settings, factory),
        TaskName.EXPORT_DATA: ExportData(settings, factory, storage),
        TaskName.ERASE_PERSON: ErasePerson(settings, factory, storage),
    }

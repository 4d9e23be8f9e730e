"""Names of background tasks. The name is the interface between API and worker.

A name, once released, stays: rows in a production queue may carry it through a deployment.
"""

from enum import StrEnum


class TaskName(StrEnum):
    """Every kind of background job; the worker registers exactly one function for each."""

    ANALYSE_CLIP = "analyse_clip"
    SEND_MAIL = "send_mail"
    SEND_PUSH = "send_push"
    EXPORT_DATA = "export_data"
    ERASE_PERSON = "erase_person"

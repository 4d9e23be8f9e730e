"""A place to stand still, so that tests can kill a worker in any stage. Development only.

``FAIRLEAD_FAULT_PAUSE_AT=stage:/path/of/marker`` makes the first process that enters ``stage``
write its process id to the marker and wait to be killed. Who comes later finds the marker and
goes on.
"""

import os
import signal
from pathlib import Path

VARIABLE = "FAIRLEAD_FAULT_PAUSE_AT"


def pause_at(stage: str) -> None:
    """Wait for ever if this is the stage that the environment names. Otherwise nothing."""
    wanted, _, marker = os.environ.get(VARIABLE, "").partition(":")
    if wanted != stage or not marker:
        return
    try:
        with Path(marker).open("x") as file:
            file.write(str(os.getpid()))
    except FileExistsError:
        return
    while True:
        signal.pause()

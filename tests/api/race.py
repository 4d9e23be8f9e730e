"""Several callers at the same moment, each with a session of its own."""

import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from sqlalchemy.orm import Session, sessionmaker

from api.db.session import transaction

Result = TypeVar("Result")


def at_once(
    factory: sessionmaker[Session], *acts: Callable[[Session], Result]
) -> list[Result | Exception]:
    """Run every act in its own thread and transaction; what each returned or raised, in order."""
    gate = threading.Barrier(len(acts))

    def run(act: Callable[[Session], Result]) -> Result | Exception:
        gate.wait(timeout=10)
        try:
            with transaction(factory) as session:
                return act(session)
        except Exception as error:  # noqa: BLE001 - a refusal, or a bug, is what the test looks at
            return error

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts))

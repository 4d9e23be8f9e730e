"""The process that touches the clip: ``python -m worker.child PARENT_PID``, started by ``worker.measuring``.

Reads one order from standard input, confines itself, then decodes and measures. Speaks JSON lines
on what was standard output; anything a library prints goes to standard error instead.
"""

import os
import sys
import traceback
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from api.domain.errors import ClipRefused
from api.domain.refusals import RefusalCode, refuse
from worker.child_messages import DONE, FAULT, PROGRESS, REFUSED, Order, to_line
from worker.confinement import Limits, confine, die_with_parent
from worker.faults import pause_at

Say = Callable[[Mapping[str, Any]], None]


def main() -> int:
    """Carry out one order. The exit status is 0 whenever an outcome was said."""
    say = _take_over_output()
    parent_pid = int(sys.argv[1])
    die_with_parent(parent_pid)  # before waiting for an order that may never come
    order = Order.from_line(sys.stdin.buffer.readline())
    confine(Limits(order.cpu_s, order.memory_bytes), parent_pid=parent_pid)
    try:
        say({DONE: _measure(order, say)})
    except ClipRefused as refused:
        say(_refusal(refused))
    except MemoryError:
        say(_refusal(refuse(RefusalCode.TOO_HARD)))
    except Exception as error:  # noqa: BLE001 - the parent must hear of everything
        if _is_out_of_memory(error):
            say(_refusal(refuse(RefusalCode.TOO_HARD)))
        else:
            traceback.print_exc()
            say({FAULT: "".join(traceback.format_exception_only(error)).strip()})
    return 0


def _measure(order: Order, say: Say) -> list[str]:
    # Imported only now: the limits must hold before any library starts threads or reads a file.
    from worker.analysis import AnalysisRun, load_measurer  # noqa: PLC0415

    def on_progress(stage: str, share: float) -> None:
        say({PROGRESS: [stage, share]})
        pause_at(stage)

    run = AnalysisRun(
        path=Path(order.path),
        out_dir=Path(order.out_dir),
        measure=load_measurer(order.measurer),
        order=order,
        on_progress=on_progress,
    )
    return run.carry_out()


def _take_over_output() -> Say:
    """Keep standard output for messages and give libraries standard error in its place."""
    channel = os.fdopen(os.dup(1), "wb", buffering=0)
    os.dup2(2, 1)

    def say(message: Mapping[str, Any]) -> None:
        channel.write(to_line(message))

    return say


def _refusal(refused: ClipRefused) -> dict[str, Any]:
    return {
        REFUSED: {
            "code": refused.code,
            "message": refused.message,
            "details": refused.details,
        }
    }


def _is_out_of_memory(error: Exception) -> bool:
    """OpenCV reports a failed allocation as an error of its own, by code -4 (StsNoMem)."""
    return getattr(error, "code", None) == -4  # noqa: PLR2004 - the number in the line above


if __name__ == "__main__":
    sys.exit(main())

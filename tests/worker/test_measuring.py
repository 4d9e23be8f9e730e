"""The measuring child: what it says, what it may not do, and that it is gone afterwards."""

import dataclasses
import os
import signal
import subprocess
import sys
import time
from datetime import timedelta
from pathlib import Path

import pytest

from api.domain.errors import ClipRefused, PipelineFault
from api.domain.measurement_json import from_json
from api.domain.refusals import RefusalCode
from tests.worker.measurers import STAGES, VERSION
from tests.worker.video.making import even_times, write_clip
from worker.child_messages import MEASUREMENT, Order, read_json
from worker.measuring import measure_in_child

GIB = 1024**3
LINUX_ONLY = pytest.mark.skipif(sys.platform != "linux", reason="Linux enforces it")


@pytest.fixture
def order(tmp_path: Path) -> Order:
    out_dir = tmp_path / "out"
    out_dir.mkdir()
    return Order(
        path=str(write_clip(tmp_path / "clip.mp4", even_times(20))),
        out_dir=str(out_dir),
        view="face-on",
        handed="right",
        club_length_m=0.94,
        stature_m=None,
        swings_slowly=False,
        cpu_s=60,
        memory_bytes=4 * GIB,
        measurer="tests.worker.measurers:small",
    )


def by(order: Order, measurer: str, **values: object) -> Order:
    changed = {"measurer": f"tests.worker.measurers:{measurer}"} | values
    return dataclasses.replace(order, **changed)  # type: ignore[arg-type]  # a test's shorthand


def run(order: Order, *, wall_s: float = 60.0) -> tuple[list[Path], list[tuple[str, float]]]:
    told: list[tuple[str, float]] = []
    files = measure_in_child(
        order,
        wall=timedelta(seconds=wall_s),
        on_progress=lambda stage, share: told.append((stage, share)),
        check=lambda: None,
    )
    return files, told


def children() -> set[int]:
    """Processes whose parent is this one."""
    mine = str(os.getpid())
    found = set()
    for status in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = status.read_text().rpartition(")")[2].split()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if fields[1] == mine:
            found.add(int(status.parent.name))
    return found


class TestOutcomes:
    def test_everything_kept_of_a_clip_is_there(self, order: Order) -> None:
        files, told = run(order)
        assert {file.name for file in files} == {
            "measurement.json",
            "tracks.json",
            "proxy.mp4",
            "frame_times.json",
            "annotated_lead_arm_parallel.jpg",
            # The reading is on frame 5; a coach may move it by six frames either way.
            *(f"still_{frame}.jpg" for frame in range(12)),
        }
        assert all(file.stat().st_size > 0 for file in files)
        measurement = from_json(read_json(Path(order.out_dir) / MEASUREMENT))
        assert (measurement.pipeline, measurement.clip.frames) == (VERSION, 20)
        assert len(read_json(Path(order.out_dir) / "frame_times.json")["times_s"]) == 20  # type: ignore[arg-type]  # a list
        assert [stage for stage, _ in told] == [*STAGES, "proxy", "stills"]
        shares = [share for _, share in told]
        assert shares == sorted(shares)

    def test_what_libraries_print_does_not_disturb(self, order: Order) -> None:
        assert run(by(order, "chatty"))[0]

    def test_a_refusal_keeps_its_words(self, order: Order) -> None:
        Path(order.path).write_text("not a video")
        with pytest.raises(ClipRefused) as refused:
            run(order)
        assert refused.value.code == RefusalCode.NOT_A_VIDEO
        assert "not a video we can read" in refused.value.message

    def test_our_fault_says_what_happened(self, order: Order) -> None:
        with pytest.raises(PipelineFault, match="ZeroDivisionError: by nought"):
            run(by(order, "raising"))

    def test_a_crash_is_our_fault(self, order: Order) -> None:
        with pytest.raises(PipelineFault, match="SIGABRT"):
            run(by(order, "aborting"))

    def test_a_silent_end_is_our_fault(self, order: Order) -> None:
        with pytest.raises(PipelineFault, match="status 3"):
            run(by(order, "leaving"))


class TestLimits:
    def test_cpu_time(self, order: Order) -> None:
        with pytest.raises(ClipRefused) as refused:
            run(by(order, "burning", cpu_s=2))
        assert refused.value.code == RefusalCode.TOO_HARD

    @LINUX_ONLY
    def test_memory(self, order: Order) -> None:
        with pytest.raises(ClipRefused) as refused:
            run(by(order, "greedy", memory_bytes=GIB))
        assert refused.value.code == RefusalCode.TOO_HARD

    def test_wall_time(self, order: Order) -> None:
        began = time.monotonic()
        with pytest.raises(PipelineFault, match="time limit"):
            run(by(order, "sleeping"), wall_s=1.0)
        assert time.monotonic() - began < 5.0

    @LINUX_ONLY
    def test_no_socket(self, order: Order) -> None:
        with pytest.raises(PipelineFault, match="PermissionError"):
            run(by(order, "calling"))

    def test_no_secret(self, order: Order, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("FAIRLEAD_SECRET", "do not pass on")
        monkeypatch.setenv("FAIRLEAD_DATABASE_URL", "postgresql://u:p@h/d")
        with pytest.raises(PipelineFault, match="PATH") as fault:
            run(by(order, "telling"))
        assert "FAIRLEAD" not in str(fault.value)


@LINUX_ONLY
class TestTheChildsEnd:
    def test_it_is_gone_after_success_and_after_a_limit(self, order: Order) -> None:
        before = children()
        run(order)
        with pytest.raises(PipelineFault):
            run(by(order, "sleeping"), wall_s=0.5)
        assert children() == before

    def test_it_ends_when_the_work_must_stop(self, order: Order) -> None:
        before, looks = children(), 0

        def stop_at_third_look() -> None:
            nonlocal looks
            looks += 1
            if looks == 3:
                raise InterruptedError

        with pytest.raises(InterruptedError):
            measure_in_child(
                by(order, "sleeping"),
                wall=timedelta(seconds=60),
                on_progress=lambda _stage, _share: None,
                check=stop_at_third_look,
            )
        assert children() == before

    def test_it_dies_with_its_parent(self, order: Order, tmp_path: Path) -> None:
        marker = tmp_path / "marker"
        script = (
            "import sys; from datetime import timedelta\n"
            "from worker.child_messages import Order; from worker.measuring import measure_in_child\n"
            "measure_in_child(Order.from_line(sys.argv[1].encode()), wall=timedelta(seconds=60),\n"
            "    on_progress=lambda *_: None, check=lambda: None,\n"
            "    extra_environment=('FAIRLEAD_FAULT_PAUSE_AT',))\n"
        )
        parent = subprocess.Popen(
            [sys.executable, "-c", script, order.to_line().decode()],
            env={**os.environ, "FAIRLEAD_FAULT_PAUSE_AT": f"scan:{marker}"},
        )
        try:
            child = paused_process(marker)
            parent.send_signal(signal.SIGKILL)
            parent.wait()
            assert ends(child)
        finally:
            parent.kill()
            parent.wait()


def paused_process(marker: Path) -> int:
    deadline = time.monotonic() + 20
    while not (marker.exists() and marker.read_text()):
        assert time.monotonic() < deadline, "nobody paused"
        time.sleep(0.02)
    return int(marker.read_text())


def ends(pid: int) -> bool:
    """Whether a process that is nobody's child here is gone within five seconds."""
    deadline = time.monotonic() + 5
    while time.monotonic() < deadline:
        status = Path(f"/proc/{pid}/stat")
        try:
            if status.read_text().rpartition(")")[2].split()[0] == "Z":
                return True
        except (FileNotFoundError, ProcessLookupError):
            return True
        time.sleep(0.02)
    return False

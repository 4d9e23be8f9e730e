"""One clip from file to everything the service keeps of it: the work of ``worker.child``.

Measure, then proxy, then pictures; each step writes files into one folder and the parent stores
them. Nothing here knows a database or a store.
"""

import importlib
import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol, cast

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Keyframe, Measurement, Missing, Reading, Swing
from api.domain.measurement_json import to_json
from api.domain.names import Hand, KeyframeId, PointName, View
from worker.child_messages import MEASUREMENT, Order
from worker.measure.tracks import tracks_to_json
from worker.picture.annotate import Note, PlacedPoint, annotate
from worker.pipeline import MeasureRequest, MeasureResult
from worker.video.frames import Picture
from worker.video.proxy import write_proxy
from worker.video.stills import write_jpeg, write_stills

OnProgress = Callable[[str, float], None]

NEAR_READING = 6
"""Frames either side of a reading that get a still too."""

_MEASURED_SHARE = 0.8
"""Of the whole work, by the clock on the rendered clips; for the progress bar alone."""


class Measure(Protocol):
    """``worker.pipeline.measure_clip``, or a small one in tests."""

    def __call__(
        self, path: Path, request: MeasureRequest, *, on_progress: OnProgress | None = None
    ) -> MeasureResult:
        """Measure the clip at ``path``."""


def load_measurer(name: str) -> Measure:
    """The function named ``module:function``."""
    module, _, function = name.partition(":")
    return cast("Measure", getattr(importlib.import_module(module), function))


@dataclass(slots=True)
class AnalysisRun:
    """State of one run. ``files`` are names of what has been written to ``out_dir`` so far.

    Progress is told as (stage, share of the whole): the measuring's own stages, then ``proxy``
    and ``stills``.
    """

    path: Path
    out_dir: Path
    measure: Measure
    order: Order
    on_progress: OnProgress
    files: list[str] = field(default_factory=list)
    measured: float = 0.0

    def carry_out(self) -> list[str]:
        """Do everything; returns the names of the files written.

        Raises ``ClipRefused`` when the student must film again, ``PipelineFault`` and anything
        else when the fault is ours.
        """
        result = self.measure(self.path, self._request(), on_progress=self._measuring)
        self.on_progress("proxy", _MEASURED_SHARE)
        self._write_proxy(result)
        self.on_progress("stills", 0.92)
        self._write_pictures(result)
        self._write_json("tracks.json", tracks_to_json(result.tracks))
        self._write_json(MEASUREMENT, to_json(result.measurement))
        return self.files

    def _request(self) -> MeasureRequest:
        return MeasureRequest(
            view=View(self.order.view),
            handed=Hand(self.order.handed),
            club_length_m=self.order.club_length_m,
            stature_m=self.order.stature_m,
            swings_slowly=self.order.swings_slowly,
        )

    def _measuring(self, stage: str, share: float) -> None:
        """Pass on, never backwards: a clip of many swings goes through its stages again."""
        self.measured = max(self.measured, share * _MEASURED_SHARE)
        self.on_progress(stage, self.measured)

    def _write_proxy(self, result: MeasureResult) -> None:
        proxy = write_proxy(self.path, result.probe, self.out_dir / "proxy.mp4")
        self.files.append("proxy.mp4")
        self._write_json("frame_times.json", {"times_s": list(proxy.times_s)})

    def _write_pictures(self, result: MeasureResult) -> None:
        wanted = frames_to_picture(result.measurement)
        notes = keyframe_notes(result)
        for frame, picture, file in write_stills(self.path, result.probe, wanted, self.out_dir):
            self.files.append(file.name)
            for note in notes:
                if note.instant.frame == frame:
                    self._write_annotated(picture, note)

    def _write_annotated(self, picture: Picture, note: Note) -> None:
        name = f"annotated_{note.keyframe.value}.jpg"
        write_jpeg(annotate(picture, note), self.out_dir / name)
        self.files.append(name)

    def _write_json(self, name: str, content: object) -> None:
        (self.out_dir / name).write_text(json.dumps(content, allow_nan=False))
        self.files.append(name)


def frames_to_picture(measurement: Measurement) -> frozenset[int]:
    """Frames that get a still: each keyframe's, each reading's own, and those around the latter.

    Around a reading, because a coach moves its keyframe by a few frames, and the student must
    then see the frame that the number belongs to.
    """
    instants = {instant.frame for swing in measurement.swings for _, instant in _found(swing)}
    readings = {
        reading.frame
        for swing in measurement.swings
        for reading in swing.checkpoints.values()
        if isinstance(reading, Reading)
    }
    near = {frame + step for frame in readings for step in range(-NEAR_READING, NEAR_READING + 1)}
    return frozenset(frame for frame in instants | near if 0 <= frame < measurement.clip.frames)


def _found(swing: Swing) -> Iterator[tuple[KeyframeId, Keyframe]]:
    for keyframe, instant in swing.keyframes.items():
        if isinstance(instant, Keyframe):
            yield keyframe, instant


def keyframe_notes(result: MeasureResult) -> list[Note]:
    """One note a keyframe, from the first swing that has it."""
    first: dict[KeyframeId, Note] = {}
    for swing in result.measurement.swings:
        for keyframe, instant in _found(swing):
            if keyframe not in first:
                first[keyframe] = _note(keyframe, instant, swing, result)
    return list(first.values())


def _note(keyframe: KeyframeId, instant: Keyframe, swing: Swing, result: MeasureResult) -> Note:
    readings = _readings_at(keyframe, swing, result.measurement.view.declared)
    tracked = result.tracks.get(instant.frame, {})
    points = {name: PlacedPoint(*map(float, point)) for name, point in tracked.items()}
    for reading in readings.values():
        if isinstance(reading, Reading) and reading.frame == instant.frame:
            points |= _points_of(reading)
    return Note(keyframe, instant, points, readings)


def _readings_at(
    keyframe: KeyframeId, swing: Swing, view: View
) -> Mapping[CheckpointId, Reading | Missing]:
    """What is read at this instant in this view; a reading of the other view is no news here."""
    return {
        checkpoint: reading
        for checkpoint, reading in swing.checkpoints.items()
        if CHECKPOINTS[checkpoint].main
        and CHECKPOINTS[checkpoint].keyframe is keyframe
        and view in CHECKPOINTS[checkpoint].views
    }


def _points_of(reading: Reading) -> dict[PointName, PlacedPoint]:
    """The points a reading was computed from, which rule over the tracks."""
    return {
        name: PlacedPoint(x, y, reading.inputs.get(f"sigma_px_{name.value}", 0.0))
        for name, (x, y) in reading.points.items()
    }

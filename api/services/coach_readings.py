"""Taking a reading again after a coach's correction, with an honest uncertainty."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from api.db.models import Analysis, Clip, Reading, Review
from api.db.readings import COACH, machine_reading, retire_coach_reading
from api.domain.actors import Actor
from api.domain.checkpoint_formulas import TO_INSTANT
from api.domain.checkpoints import CHECKPOINTS, Checkpoint, Value, evaluate, sigma_input
from api.domain.coach_points import inputs_without_machine, place_points
from api.domain.measurement import Missing, Point
from api.domain.names import Hand, KeyframeId, PointName, View
from api.domain.uncertainty import instant_sigma
from api.services.tracks import ClipTracks

_SIGMA_INSTANT = "sigma_instant"
_STILL_POINTS = frozenset({PointName.BALL})
"""Points that stay where they are until impact, so the machine's own place serves any frame."""


@dataclass(frozen=True, slots=True)
class Correction:
    """A keyframe as the coach has it: on ``frame``, with the points ``placed`` there.

    ``moved`` says that the coach chose the frame. Points are original display pixels.
    """

    review: Review
    clip: Clip
    analysis: Analysis
    tracks: ClipTracks
    swing: int
    keyframe: KeyframeId
    frame: int | None
    moved: bool
    placed: Mapping[PointName, Point]

    @property
    def hand(self) -> Hand:
        """The side the golfer plays from."""
        return Hand(self.clip.submission.handed)

    @property
    def width_px(self) -> int:
        """The picture's width."""
        return int(self.analysis.measurement["clip"]["width"])


Basis = tuple[dict[PointName, Point], dict[str, float]]


def take_readings_again(
    session: Session, actor: Actor, correction: Correction, *, now: datetime
) -> None:
    """Give every checkpoint of the keyframe the coach's reading, or the machine's back."""
    for checkpoint in _read_at(correction):
        retire_coach_reading(
            session,
            correction.review.id,
            correction.clip.id,
            correction.swing,
            checkpoint.id,
            now,
        )
        touched = correction.moved or bool(set(correction.placed) & set(checkpoint.points))
        if touched and correction.frame is not None:
            reading = _coach_reading(session, actor, correction, correction.frame, checkpoint)
            if reading is not None:
                session.add(reading)
    session.flush()


def _read_at(correction: Correction) -> list[Checkpoint]:
    """The numbers that are read from a picture at the keyframe.

    One shown at a moment of its own, and one told from times or depths, stays the machine's: the frame
    and the points of the keyframe say nothing about it.
    """
    return [
        checkpoint
        for checkpoint in CHECKPOINTS.values()
        if checkpoint.keyframe == correction.keyframe
        and View(correction.clip.view) in checkpoint.views
        and checkpoint.points
        and not checkpoint.moment
    ]


def _coach_reading(
    session: Session, actor: Actor, correction: Correction, frame: int, checkpoint: Checkpoint
) -> Reading | None:
    """The number as the coach's points or instant make it; ``None`` where the machine's answer stands.

    A number that is not a main one and that the machine could not read has nothing to start from: its
    own reason says more than that its errors are not known.
    """
    machine = machine_reading(session, correction.analysis, correction.swing, checkpoint.id)
    unread = machine is None or machine.missing is not None
    if unread and not checkpoint.main:
        return None
    points, inputs = _basis(correction, frame, checkpoint, machine)
    if correction.moved:
        inputs = _with_instant(correction, frame, checkpoint, inputs)
    points, inputs = place_points(checkpoint.id, points, inputs, correction.placed)
    result = evaluate(
        checkpoint.id, points, inputs, handed=correction.hand, width_px=correction.width_px
    )
    row = Reading(
        clip_id=correction.clip.id,
        analysis_id=correction.analysis.id,
        review_id=correction.review.id,
        supersedes_id=None if machine is None else machine.id,
        source=COACH,
        swing=correction.swing,
        checkpoint=checkpoint.id.value,
        frame=frame,
        points={name.value: list(point) for name, point in points.items()},
        inputs=inputs,
        made_by=actor.membership_id,
    )
    return _filled(row, result)


def _filled(row: Reading, result: Value | Missing) -> Reading:
    if isinstance(result, Missing):
        row.missing = result.reason
        return row
    row.value, row.sigma, row.low, row.high = (
        result.value,
        result.sigma,
        result.low,
        result.high,
    )
    row.unit, row.band = result.unit.value, result.band.value
    return row


def _basis(
    correction: Correction, frame: int, checkpoint: Checkpoint, machine: Reading | None
) -> Basis:
    """The machine's points and inputs for a frame, before the coach's points go over them."""
    known = machine is not None and machine.missing is None
    inputs = dict(machine.inputs) if machine and known else inputs_without_machine(checkpoint.id)
    own = (
        {PointName(name): (xy[0], xy[1]) for name, xy in machine.points.items()} if machine else {}
    )
    if machine is not None and known and machine.frame == frame:
        return own, inputs
    seen = correction.tracks.at(frame)
    still = {name: point for name, point in own.items() if name in _STILL_POINTS}
    points = {
        name: at for name, at in (still | dict(seen.points)).items() if name in checkpoint.points
    }
    # A point the machine does not see on this frame has no sigma here either.
    for name in checkpoint.points:
        if name not in points:
            inputs.pop(sigma_input(name), None)
    inputs |= {name: sigma for name, sigma in seen.sigmas.items() if name in checkpoint.inputs}
    return points, inputs


def _with_instant(
    correction: Correction, frame: int, checkpoint: Checkpoint, inputs: dict[str, float]
) -> dict[str, float]:
    """A frame chosen by eye is the nearest one: its error is uniform over one frame gap.

    It is the coach's instant: nothing is added to what it shows.

    The rate comes from the machine's points on the frames either side. Where they are missing the
    machine's own figure stays; it is never made smaller than that.
    """
    inputs = {name: value for name, value in inputs.items() if name != TO_INSTANT}
    rate = _rate(correction, frame, checkpoint, inputs)
    if rate is None or _SIGMA_INSTANT not in inputs:
        return inputs
    rate_per_s, gap_s = rate
    sigma = max(inputs[_SIGMA_INSTANT], instant_sigma(rate_per_s, gap_s))
    return {**inputs, _SIGMA_INSTANT: sigma}


def _rate(
    correction: Correction, frame: int, checkpoint: Checkpoint, inputs: dict[str, float]
) -> tuple[float, float] | None:
    """How fast the reading changes at a frame (its unit per second), and the frame gap (s)."""
    start, end = correction.tracks.time_s(frame - 1), correction.tracks.time_s(frame + 1)
    if start is None or end is None or end <= start:
        return None
    sides = replace(correction, placed={}, moved=False)
    values = [_value_at(sides, at, checkpoint, inputs) for at in (frame - 1, frame + 1)]
    if values[0] is None or values[1] is None:
        return None
    return (values[1] - values[0]) / (end - start), (end - start) / 2


def _value_at(
    correction: Correction, frame: int, checkpoint: Checkpoint, inputs: dict[str, float]
) -> float | None:
    seen = correction.tracks.at(frame)
    result = evaluate(
        checkpoint.id,
        seen.points,
        inputs | dict(seen.sigmas),
        handed=correction.hand,
        width_px=correction.width_px,
    )
    return None if isinstance(result, Missing) else result.value

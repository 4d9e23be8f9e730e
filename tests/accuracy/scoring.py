"""From a clip's truth and its measurement to rows. Every true thing gets one, whatever happened."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Keyframe, Missing, Reading, Swing
from api.domain.names import KeyframeId, View
from api.domain.uncertainty import interval95
from tests.accuracy.correct_events import frames_allowed
from tests.accuracy.digests import file_digest
from tests.accuracy.measuring import CRASHED, REFUSED, Measured
from tests.accuracy.pairing import Pairing, Span, pair
from tests.accuracy.rows import NOT_LOOKED_FOR_YET, ClipRow, Kind, Row, Status
from tests.accuracy.truths import Absent, TrueClip, TrueInstant, TrueSwing, TrueValue

NO_TRUE_SWING = "There is no swing here."
ONE_VIEW = {KeyframeId.HANDS_PAST_TRAIL_LEG: View.FACE_ON}
"""Instants defined in one view alone."""
_LOST = {REFUSED: Status.REFUSED, CRASHED: Status.CRASHED}


@dataclass(frozen=True, slots=True)
class ClipScore:
    """A clip's own row, those of what is true in it, and which found swing is which true one."""

    clip: ClipRow
    rows: tuple[Row, ...]
    pairs: tuple[tuple[int, int], ...] = ()


def score_clip(clip: TrueClip, measured: Measured) -> ClipScore:
    """Score everything true in a clip, and every value given in a swing that is none."""
    found = () if measured.measurement is None else measured.measurement.swings
    pairing = pair([swing.span_s for swing in clip.swings], [span_of(swing) for swing in found])
    rows: list[Row] = []
    for true, other in pairing.pairs:
        rows.extend(_Scorer(clip, true).paired(found[other]))
    lost = _LOST.get(measured.outcome, Status.NO_SWING)
    for true in pairing.missed:
        rows.extend(_Scorer(clip, true).lost(lost, measured.reason or "This swing was not found."))
    for place, other in enumerate(pairing.invented):
        rows.extend(_invented(clip, len(clip.swings) + place, found[other]))
    return ClipScore(_clip_row(clip, measured, pairing, len(found)), tuple(rows), pairing.pairs)


def _invented(clip: TrueClip, number: int, swing: Swing) -> Iterator[Row]:
    """Rows of what was given in a swing that is none; what is withheld there is no matter."""
    none = Absent(NO_TRUE_SWING)
    true = TrueSwing(dict.fromkeys(KeyframeId, none), {each.value: none for each in CHECKPOINTS})
    scorer = _Scorer(replace(clip, swings=(true,)), 0)
    for row in scorer.paired(swing):
        if row.status is Status.INVENTED:
            yield replace(row, swing=number, reason=NO_TRUE_SWING)


def span_of(swing: Swing) -> Span | None:
    """First and last instant of a found swing; ``None`` when it has none."""
    times = [at.time_s for at in swing.keyframes.values() if isinstance(at, Keyframe)]
    return (min(times), max(times)) if times else None


def _clip_row(clip: TrueClip, measured: Measured, pairing: Pairing, found: int) -> ClipRow:
    factors = clip.factors
    return ClipRow(
        clip=clip.name,
        digest=file_digest(clip.video),
        view=clip.view.value,
        outcome=measured.outcome,
        reason=measured.reason,
        swings_true=len(clip.swings),
        swings_found=found,
        missed=len(pairing.missed),
        invented=len(pairing.invented),
        frames=len(clip.frame_times_s),
        cpu_s=measured.cpu_s,
        wall_s=measured.wall_s,
        frame_rate=factors.frame_rate,
        exposure_s=factors.exposure_s,
        azimuth_deg=factors.azimuth_deg,
        build=factors.build,
        dials=factors.dials,
    )


class _Scorer:
    """Rows of one true swing."""

    def __init__(self, clip: TrueClip, number: int) -> None:
        self.clip, self.number = clip, number
        self.true: TrueSwing = clip.swings[number]
        self.allowed = frames_allowed(clip, self.true)

    def paired(self, swing: Swing) -> Iterator[Row]:
        """Rows of a swing that was found."""
        for key, instant in swing.keyframes.items():
            yield self._instant(key, instant)
        for checkpoint, reading in swing.checkpoints.items():
            if self.clip.view in CHECKPOINTS[checkpoint].views:
                yield self._reading(checkpoint, reading)

    def lost(self, status: Status, reason: str) -> Iterator[Row]:
        """Rows of a swing of which nothing was given: what is true in it still counts."""
        for key, at in self.true.instants.items():
            if isinstance(at, TrueInstant) and ONE_VIEW.get(key, self.clip.view) is self.clip.view:
                yield self._lost_instant(key, at.time_s, status, reason)
        for name, value in self.true.checkpoints.items():
            if isinstance(value, TrueValue) and self._read_in_this_view(name):
                yield Row(
                    clip=self.clip.name,
                    swing=self.number,
                    kind=Kind.CHECKPOINT,
                    id=name,
                    unit=CHECKPOINTS[CheckpointId(name)].unit.value,
                    status=status,
                    reason=reason,
                    ideal=value.ideal,
                    actual=value.actual,
                )

    def _read_in_this_view(self, name: str) -> bool:
        """Whether the pipeline reads this checkpoint, and in the clip's view."""
        if name not in {checkpoint.value for checkpoint in CHECKPOINTS}:
            return False
        return self.clip.view in CHECKPOINTS[CheckpointId(name)].views

    def _lost_instant(self, key: KeyframeId, at: float, status: Status, reason: str) -> Row:
        return Row(
            clip=self.clip.name,
            swing=self.number,
            kind=Kind.INSTANT,
            id=key.value,
            unit="ms",
            status=status,
            reason=reason,
            ideal=self.clip.life_ms(at),
            actual=self.clip.life_ms(at),
            true_frame=self.clip.nearest_frame(at),
            frames_allowed=self.allowed,
        )

    def _instant(self, key: KeyframeId, found: Keyframe | Missing) -> Row:
        true = self.true.instants.get(key)
        at = _true_time(true, found)
        row = Row(
            clip=self.clip.name,
            swing=self.number,
            kind=Kind.INSTANT,
            id=key.value,
            unit="ms",
            status=_status(
                true, found, tried=key.value not in NOT_LOOKED_FOR_YET and not self._other_view(key)
            ),
            reason=found.reason if isinstance(found, Missing) else "",
            ideal=None if at is None else self.clip.life_ms(at),
            actual=None if at is None else self.clip.life_ms(at),
            true_frame=None if at is None else self.clip.nearest_frame(at),
            frames_allowed=self.allowed,
        )
        return row if isinstance(found, Missing) else self._with_instant(row, found)

    def _with_instant(self, row: Row, found: Keyframe) -> Row:
        low, high = interval95(found.time_s, found.sigma_s)
        ms = self.clip.life_ms
        return replace(
            row,
            value=ms(found.time_s),
            sigma=ms(found.sigma_s),
            low=ms(low),
            high=ms(high),
            frame=found.frame,
        )

    def _other_view(self, key: KeyframeId) -> bool:
        return ONE_VIEW.get(key, self.clip.view) is not self.clip.view

    def _reading(self, checkpoint: CheckpointId, found: Reading | Missing) -> Row:
        true = self.true.checkpoints.get(checkpoint.value)
        row = Row(
            clip=self.clip.name,
            swing=self.number,
            kind=Kind.CHECKPOINT,
            id=checkpoint.value,
            unit=CHECKPOINTS[checkpoint].unit.value,
            status=_status(true, found, tried=checkpoint.value not in NOT_LOOKED_FOR_YET),
            reason=found.reason if isinstance(found, Missing) else "",
            ideal=true.ideal if isinstance(true, TrueValue) else None,
            actual=true.actual if isinstance(true, TrueValue) else None,
        )
        return row if isinstance(found, Missing) else _with_reading(row, found)


def _true_time(true: TrueInstant | Absent | None, found: Keyframe | Missing) -> float | None:
    """Seconds to measure from: where something stops, the right time nearest to the found one."""
    if not isinstance(true, TrueInstant):
        return None
    return true.time_s if isinstance(found, Missing) else true.nearest(found.time_s)


def _status(
    true: TrueInstant | TrueValue | Absent | None,
    found: Keyframe | Reading | Missing,
    *,
    tried: bool,
) -> Status:
    """What became of one thing, from its truth and what was found."""
    if isinstance(found, Missing):
        if not tried:
            return Status.NOT_LOOKED_FOR
        if isinstance(true, Absent):
            return Status.RIGHTLY_NONE
        return Status.NO_TRUTH if true is None else Status.WITHHELD
    if isinstance(true, Absent):
        return Status.INVENTED
    return Status.NO_TRUTH if true is None else Status.GIVEN


def _with_reading(row: Row, found: Reading) -> Row:
    return replace(
        row,
        value=found.value,
        sigma=found.sigma,
        low=found.low,
        high=found.high,
        frame=found.frame,
    )

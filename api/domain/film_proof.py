"""What all swings of all clips say of a drill: one verdict on each thing it asked, and how many swings showed it.

A thing is met where a swing met it. What is asked of one stop (its length and place, the hinge in it, and a number
read at the position where it is held) is met by one swing or not at all: the swing that comes nearest to all of it
speaks for its clip. Each clip is judged by itself and the verdicts are laid together: what one clip clearly denies is
not made good by the other, and where they differ it is told.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.drills import Drill
from api.domain.measurement import Missing, Reading
from api.domain.names import Purpose, View
from api.domain.proof import Part, Proof, Verdict, prove

Readings = Mapping[CheckpointId, Reading | Missing]
NO_STOP_ASKED = "It was sent as a full swing, and nobody has to stop in one."
IN_ANOTHER_SWING = (
    "Another swing shows it, but not together with the rest that this drill asks of the stop."
)
NOT_IN_SWING = "Where the hands were could not be told in this swing; your coach can see it."

_Asked = tuple[CheckpointId, Part]


@dataclass(frozen=True, slots=True)
class ClipOfSwings:
    """A measured clip: where its camera stood, and what is told of each of its swings, in their order."""

    view: View
    swings: Sequence[Readings]


@dataclass(frozen=True, slots=True)
class FilmProof:
    """One thing that was asked, and what the clips say of it.

    ``proof`` is that of the swing ``swing`` (from 0) on the clip ``view``; both ``None`` where no clip could show
    it. ``swings``: how many there are on the clips that can show it; ``swings_met`` of them met it, of
    ``swings_unseen`` it could not be seen.
    """

    proof: Proof
    view: View | None
    swing: int | None
    swings: int
    swings_met: int
    swings_unseen: int


@dataclass(frozen=True, slots=True)
class _Judged:
    """A clip with the verdicts on each swing, and the swing that speaks for a thing asked."""

    view: View
    swings: tuple[Mapping[_Asked, Proof], ...]
    best: Mapping[_Asked, int]

    def shows(self, asked: _Asked) -> bool:
        return asked in self.best

    def spoken(self, asked: _Asked) -> Proof:
        """The best swing's proof; whether another swing of the clip met it is said with it."""
        proof = self.swings[self.best[asked]][asked]
        if proof.verdict is Verdict.MET or not self.count(asked, Verdict.MET):
            return proof
        return replace(proof, why=f"{proof.why} {IN_ANOTHER_SWING}".lstrip())

    def count(self, asked: _Asked, verdict: Verdict) -> int:
        return sum(swing[asked].verdict is verdict for swing in self.swings)


def prove_film(
    drill: Drill,
    clips: Sequence[ClipOfSwings],
    *,
    purpose: Purpose,
    pause_s: float | None = None,
    bands: Mapping[CheckpointId, Bands] | None = None,
) -> tuple[FilmProof, ...]:
    """Everything that a drill asks, told from every swing. ``purpose``: what the student said the swings are.

    ``pause_s`` and ``bands`` as in ``prove``. Every clip has at least one swing.
    """
    every = [
        [_fair(prove(drill, swing, pause_s=pause_s, bands=bands), purpose) for swing in clip.swings]
        for clip in clips
    ]
    judged = [_judged(drill, clip.view, swings) for clip, swings in zip(clips, every, strict=True)]
    # Where the hands were is asked only where it was seen: the swing with the most has them all, in their order.
    most = max((swing for swings in every for swing in swings), key=len)
    return tuple(_laid_together(_key(one), one, judged) for one in most)


def _fair(asked: Iterable[Proof], purpose: Purpose) -> tuple[Proof, ...]:
    """A stop that is missing in a full swing is no failing; one that is there counts."""
    if purpose is not Purpose.FULL:
        return tuple(asked)
    return tuple(
        replace(
            one,
            verdict=Verdict.NOT_SEEN,
            why=(one.why if one.verdict is Verdict.NOT_SEEN else "") or NO_STOP_ASKED,
        )
        if one.of_a_stop and one.verdict is not Verdict.MET
        else one
        for one in asked
    )


def _key(one: Proof) -> _Asked:
    return one.checkpoint, one.part


# ---------------------------------------------------------------- the swings of one clip


def _judged(drill: Drill, view: View, swings: Sequence[tuple[Proof, ...]]) -> _Judged:
    seen = [{_key(one): one for one in swing if view in one.views} for swing in swings]
    asked = {key: one for swing in seen for key, one in swing.items()}
    filled = tuple(
        {key: swing.get(key) or _not_in_swing(one) for key, one in asked.items()} for swing in seen
    )
    of_the_stop = frozenset(key for key, one in asked.items() if _belongs_to_stop(drill, one))
    apart = [frozenset({key}) for key in asked if key not in of_the_stop]
    best: dict[_Asked, int] = {}
    for together in (of_the_stop, *apart):
        ranks = [_rank([swing[key] for key in together]) for swing in filled]
        best |= dict.fromkeys(together, ranks.index(max(ranks)))
    return _Judged(view, filled, best)


def _not_in_swing(one: Proof) -> Proof:
    """The same thing asked of a swing that does not show it, where another of the clip does."""
    asked = replace(one, verdict=Verdict.NOT_SEEN, why=NOT_IN_SWING)
    return replace(asked, value=None, low=None, high=None)


def _belongs_to_stop(drill: Drill, one: Proof) -> bool:
    """Asked of the drill's stop: the stop itself, its hinge, or a number read at the position where it is held."""
    if one.of_a_stop:
        return True
    keyframe = CHECKPOINTS[one.checkpoint].keyframe
    return drill.stop_at is not None and keyframe is drill.stop_at


def _rank(parts: Sequence[Proof]) -> tuple[int, int, int, int, int, float]:
    """Higher for the swing that comes nearer to all of what belongs together.

    As many things met as may be, the stop among them, and nothing clearly denied beside them. Where nothing is met,
    what was seen comes before what was not, and the nearer miss before the wider one.
    """
    count = {verdict: sum(one.verdict is verdict for one in parts) for verdict in Verdict}
    met, denied = count[Verdict.MET], count[Verdict.NOT_MET]
    stops = sum(one.of_a_stop and one.verdict is Verdict.MET for one in parts)
    missed = sum(_miss(one) for one in parts)
    return met, stops, -denied if met else 0, count[Verdict.TOO_CLOSE], denied, -missed


def _miss(one: Proof) -> float:
    """How far the number lies beyond its limits, in units of its own; 0 within or unseen."""
    if one.value is None:
        return 0.0
    short = 0.0 if one.least is None else one.least - one.value
    over = 0.0 if one.most is None else one.value - one.most
    return max(short, over, 0.0)


# ---------------------------------------------------------------- the clips

_WORDS = {View.FACE_ON: "face-on", View.DOWN_THE_LINE: "down-the-line"}
_WEIGHT = (Verdict.NOT_MET, Verdict.MET, Verdict.TOO_CLOSE, Verdict.NOT_SEEN)
"""What one clip says goes before what the other does: a clear denial stays, and what was not seen denies nothing."""


def _laid_together(asked: _Asked, any_proof: Proof, judged: Sequence[_Judged]) -> FilmProof:
    showing = [clip for clip in judged if clip.shows(asked)]
    if not showing:
        return FilmProof(any_proof, None, None, 0, 0, 0)
    spoken = [(clip, clip.spoken(asked)) for clip in showing]
    clip, proof = min(spoken, key=lambda one: _WEIGHT.index(one[1].verdict))
    if proof.verdict is Verdict.NOT_MET:
        met = [other for other, one in spoken if one.verdict is Verdict.MET]
        if met:
            differs = _disagreement(shown=met[0].view, denied=clip.view)
            proof = replace(proof, why=f"{differs} {proof.why}".rstrip())
    return FilmProof(
        proof,
        clip.view,
        clip.best[asked],
        sum(len(one.swings) for one in showing),
        sum(one.count(asked, Verdict.MET) for one in showing),
        sum(one.count(asked, Verdict.NOT_SEEN) for one in showing),
    )


def _disagreement(*, shown: View, denied: View) -> str:
    return (
        f"The two clips disagree: it is seen {_WORDS[shown]}, and clearly not {_WORDS[denied]}. They are two swings, "
        "or one camera stood off its line; the coach decides."
    )

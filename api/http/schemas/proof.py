"""Bodies about what new clips say of drills given before."""

from datetime import datetime

from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import KeyframeId, Unit, View
from api.domain.proof import Part, Verdict
from api.http.schemas.common import Read


class AskedRead(Read):
    """One thing a drill asked, the verdict, and the reading behind it with its 95 % interval.

    ``least`` and ``most`` in ``unit``, null for no limit on that side. ``part``: the checkpoint's value, or how
    the shaft stood. ``where``: the position at which a pause is asked for, null for any. ``why``: the reason
    where nothing was seen, or where the number alone does not tell the verdict; else empty.

    ``view`` and ``swing`` (from 0): the clip and the swing on it that the verdict and the reading are of, null where
    no clip could show it. Of ``swings`` on the clips that can show it, ``swings_met`` met it, and of
    ``swings_unseen`` it could not be seen. All five are null in answers from before every swing was read.
    """

    checkpoint: CheckpointId
    part: Part
    where: KeyframeId | None
    unit: Unit
    least: float | None
    most: float | None
    verdict: Verdict
    why: str
    value: float | None
    low: float | None
    high: float | None
    view: View | None
    swing: int | None
    swings: int | None
    swings_met: int | None
    swings_unseen: int | None


class ProvenDrillRead(Read):
    """A drill given before. ``asked`` is empty where nothing of it can be read from a clip."""

    drill_id: str
    name: str
    next_clip: str
    asked: list[AskedRead]


class DrillProofRead(Read):
    """The drills of the student's latest answer before these clips, and whether the clips show them."""

    answered_at: datetime
    coach_name: str
    drills: list[ProvenDrillRead]

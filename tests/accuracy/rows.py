"""Rows of the report: one for each clip, and one for each instant and reading of each true swing.

Every true thing has a row whatever became of it; the row says what. So has every value given in a
swing that is none; such a swing is numbered after the true ones. Instants are in milliseconds
of life (a slow-motion file's are divided by its stretch), readings in their checkpoint's unit, errors
are found less true.
"""

import math
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from enum import StrEnum
from typing import Any

from api.domain.uncertainty import Z95


class Kind(StrEnum):
    """What a row is about."""

    INSTANT = "instant"
    CHECKPOINT = "checkpoint"


class Status(StrEnum):
    """What became of one true thing."""

    GIVEN = "given"
    """A value was given, and there is a true one."""
    WITHHELD = "withheld"
    """There is a true one; the pipeline said why it gives none."""
    NO_SWING = "no_swing"
    """The true swing was missed, so the pipeline gave nothing."""
    REFUSED = "refused"
    """The pipeline refused the whole clip."""
    CRASHED = "crashed"
    """The pipeline broke on the clip: our fault."""
    INVENTED = "invented"
    """A value was given where truth says that there is none."""
    RIGHTLY_NONE = "rightly_none"
    """Nothing given, and there is none."""
    NOT_LOOKED_FOR = "not_looked_for"
    """One of ``NOT_LOOKED_FOR_YET``, or not defined in this view."""
    NO_TRUTH = "no_truth"
    """A value or a reason was given, but the truth file does not know this thing."""


LOST = (Status.WITHHELD, Status.NO_SWING, Status.REFUSED, Status.CRASHED)
"""There is a true value and none was given."""
NOT_LOOKED_FOR_YET: frozenset[str] = frozenset()
"""What is in no share as long as it is never given. Kept here, so that no wording of the pipeline's
reasons can take anything else out of the count."""
SURE_WRONG_HALF_WIDTHS = 2.0
"""A reading is surely wrong when the truth lies more half-widths of its 95 % interval than this
from the value: some 3.9 sigma, once in ten thousand if the interval meant what it says."""


@dataclass(frozen=True, slots=True)
class Row:
    """One instant or reading of one true swing. ``swing`` counts from 0 within its clip.

    ``frames_off`` and ``frames_allowed`` serve the published share of correct events: whole
    frames between found and true, and its tolerance; ``None`` where that cannot be said.
    """

    clip: str
    swing: int
    kind: Kind
    id: str
    unit: str
    status: Status
    reason: str = ""
    ideal: float | None = None
    actual: float | None = None
    value: float | None = None
    sigma: float | None = None
    low: float | None = None
    high: float | None = None
    frame: int | None = None
    true_frame: int | None = None
    frames_allowed: int | None = None

    @property
    def key(self) -> str:
        """Names the same thing in another report."""
        return f"{self.clip}#{self.swing}"

    @property
    def error(self) -> float | None:
        """Value less the ideal camera's truth; only where both are there."""
        if self.status is not Status.GIVEN or self.value is None or self.ideal is None:
            return None
        return self.value - self.ideal

    @property
    def error_actual(self) -> float | None:
        """Value less the truth for the camera that filmed."""
        if self.status is not Status.GIVEN or self.value is None or self.actual is None:
            return None
        return self.value - self.actual

    @property
    def inside(self) -> bool | None:
        """Whether the ideal camera's truth lies in the 95 % interval."""
        if self.error is None or self.low is None or self.high is None or self.ideal is None:
            return None
        return self.low <= self.ideal <= self.high

    @property
    def inside_actual(self) -> bool | None:
        """Whether the truth for the camera that filmed lies in the 95 % interval."""
        if self.error_actual is None or self.low is None or self.high is None:
            return None
        return self.actual is not None and self.low <= self.actual <= self.high

    @property
    def z(self) -> float | None:
        """Error in sigmas."""
        if self.error is None or self.sigma is None or self.sigma <= 0.0:
            return None
        return self.error / self.sigma

    @property
    def sure_wrong(self) -> bool:
        """Given, and the truth is further off than ``SURE_WRONG_HALF_WIDTHS``; also a value given
        where there is none."""
        if self.status is Status.INVENTED:
            return True
        if self.error is None or self.sigma is None:
            return False
        return abs(self.error) > SURE_WRONG_HALF_WIDTHS * Z95 * self.sigma

    @property
    def without_sigma(self) -> bool:
        """Given without a finite sigma, whether or not there is a true one: a defect of its own."""
        if self.value is None:
            return False
        return self.sigma is None or not math.isfinite(self.sigma)

    @property
    def half_width(self) -> float | None:
        """Half the width of the 95 % interval, in the row's unit; only where there is an error."""
        if self.error is None or self.low is None or self.high is None:
            return None
        return (self.high - self.low) / 2.0

    @property
    def frames_off(self) -> int | None:
        """Whole frames from the true frame to the found one, unsigned."""
        if self.status is not Status.GIVEN or self.frame is None or self.true_frame is None:
            return None
        return abs(self.frame - self.true_frame)


@dataclass(frozen=True, slots=True)
class ClipRow:
    """A clip as a whole. ``outcome``: measured, refused or crashed; ``reason`` says why not."""

    clip: str
    digest: str
    view: str
    outcome: str
    reason: str
    swings_true: int
    swings_found: int
    missed: int
    invented: int
    frames: int
    cpu_s: float
    wall_s: float
    frame_rate: float
    exposure_s: float
    azimuth_deg: float
    build: str
    dials: Mapping[str, str] = field(default_factory=dict)


def row_to_json(row: Row | ClipRow) -> dict[str, Any]:
    """Plain JSON values; what is ``None`` or empty is left out."""
    return {name: value for name, value in asdict(row).items() if value not in (None, "")}


def row_from_json(data: Mapping[str, Any]) -> Row:
    """Read what ``row_to_json`` wrote of a ``Row``."""
    return Row(**{**data, "kind": Kind(data["kind"]), "status": Status(data["status"])})


def clip_row_from_json(data: Mapping[str, Any]) -> ClipRow:
    """Read what ``row_to_json`` wrote of a ``ClipRow``."""
    return ClipRow(**{"reason": "", **data})

"""What a number was called, meant and was held against when an answer was sent."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.sheet.amounts import Saying, saying_of

_LIMITS = ("watch_low", "good_low", "good_high", "watch_high")


@dataclass(frozen=True, slots=True)
class Told:
    """A checkpoint as an answer told it. ``bands`` in its ``unit``; ``None`` where nothing is asked of it."""

    id: str
    name: str
    meaning: str
    unit: str
    keyframe: str
    main: bool
    views: tuple[str, ...]
    bands: Bands | None

    @property
    def saying(self) -> Saying:
        """How its numbers are said."""
        return saying_of(self.id, self.unit)


def as_kept(ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """For an answer's snapshot: a later change of words or limits never rewrites what somebody was told."""
    return {one: _kept(CheckpointId(one)) for one in sorted(set(ids))}


def _kept(one: CheckpointId) -> dict[str, Any]:
    defined = CHECKPOINTS[one]
    bands = defined.bands
    return {
        "name": defined.name,
        "meaning": defined.meaning,
        "unit": defined.unit.value,
        "keyframe": defined.keyframe.value,
        "main": defined.main,
        "views": [view.value for view in defined.views],
        "bands": None if bands is None else {name: getattr(bands, name) for name in _LIMITS},
    }


def told(kept: Mapping[str, Mapping[str, Any]], one: str) -> Told | None:
    """The checkpoint as it was kept; of answers from before it was kept, as it is now. ``None``: unknown."""
    known = kept.get(one)
    if known is None:
        if one not in CHECKPOINTS:
            return None
        known = _kept(CheckpointId(one))
    return Told(
        id=one,
        name=known["name"],
        meaning=known["meaning"],
        unit=known["unit"],
        keyframe=known["keyframe"],
        main=known["main"],
        views=tuple(known["views"]),
        bands=bands_of(known["bands"]),
    )


def bands_of(limits: Mapping[str, Any] | None) -> Bands | None:
    """Limits as an answer keeps them."""
    return None if limits is None else Bands(*(float(limits[name]) for name in _LIMITS))

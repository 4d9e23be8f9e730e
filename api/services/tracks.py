"""The machine's points on any frame of a clip, as the worker stored them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from api.db.models import Analysis
from api.domain.checkpoints import sigma_input
from api.domain.measurement import Point
from api.domain.names import PointName
from api.services.media import load_json
from api.storage.base import Storage
from api.storage.keys import product_key

_KNOWN = frozenset(PointName)


@dataclass(frozen=True, slots=True)
class FramePoints:
    """Points on one frame, original display pixels, and one sigma of each, by input name."""

    points: Mapping[PointName, Point] = field(default_factory=dict)
    sigmas: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ClipTracks:
    """Points by frame, and the time of each frame in seconds on the proxy's clock.

    Either may be empty: a clip may have no tracks, or the store may have lost them.
    """

    frames: Mapping[str, Any]
    times_s: tuple[float, ...]

    def at(self, frame: int) -> FramePoints:
        """The machine's points on a frame; none where it saw nothing."""
        seen = self.frames.get(str(frame), {})
        known = {PointName(name): place for name, place in seen.items() if name in _KNOWN}
        return FramePoints(
            points={name: (float(place[0]), float(place[1])) for name, place in known.items()},
            sigmas={sigma_input(name): float(place[2]) for name, place in known.items()},
        )

    def time_s(self, frame: int) -> float | None:
        """When a frame is shown; None when that is not known."""
        return self.times_s[frame] if 0 <= frame < len(self.times_s) else None


def load_tracks(storage: Storage, analysis: Analysis) -> ClipTracks:
    """Read ``tracks.json`` and ``frame_times.json`` of an analysis."""

    def product(name: str) -> dict[str, Any]:
        key = product_key(analysis.clip_id, analysis.pipeline_version, name)
        document: dict[str, Any] | None = load_json(storage, key)
        return document or {}

    return ClipTracks(
        frames=product("tracks.json").get("frames", {}),
        times_s=tuple(product("frame_times.json").get("times_s", ())),
    )

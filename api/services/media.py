"""Links to what was made of a clip. A thing that is not in the store has no link."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from api.db.models import Analysis
from api.storage.base import Storage
from api.storage.keys import annotated_name, product_key, still_name
from api.storage.links import LinkSigner

NEAR_FRAMES = 6
"""Frames either side of a keyframe whose plain pictures are looked for."""


@dataclass(frozen=True, slots=True)
class ClipMedia:
    """Signed links. ``stills`` and ``annotated`` go by keyframe of the first swing that has it.

    ``frames`` are plain pictures by frame number, around the keyframes of every swing.
    """

    proxy: str | None
    frame_times: str | None
    tracks: str | None
    stills: Mapping[str, str]
    annotated: Mapping[str, str]
    frames: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class MediaLinks:
    """Makes links for things that exist."""

    storage: Storage
    signer: LinkSigner

    def link(self, key: str | None) -> str | None:
        """A link to ``key``, or None when nothing is stored there."""
        if key is None or not self.storage.exists(key):
            return None
        return self.signer.link(key)

    def of(self, analysis: Analysis, name: str) -> str | None:
        """A link to one product of an analysis."""
        return self.link(product_key(analysis.clip_id, analysis.pipeline_version, name))

    def clip_media(self, analysis: Analysis) -> ClipMedia:
        """Everything that was made of a clip."""
        frames = keyframe_frames(analysis.measurement)
        return ClipMedia(
            proxy=self.of(analysis, "proxy.mp4"),
            frame_times=self.of(analysis, "frame_times.json"),
            tracks=self.of(analysis, "tracks.json"),
            stills=self._links(analysis, {key: still_name(at) for key, at in frames.items()}),
            annotated=self._links(analysis, {key: annotated_name(key) for key in frames}),
            frames=self._links(
                analysis, {str(at): still_name(at) for at in frames_near(analysis.measurement)}
            ),
        )

    def _links(self, analysis: Analysis, names: Mapping[str, str]) -> dict[str, str]:
        links = {label: self.of(analysis, name) for label, name in names.items()}
        return {label: link for label, link in links.items() if link is not None}


def keyframe_frames(measurement: Mapping[str, Any]) -> dict[str, int]:
    """Frame of each keyframe found, in the first swing that has it."""
    found: dict[str, int] = {}
    for swing in measurement.get("swings", ()):
        for keyframe, what in swing["keyframes"].items():
            if "frame" in what:
                found.setdefault(keyframe, what["frame"])
    return found


def frames_near(measurement: Mapping[str, Any]) -> Sequence[int]:
    """Frames of which a plain picture may be kept: those around every swing's keyframes, rising."""
    centres = {
        what["frame"]
        for swing in measurement.get("swings", ())
        for what in swing["keyframes"].values()
        if "frame" in what
    }
    near = {at + step for at in centres for step in range(-NEAR_FRAMES, NEAR_FRAMES + 1)}
    return sorted(frame for frame in near if frame >= 0)


def load_json(storage: Storage, key: str) -> Any | None:  # noqa: ANN401 - any JSON value
    """A stored JSON document; None when it is not there."""
    try:
        with storage.open(key) as file:
            return json.load(file)
    except FileNotFoundError:
        return None

"""Plain pictures of chosen frames, as JPEG, in the original's full upright size."""

from collections.abc import Collection, Iterator
from pathlib import Path

import cv2

from api.domain.errors import PipelineFault
from worker.video.frames import Picture, iter_frames
from worker.video.probe import ClipProbe

JPEG_QUALITY = 88


def write_stills(
    path: Path, probe: ClipProbe, frames: Collection[int], out_dir: Path
) -> Iterator[tuple[int, Picture, Path]]:
    """Write ``still_{frame}.jpg`` of each frame and yield ``(frame, picture, file)`` in order."""
    for frame, picture in iter_frames(path, probe, frames):
        out = out_dir / f"still_{frame}.jpg"
        write_jpeg(picture, out)
        yield frame, picture, out


def write_jpeg(picture: Picture, out: Path) -> None:
    """Write a BGR picture. Raises ``PipelineFault`` when it cannot be encoded."""
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    if not done:
        raise PipelineFault(f"{out.name} could not be encoded.")
    out.write_bytes(data.tobytes())

"""Makes ``tests/vectors/framing.json``: bodies in the phone's pictures, and what the worker's rules say of them.

    python -m tests.worker.measure.framing_vectors

Bodies are those the first look's network finds in kept clips, and the same moved, made smaller or nearer.
"""

import json
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import av
import cv2
import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Estimate
from api.domain.names import View
from worker.body.detector import PersonDetector
from worker.body.joints import BodyTrack
from worker.body.networks import LandmarkNetwork
from worker.body.tracker import Tracker
from worker.body.weights import Network
from worker.measure.filming import Size, filmed, person_out, swing_problems
from worker.measure.ideal import Stand
from worker.measure.seen import LEG_MIN_PX, view_seen
from worker.measure.setting import FOCAL_OVER_LONG_SIDE, Setting, px_per_m_from_body
from worker.swing.scan import SCAN_SIDE
from worker.swing.shoulder import leg_px

ROOT = Path(__file__).resolve().parents[3]
TARGET = ROOT / "tests/vectors/framing.json"
CLIPS = {
    "face_on": "face_on_neutral",
    "left_handed": "face_on_left_handed",
    "from_behind": "down_the_line_neutral",
    "from_behind_roll": "down_the_line_roll",
}
FRAMES = (0, 8, 16, 24)
DOWN_SIGMA_DEG = 1.0
"""As the page's (``web/src/student/filming/tilt.ts``)."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Change:
    """What is done to a clip's points: first scaled about the picture's middle, then shifted, pixels."""

    name: str
    times: float = 1.0
    right: float = 0.0
    down: float = 0.0
    narrow: float = 1.0
    down_deg: float = 0.0
    roll_deg: float = 0.0


CHANGES = (
    Change("as_it_is"),
    Change("near", times=2.8),
    Change("far", times=0.35),
    Change("feet_out", down=220.0),
    Change("head_out", down=-320.0),
    Change("aside", right=230.0),
    Change("turned_away", narrow=0.72),
    Change("looks_up", down_deg=-14.0, roll_deg=3.0),
    Change("looks_down", down_deg=16.0, roll_deg=-4.0),
)


def pictures(name: str) -> list[NDArray[np.uint8]]:
    """Frames of a kept clip as the phone's page looks at them: RGB, the longer side 640."""
    kept = []
    with av.open(str(ROOT / f"tests/clips/{name}.mp4")) as clip:
        for index, frame in enumerate(clip.decode(video=0)):
            if index in FRAMES:
                rgb = frame.to_ndarray(format="rgb24")
                scale = SCAN_SIDE / max(rgb.shape[:2])
                size = (round(rgb.shape[1] * scale), round(rgb.shape[0] * scale))
                kept.append(
                    np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
                )
    return kept


def bodies(shown: list[NDArray[np.uint8]]) -> Array:
    """(n, 33, 2) points, tracked as in the first look."""
    tracker = Tracker(LandmarkNetwork(Network.LITE), PersonDetector().find(shown[0])[0].crop)
    return np.stack([tracker.step(rgb).xy for rgb in shown])


def changed(xy: Array, size: Size, change: Change) -> Array:
    """Points after a change."""
    moved = (xy - size.middle) * change.times + size.middle + [change.right, change.down]
    across = moved[..., 0].mean(axis=1, keepdims=True)
    moved[..., 0] = across + change.narrow * (moved[..., 0] - across)
    return np.asarray(np.round(moved, 2))


def track_of(xy: Array) -> BodyTrack:
    """As the worker keeps them, a frame every quarter of a second."""
    rows = len(xy)
    return BodyTrack(np.arange(rows), np.arange(rows) / 4.0, xy, np.ones((rows, 33)))


def judged(xy: Array, size: Size, change: Change, view: View, film_px: float) -> dict[str, Any]:
    """What the worker's rules say."""
    track = track_of(xy)
    scale = px_per_m_from_body(track, None)
    down, roll = math.radians(change.down_deg), Estimate(change.roll_deg, 0.5)
    focal = FOCAL_OVER_LONG_SIDE.value * max(size.width, size.height)
    off_level = FOCAL_OVER_LONG_SIDE.sigma * max(size.width, size.height) * math.tan(down)
    turn = focal / math.cos(down) ** 2 * math.radians(DOWN_SIGMA_DEG)
    horizon = Estimate(
        float(size.middle[1]) - focal * math.tan(down), math.hypot(turn, abs(off_level))
    )
    setting = Setting(scale, Estimate(4.0, 0.8), horizon, focal)
    swing = filmed(
        {}, None, track, setting, Stand(Estimate(0.0, 1.0), roll), size, view, until_s=1.0
    )
    assert swing.above_hands_m is not None
    return {
        "view_seen": view_seen(track),
        "leg_px": leg_px(track),
        "too_small": bool(leg_px(track) * film_px < LEG_MIN_PX),
        "cut_off": person_out(track, size),
        "distance_m": {"value": swing.distance_m.value, "sigma": swing.distance_m.sigma},
        "above_hands_m": {"value": swing.above_hands_m.value, "sigma": swing.above_hands_m.sigma},
        "codes": [each.code for each in swing_problems([swing])],
    }


def cases() -> list[dict[str, Any]]:
    """Every clip with every change."""
    made = []
    for short, name in CLIPS.items():
        shown = pictures(name)
        size = Size(shown[0].shape[1], shown[0].shape[0])
        view = View.DOWN_THE_LINE if name.startswith("down") else View.FACE_ON
        found = bodies(shown)
        for change in CHANGES:
            xy = changed(found, size, change)
            made.append(
                {
                    "id": f"{short}_{change.name}",
                    "view": view.value,
                    "handed": "left" if "left" in name else "right",
                    "width": size.width,
                    "height": size.height,
                    "film_px": 2.0,
                    "down_deg": change.down_deg,
                    "roll_deg": change.roll_deg,
                    "points": xy.tolist(),
                    "expected": judged(xy, size, change, view, 2.0),
                }
            )
    return made


def main() -> None:
    """Write the file."""
    note = "Made by python -m tests.worker.measure.framing_vectors. points: pictures x 33 x 2, pixels. film_px: the film's pixels in one of these. above_hands_m: for a lens that looks down_deg down and shows all turned anticlockwise by roll_deg."
    TARGET.write_text(json.dumps({"note": note, "cases": cases()}, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()

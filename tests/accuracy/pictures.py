"""The worst cases as pictures: what is true as solid lines, what was found as dashed ones.

Two panels each, cut to golfer and club. Readings: what is true on the frame of the true instant, to
which the true value belongs, beside what was found on the frame that was read. Instants: the true frame
beside the found one, both with the true arm and club.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.measurement import Reading
from api.domain.names import KeyframeId
from tests.accuracy.correct_events import OWN_TOLERANCE_MS
from tests.accuracy.rows import Kind, Row
from tests.accuracy.truths import Point, TrueClip, TrueInstant
from worker.picture.strokes import AMBER, WHITE, Pen, dot, line, ring, text_size, write
from worker.video.frames import Picture, iter_frames
from worker.video.probe import probe_clip

ARM = ("lead_shoulder", "lead_wrist")
CLUB = ("butt", "clubhead")
AIM = ("butt", "aim")
"""From the butt end along the shaft's line to the ball's row."""
LINES = (ARM, CLUB, AIM)
SIDE_PX = 720
"""Height of a panel."""
TEXT_PX = 22
JPEG_QUALITY = 82
TRUE_PEN = Pen(WHITE, 3)
FOUND_PEN = Pen(AMBER, 3, dashed=True)

Points = Mapping[str, Point]


@dataclass(frozen=True, slots=True)
class Worst:
    """A case and how bad it is: error over what would still be tolerable."""

    row: Row
    badness: float


def worst_of(rows: Iterable[Row], count: int) -> list[Worst]:
    """The cases furthest off. Readings: over half the good band's half-width; instants: over their
    tolerance in milliseconds; so that degrees and grip lengths can stand in one list."""
    cases = [Worst(row, abs(row.error) / tolerable(row)) for row in rows if row.error is not None]
    return sorted(cases, key=lambda case: (-case.badness, case.row.key, case.row.id))[:count]


def tolerable(row: Row) -> float:
    """An error that would still serve, in the row's unit."""
    if row.kind is Kind.INSTANT:
        return OWN_TOLERANCE_MS[KeyframeId(row.id)]
    definition = CHECKPOINTS[CheckpointId(row.id)]
    # Where nothing is asked of a number, half of what makes it withheld stands for a quarter of a band.
    return (
        definition.withhold_sigma / 2.0
        if definition.bands is None
        else definition.bands.good_width / 4.0
    )


def reading_picture(clip: TrueClip, row: Row, reading: Reading) -> bytes:
    """One reading: true arm and club solid on the frame nearest to the true instant, found ones dashed
    on the frame that was read. Where truth has no such instant, the found panel alone."""
    found: Points = {name.value: at for name, at in reading.points.items()}
    true_frame = frame_of_truth(clip, row)
    true = {} if true_frame is None else _true_points(clip, true_frame)
    if row.id == CheckpointId.BUTT_END_INSIDE.value:
        found, true = _aimed(found), _aimed({n: p for n, p in true.items() if n not in ARM})
    panels = [(reading.frame, found, FOUND_PEN, "found")]
    if true_frame is not None:
        panels.insert(0, (true_frame, true, TRUE_PEN, "true"))
    pictures = _frames(clip, [frame for frame, *_ in panels])
    around = [*_drawn(true), *_drawn(found)]
    drawn = []
    for frame, points, pen, words in panels:
        panel, place = _cut(pictures[frame], around)
        _draw(panel, place(points), pen, words)
        _title(panel, f"{words}: frame {frame}")
        drawn.append(panel)
    return _jpeg(_beside_each_other(drawn))


def frame_of_truth(clip: TrueClip, row: Row) -> int | None:
    """The shown frame nearest to the instant to which a reading's true value belongs."""
    at = clip.swings[row.swing].instants.get(CHECKPOINTS[CheckpointId(row.id)].keyframe)
    return clip.nearest_frame(at.time_s) if isinstance(at, TrueInstant) else None


def instant_picture(clip: TrueClip, row: Row) -> bytes:
    """One instant: the true frame on the left, the found one on the right."""
    if row.frame is None or row.true_frame is None:
        raise ValueError("only an instant that was given has a picture")
    pictures = _frames(clip, [row.true_frame, row.frame])
    around = [p for f in (row.true_frame, row.frame) for p in _drawn(_true_points(clip, f))]
    panels = []
    for frame, words in ((row.true_frame, "true"), (row.frame, "found")):
        panel, place = _cut(pictures[frame], around)
        _draw(panel, place(_true_points(clip, frame)), TRUE_PEN, "")
        _title(panel, f"{words}: frame {frame}")
        panels.append(panel)
    return _jpeg(_beside_each_other(panels))


def _beside_each_other(panels: Sequence[Picture]) -> Picture:
    gap = np.full((panels[0].shape[0], 8, 3), 255, np.uint8)
    parts = [part for panel in panels for part in (gap, panel)]
    return np.asarray(np.hstack(parts[1:]), dtype=np.uint8)


def _true_points(clip: TrueClip, frame: int) -> Points:
    return clip.points[frame] if clip.points else {}


def _aimed(points: Points) -> Points:
    """With the place on the ball's row that the butt end points to, where it points down."""
    if not {"butt", "clubhead", "ball"} <= points.keys():
        return points
    (x, y), (far_x, far_y), row = points["butt"], points["clubhead"], points["ball"][1]
    if y - far_y < 1.0:
        return points
    share = (row - y) / (y - far_y)
    return {**points, "aim": (x + share * (x - far_x), row)}


def _frames(clip: TrueClip, indices: Sequence[int]) -> dict[int, Picture]:
    return dict(iter_frames(clip.video, probe_clip(clip.video), frozenset(indices)))


def _drawn(points: Points) -> list[Point]:
    """The points that lines will be drawn between, and the ball where a line ends on its row."""
    names = [*(name for pair in LINES for name in pair), *(["ball"] if "aim" in points else [])]
    return [points[name] for name in names if name in points]


@dataclass(frozen=True, slots=True)
class _Place:
    """From the clip's pixels to a panel's."""

    left: float
    top: float
    scale: float

    def __call__(self, points: Points) -> Points:
        return {
            name: ((x - self.left) * self.scale, (y - self.top) * self.scale)
            for name, (x, y) in points.items()
        }


def _cut(picture: Picture, points: Sequence[Point]) -> tuple[Picture, _Place]:
    """A panel around the points, three fifths as wide as high, and where things went."""
    height, width = picture.shape[:2]
    xs = [p[0] for p in points] or [0.0, width]
    ys = [p[1] for p in points] or [0.0, height]
    tall = min(height, max(1.4 * (max(ys) - min(ys)), 1.4 * (max(xs) - min(xs)) / 0.8, height / 3))
    wide = min(width, 0.8 * tall)
    left = min(max(0.0, (min(xs) + max(xs) - wide) / 2.0), width - wide)
    top = min(max(0.0, (min(ys) + max(ys) - tall) / 2.0), height - tall)
    part = picture[round(top) : round(top + tall), round(left) : round(left + wide)]
    scale = SIDE_PX / part.shape[0]
    size = (round(part.shape[1] * scale), SIDE_PX)
    enlarged = cv2.resize(
        part, size, interpolation=cv2.INTER_CUBIC if scale > 1 else cv2.INTER_AREA
    )
    return np.ascontiguousarray(enlarged, dtype=np.uint8), _Place(round(left), round(top), scale)


def _draw(panel: Picture, points: Points, pen: Pen, label: str) -> None:
    """Arm and club with dots at their ends; the label stands at the club's far end."""
    for start, end in LINES:
        if start in points and end in points:
            line(panel, points[start], points[end], pen)
            for name in (start, end):
                dot(panel, points[name], 4.0, pen.colour)
    if "aim" in points:
        ring(panel, points["ball"], 12.0, pen)
    if label and CLUB[1] in points:
        write(
            panel, label, _beside(panel, points[CLUB[1]], label, pen), TEXT_PX, bold=True, halo=True
        )


def _beside(panel: Picture, at: Point, label: str, pen: Pen) -> Point:
    """Where a label stands: true ones left of the point, found ones right; below where it is tight."""
    wide, high = text_size(label, TEXT_PX, bold=True)
    x, y = at[0] + (12.0 if pen.dashed else -wide - 12.0), max(at[1], 2.0 * TEXT_PX + high)
    if x < 4.0 or x + wide > panel.shape[1] - 4.0:
        x = min(max(4.0, at[0] - wide / 2.0), panel.shape[1] - wide - 4.0)
        y += 1.6 * TEXT_PX
    return x, y


def _title(panel: Picture, words: str) -> None:
    write(panel, words, (10.0, 10.0 + TEXT_PX), TEXT_PX, bold=True, halo=True)


def _jpeg(picture: Picture) -> bytes:
    done, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY])
    if not done:
        raise ValueError("the picture could not be encoded")
    return data.tobytes()

"""Contact sheets: clips down the page, five moments of the first swing across."""

from collections.abc import Iterator, Mapping, Sequence

import cv2
import numpy as np

from api.domain.names import Hand
from tests.studio.dials import ClipDials
from tests.studio.film import Picture
from tests.studio.filming import Scene, set_up
from tests.studio.render import Studio
from tests.studio.swing.keys import Phase
from tests.studio.swing.timing import make_schedule

MOMENTS: Mapping[Phase, str] = {
    Phase.ADDRESS: "address",
    Phase.ARM_PARALLEL: "lead arm parallel",
    Phase.TOP: "top",
    Phase.IMPACT: "impact",
    Phase.FINISH: "finish",
}
_CELL_HEIGHT, _CELL_WIDTH = 480, 480
_GROUND, _INK = (244, 242, 238), (40, 40, 44)
_TEXT_ROWS = 26
_EMPTY = np.empty((0, 0, 3), np.uint8)


def planned_moments(dials: ClipDials) -> dict[Phase, float]:
    """Life seconds at which the first swing is planned to be at each moment (the middle of a pause
    there); those after the top are missing where it stops at the top.
    """
    schedule = make_schedule(dials.swing)
    start_s = schedule.starts_s[0]
    nodes = [
        n for n in zip(schedule.times_s, schedule.phases, strict=True) if n[0] >= start_s - 1e-9
    ]
    found: dict[Phase, float] = {}
    for moment in MOMENTS:
        there = [time_s for time_s, phase in nodes if phase == moment]
        if there:
            first, after = there[0], there[1] if len(there) > 1 else there[0]
            found[moment] = first if moment is Phase.ADDRESS else (first + after) / 2
    return found


def contact_sheet(clips: Sequence[ClipDials], *, close: bool = False) -> Picture:
    """RGB picture of one row a clip: a frame as the clip's phone would take it at each moment.

    ``close``: cut out golfer and club.
    """
    return np.vstack([_row(dials, close=close) for dials in clips])


def stills(scene: Scene) -> Iterator[tuple[Phase, Picture]]:
    """Frames whose middle is at each planned moment, full size, RGB."""
    with Studio(scene.dials, scene.motion, scene.camera) as studio:
        for index, (moment, at_s) in enumerate(planned_moments(scene.dials).items()):
            yield moment, studio.frame(at_s - scene.times.middle_after_s, index)


def _row(dials: ClipDials, *, close: bool) -> Picture:
    scene = set_up(dials)
    cells = dict.fromkeys(MOMENTS, _EMPTY)
    for moment, picture in stills(scene):
        at_s = planned_moments(dials)[moment]
        cells[moment] = _cut_out(picture, scene, at_s) if close else picture
    return np.hstack([_cell(cells[key], f"{dials.name}: {MOMENTS[key]}") for key in MOMENTS])


def _cut_out(picture: Picture, scene: Scene, at_s: float) -> Picture:
    """The golfer and the club with some room, as far as they are in the picture."""
    pose = scene.motion.at(at_s)
    points = np.array([*pose.joints.values(), *pose.club.values()])
    seen = scene.camera.project(points, at_s)
    if scene.dials.golfer.handed is Hand.LEFT:
        seen[:, 0] = scene.camera.width - 1 - seen[:, 0]
    room = 0.12 * float(np.ptp(seen[:, 1]))
    low, high = seen.min(axis=0) - room, seen.max(axis=0) + room
    left, top = np.clip(low, 0, None).astype(int)
    right, bottom = np.clip(high, 1, None).astype(int)
    return picture[top:bottom, left:right]


def _cell(picture: Picture, text: str) -> Picture:
    cell = np.full((_CELL_HEIGHT + _TEXT_ROWS, _CELL_WIDTH, 3), _GROUND, np.uint8)
    if picture.size:
        height, width = picture.shape[:2]
        shrink = min(_CELL_HEIGHT / height, _CELL_WIDTH / width)
        small = cv2.resize(picture, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA)
        left = (_CELL_WIDTH - small.shape[1]) // 2
        cell[_TEXT_ROWS : _TEXT_ROWS + small.shape[0], left : left + small.shape[1]] = small
    cv2.putText(cell, text, (6, 18), cv2.FONT_HERSHEY_SIMPLEX, 0.45, _INK, 1, cv2.LINE_AA)
    return cell

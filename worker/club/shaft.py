"""Find the shaft: a thin straight line that moves with the hands.

A radial search from the hands over angle and sideways offset; the response is a ridge in several
sections along the line, counted only where the picture has changed against the background; the
best angles of neighbouring frames must agree (Viterbi); the chosen line is fitted robustly.
A wrong shaft is wildly wrong, so the score gates: ``Missing`` rather than a guess.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Missing, Point
from worker.club.background import Gray, Image, picture_noise
from worker.club.strips import Fan, ridge

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

ANGLE_STEP_DEG = 1.5
SECTIONS = 10
SECTION_MIN = 2.0
"""A section shows the line when its ridge is this many noise sigmas of the section's mean."""
CHANGE_MIN = 2.5
"""A pixel has changed when it differs from the background by this many noise sigmas."""
CAP = 6.0
"""Ridge response is capped at this many noise sigmas a section: length must outweigh contrast."""
COVER_MIN = 0.6
"""Least share of sections, from the hands to the visible end, that show the line."""
SHOWN_MIN = 5
"""Least number of sections that show the line (half of a club seen side-on)."""
RIVAL_MARGIN = 1.25
"""The best direction must beat any other, more than ``RIVAL_APART_DEG`` away, by this factor."""
RIVAL_APART_DEG = 12.0
TURN_MAX_DEG_PER_S = 900.0
"""Shafts turn at about 250 deg/s at lead arm parallel (assumed set rate) and 2413 +- 442 at their
fastest (Zheng et al. 2008): turns above this are not a backswing."""
FIRST_SHARE, LAST_SHARE = 0.14, 1.2
"""Searched stretch of the club's length from the middle of the grip: below it are the hands; a club
0.6 m nearer the lens than the golfer looks up to 1.18 as long at four metres."""


@dataclass(frozen=True, slots=True)
class Look:
    """One frame to search: normalised gray picture, middle of the grip, and its time."""

    gray: Gray
    hands: Point
    time_s: float


@dataclass(frozen=True, slots=True)
class Shaft:
    """The shaft's line in one frame, normalised pixels.

    ``near`` is the line's point beside the middle of the grip, ``far`` the last visible point
    (clubhead end). ``direction_deg``: 0 right, 90 up. ``sigma_deg`` one sigma of the direction.
    ``score``: mean ridge in noise sigmas times the share of sections shown. ``wedge_px`` is the
    line's width at its far half: blur makes it wide.
    """

    near: Point
    far: Point
    direction_deg: float
    sigma_deg: float
    score: float
    wedge_px: float
    butt: Point | None = None
    """The grip's top end, where it was seen itself."""
    ends_sigma_px: tuple[float, float] | None = None
    """One sigma each axis of butt end and far end, where each has its own."""


@dataclass(frozen=True, slots=True)
class _Response:
    """Per angle (a,): score, best sideways offset, sections shown, last section shown."""

    score: Array
    offset: Array
    shown: NDArray[np.int64]
    last: NDArray[np.int64]


def find_shafts(
    looks: Sequence[Look],
    background: Image,
    *,
    club_px: float,
    reach_px: float,
    allowed: Sequence[Mask],
) -> list[Shaft | Missing]:
    """Shaft in each look, tied together in time.

    ``club_px`` is the club's length in this picture seen side-on; ``reach_px`` how far beside the
    hands' middle the line may pass; ``allowed[k]`` (a,) is True for directions a shaft can take in
    look k (see ``search_angles``).
    """
    if not looks:
        return []
    fan = _fan(club_px, reach_px)
    responses = [
        _respond(look, background, fan, mask) for look, mask in zip(looks, allowed, strict=True)
    ]
    path = _best_path(responses, [look.time_s for look in looks])
    return [
        _settle(look, background, fan, response, best)
        for look, response, best in zip(looks, responses, path, strict=True)
    ]


def search_angles() -> Array:
    """All searched directions, degrees in [0, 360): 0 picture right, 90 up."""
    return np.arange(0.0, 360.0, ANGLE_STEP_DEG)


def _fan(club_px: float, reach_px: float) -> Fan:
    radii = np.arange(FIRST_SHARE * club_px, LAST_SHARE * club_px, 2.0)
    reach = round(reach_px) + 14
    return Fan(search_angles(), radii, np.arange(-reach, reach + 1, dtype=np.float64))


def _respond(look: Look, background: Image, fan: Fan, allowed: Mask) -> _Response:
    """Section responses of every allowed direction and offset, reduced to the best offset per angle.

    Directions answer for themselves, so what is not allowed is not sampled: it scores nothing.
    """
    count = len(fan.angles_deg)
    response = _Response(
        score=np.zeros(count),
        offset=np.zeros(count),
        shown=np.zeros(count, dtype=np.int64),
        last=np.zeros(count, dtype=np.int64),
    )
    at = np.flatnonzero(allowed)
    if not at.size:
        return response
    part = Fan(fan.angles_deg[at], fan.radii, fan.sides)
    noise = picture_noise(look.gray, background)
    strips, changed = _sampled(look, background, part)
    lines = _moving_lines(strips, changed, noise)
    score, shown, last = _cumulate(_sections(lines / noise))
    inner = np.abs(fan.sides) <= fan.sides[-1] - 14
    score = np.where(inner[None, :], score, 0.0)
    best = np.argmax(score, axis=1)
    rows = np.arange(len(best))
    response.score[at] = score[rows, best]
    response.offset[at] = fan.sides[best]
    response.shown[at] = shown[rows, best]
    response.last[at] = last[rows, best]
    return response


def _sampled(look: Look, background: Image, fan: Fan) -> tuple[Image, Image]:
    """The picture along a fan, and its change against the background; only what the fan covers is touched."""
    height, width = look.gray.shape
    part = fan.bounds(look.hands, width, height)
    gray = part.cut(look.gray).astype(np.float32)
    pivot = (look.hands[0] - part.left, look.hands[1] - part.top)
    return fan.sample(gray, pivot), fan.sample(gray - part.cut(background), pivot)


def _moving_lines(strips: Image, changed: Image, noise: float) -> Image:
    """Ridge of a line that is in the picture and is new: in both the picture and the change.

    A line of the scenery is in the picture only; the ghost of a line that lay still for long is in
    the change only.
    """
    gate = (np.abs(np.nan_to_num(changed)) > CHANGE_MIN * noise).astype(np.float32)
    per_width = [np.minimum(ridge(strips, width), ridge(changed, width)) for width in (2, 4, 7)]
    return np.asarray(np.maximum.reduce(per_width) * gate, dtype=np.float32)


def _sections(lines: Image) -> Image:
    """Mean ridge per section (a, k, s); a section tolerates one sample of sideways wander."""
    wide = np.maximum(lines, np.maximum(np.roll(lines, 1, axis=2), np.roll(lines, -1, axis=2)))
    parts = np.array_split(wide, SECTIONS, axis=1)
    return np.stack([part.mean(axis=1) for part in parts], axis=1)


def _cumulate(sections: Image) -> tuple[Array, NDArray[np.int64], NDArray[np.int64]]:
    """Best score over visible ends: sum of capped sections times the share that shows the line."""
    present = sections > SECTION_MIN
    counts = np.cumsum(present, axis=1)
    sums = np.cumsum(np.minimum(sections, CAP) * present, axis=1)
    share = counts / np.arange(1, SECTIONS + 1)[None, :, None]
    value = sums * share * present
    last = np.argmax(value, axis=1)
    pick = np.take_along_axis
    score = pick(value, last[:, None], axis=1)[:, 0]
    shown = pick(counts, last[:, None], axis=1)[:, 0]
    return score.astype(np.float64), shown.astype(np.int64), last.astype(np.int64)


def _best_path(responses: Sequence[_Response], times_s: Sequence[float]) -> list[int]:
    """Angle index of each look on the best smooth path (Viterbi on the circle)."""
    count = len(responses[0].score)
    steps = np.arange(count)
    apart = np.minimum(steps, count - steps) * ANGLE_STEP_DEG
    total = responses[0].score.copy()
    back: list[NDArray[np.int64]] = []
    for k in range(1, len(responses)):
        turn_max = TURN_MAX_DEG_PER_S * (times_s[k] - times_s[k - 1]) + 2 * ANGLE_STEP_DEG
        cost = np.where(apart <= turn_max, 2.0 * (apart / turn_max) ** 2, np.inf)
        table = total[None, :] - cost[np.abs(steps[:, None] - steps[None, :])]
        origin = np.argmax(table, axis=1)
        total = table[steps, origin] + responses[k].score
        back.append(origin)
    path = [int(np.argmax(total))]
    for origin in reversed(back):
        path.append(int(origin[path[-1]]))
    return path[::-1]


def _settle(
    look: Look, background: Image, fan: Fan, response: _Response, best: int
) -> Shaft | Missing:
    """Gate the chosen direction, then fit the line."""
    shown, last = int(response.shown[best]), int(response.last[best])
    if response.score[best] <= 0.0:  # a path through looks that allow nothing goes anywhere
        return Missing("The shaft does not stand out from the picture.")
    if shown < SHOWN_MIN or shown < COVER_MIN * (last + 1):
        return Missing("The shaft does not stand out from the picture.")
    steps = np.arange(len(response.score))
    apart = np.minimum(np.abs(steps - best), len(steps) - np.abs(steps - best)) * ANGLE_STEP_DEG
    rival = float(response.score[apart > RIVAL_APART_DEG].max())
    if response.score[best] < RIVAL_MARGIN * rival:
        return Missing("More than one line in the picture could be the shaft.")
    end = float(fan.radii[0] + (last + 1) / SECTIONS * (fan.radii[-1] - fan.radii[0]))
    return _fit(look, background, fan, best, float(response.offset[best]), end, response)


def _fit(
    look: Look,
    background: Image,
    fan: Fan,
    best: int,
    offset: float,
    end: float,
    response: _Response,
) -> Shaft | Missing:
    """Robust line through the ridge's middle at each radius, in the strip of the best angle."""
    angle = float(fan.angles_deg[best])
    narrow = Fan(np.array([angle]), fan.radii[fan.radii <= end], offset + np.arange(-12.0, 13.0))
    noise = picture_noise(look.gray, background)
    strip, changed = _sampled(look, background, narrow)
    weight = _moving_lines(strip, changed, noise)[0]
    mass = weight.sum(axis=1)
    good = weight.max(axis=1) > SECTION_MIN * noise
    if good.sum() < 8:  # noqa: PLR2004 - sixteen pixels of line is the least to fit
        return Missing("The shaft does not stand out from the picture.")
    middle = np.array([_peak_middle(row, narrow.sides) for row in weight[good]])
    slope, level, spread = _robust_line(narrow.radii[good], middle)
    span = float(np.ptp(narrow.radii[good]))
    independent = max(good.sum() / 4.0, 2.0)  # neighbouring radii share pixels
    sigma = np.degrees(np.sqrt(12.0) * max(spread, 0.3) / (span * np.sqrt(independent)))
    width = float(np.median(mass[good] / np.maximum(weight[good].max(axis=1), 1e-6)))
    direction = angle + float(np.degrees(np.arctan(slope)))
    end = float(narrow.radii[good][-1])
    return Shaft(
        near=_on_strip(look.hands, angle, 0.0, level),
        far=_on_strip(look.hands, angle, end, level + slope * end),
        direction_deg=direction,
        sigma_deg=float(sigma),
        score=float(response.score[best]) / SECTIONS,
        wedge_px=width,
    )


def _peak_middle(row: Image, sides: Array) -> float:
    """Centre of mass of the ridge around its highest sample."""
    at = int(np.argmax(row))
    low, high = max(0, at - 3), min(len(row), at + 4)
    weight = row[low:high]
    return float((weight * sides[low:high]).sum() / weight.sum())


def _robust_line(x: Array, y: Array) -> tuple[float, float, float]:
    """Slope, level and robust spread of y over x by iterated reweighting (Tukey's weights)."""
    weight = np.ones(len(x))
    slope = level = spread = 0.0
    for _ in range(8):
        slope, level = (float(v) for v in np.polyfit(x, y, 1, w=np.sqrt(weight)))
        rest = y - (slope * x + level)
        spread = 1.4826 * float(np.median(np.abs(rest)))
        scaled = rest / (4.685 * max(spread, 0.2))
        weight = np.where(np.abs(scaled) < 1.0, (1.0 - scaled**2) ** 2, 1e-6)
    return slope, level, spread


def _on_strip(pivot: Point, angle_deg: float, along: float, across: float) -> Point:
    """Picture point at strip coordinates."""
    turn = np.radians(angle_deg)
    x = pivot[0] + along * np.cos(turn) - across * np.sin(turn)
    y = pivot[1] - along * np.sin(turn) - across * np.cos(turn)
    return float(x), float(y)

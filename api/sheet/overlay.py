"""Lines and drawings over a still, as an SVG of the picture's own pixels.

Twins in ``web/src/answer``: ``lines.ts``, ``OverlayLines.svelte``, ``drawings.ts``, ``DrawnShapes.svelte``. Every stroke is
light over dark, so that it shows on grass, on sky and on grey paper; kinds differ by dashes too.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from api.sheet.texts import plain

Xy = Sequence[float]
Line = tuple[str, Xy, Xy]

_DARK, _WHITE, _YELLOW, _BLUE = "#0b1214", "#ffffff", "#ffd23f", "#7fe0ff"
_COLOURS = {"arm": _WHITE, "body": _WHITE, "shaft": _YELLOW, "prolonged": _YELLOW, "ground": _BLUE}
_LIGHT = {"full": "#ff9ecb", "broken": "#a5f58c"}
_BODY = (
    ("lead_shoulder", "lead_elbow"),
    ("lead_elbow", "lead_wrist"),
    ("lead_shoulder", "trail_shoulder"),
    ("lead_hip", "trail_hip"),
    ("trail_hip", "trail_knee"),
    ("trail_knee", "trail_ankle"),
    ("lead_ankle", "trail_ankle"),
    ("lead_ear", "trail_ear"),
)
_SCREEN = 640.0
"""A picture is drawn as if so many pixels of a screen were its longer side."""
_LETTERS_HIGH = 30.0
"""Lines of a label that a picture's longer side would hold: larger than on the page, where a picture can be zoomed."""
_BARB_RAD = math.pi / 7.0
_LINE_LETTERS = 18


def overlay(
    width: int,
    height: int,
    points: Mapping[str, Xy],
    row_shift: float,
    drawings: Sequence[Mapping[str, Any]],
    fonts: Sequence[str],
) -> str:
    """The SVG over a picture of ``width`` by ``height`` pixels.

    ``points``: what a reading was computed from; ``row_shift``: rows by which the ground at the hit lies below
    the ball. ``fonts``: families for labels, in the order they are tried.
    """
    unit = max(width, height) / _SCREEN
    letter = max(width, height) / _LETTERS_HIGH
    parts = [
        part
        for kind, start, end in lines_over(points, row_shift)
        for part in _measured(kind, start, end, unit)
    ]
    for one in drawings:
        parts += _drawing(one, width, unit, letter)
    family = quoteattr(", ".join(f"'{name}'" for name in fonts))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
        f'height="{height}" fill="none" stroke-linejoin="round" font-family={family}>'
        + "".join(parts)
        + "</svg>"
    )


# ---------------------------------------------------------------- lines of a reading


def lines_over(points: Mapping[str, Xy], row_shift: float) -> list[Line]:
    """All lines that the points at hand allow, upright display pixels."""
    lines: list[Line] = []
    for kind, start, end in (("arm", "lead_shoulder", "lead_wrist"), ("shaft", "butt", "clubhead")):
        if start in points and end in points:
            lines.append((kind, points[start], points[end]))
    lines += [
        ("body", points[one], points[other])
        for one, other in _BODY
        if one in points and other in points
    ]
    low, high = _middle(points, "hip"), _middle(points, "shoulder")
    if low is not None and high is not None:
        lines.append(("body", low, high))
    if all(name in points for name in ("butt", "clubhead", "ball")):
        lines += _ground(points["butt"], points["clubhead"], points["ball"], row_shift)
    return lines


def _middle(points: Mapping[str, Xy], part: str) -> Xy | None:
    lead, trail = points.get(f"lead_{part}"), points.get(f"trail_{part}")
    if lead is None or trail is None:
        return None
    return (lead[0] + trail[0]) / 2.0, (lead[1] + trail[1]) / 2.0


def _ground(butt: Xy, clubhead: Xy, ball: Xy, shift: float) -> list[Line]:
    """The shaft prolonged beyond the grip end to the ground, and the stretch from there to the ball line."""
    row, fall = ball[1] + shift, butt[1] - clubhead[1]
    if fall <= 0 or butt[1] >= row:
        return []
    hit = (butt[0] + (row - butt[1]) * (butt[0] - clubhead[0]) / fall, row)
    return [("prolonged", butt, hit), ("ground", hit, (ball[0], row))]


def _measured(kind: str, start: Xy, end: Xy, unit: float) -> Iterator[str]:
    dashes = f' stroke-dasharray="{unit * 5:.2f} {unit * 4:.2f}"' if kind == "prolonged" else ""
    for colour, opacity, width in ((_DARK, 0.6, 4.5), (_COLOURS[kind], 1, 2)):
        yield (
            f'<path d="{_path(start, end)}" stroke="{colour}" stroke-opacity="{opacity}" '
            f'stroke-width="{unit * width:.2f}" stroke-linecap="round"{dashes}/>'
        )


def _path(*places: Xy) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in places)


# ---------------------------------------------------------------- what the coach drew


def _drawing(one: Mapping[str, Any], width: int, unit: float, letter: float) -> Iterator[str]:
    light = _LIGHT[one["stroke"]]
    start, *more = one["places"]
    dashes = (
        f' stroke-dasharray="{unit * 9:.2f} {unit * 6:.2f}"' if one["stroke"] == "broken" else ""
    )
    if one["shape"] == "label":
        yield from _label(one["label"], start, light, width, unit, letter)
        return
    if one["shape"] == "circle":
        radius = math.dist(start, more[0])
        shapes = [(f'<circle cx="{start[0]:.2f}" cy="{start[1]:.2f}" r="{radius:.2f}"', dashes)]
    elif one["shape"] == "free":
        shapes = [(f'<path d="{smooth(one["places"])}" stroke-linecap="round"', dashes)]
    else:
        shapes = [(f'<path d="{_path(start, more[0])}"', dashes)]
        if one["shape"] == "arrow":
            first, last = barbs(start, more[0], unit * 16.0)
            shapes.append((f'<path d="{_path(first, more[0], last)}"', ""))
    for colour, thick in ((_DARK, 6.0), (light, 3.0)):
        for shape, dashed in shapes:
            yield f'{shape} stroke="{colour}" stroke-width="{unit * thick:.2f}"{dashed}/>'


def smooth(places: Sequence[Xy]) -> str:
    """A path through all places that bends nowhere sharply: a Catmull-Rom spline, in cubic Bezier pieces.

    Each piece leaves a place along the line between its neighbours, a third of a way that is half as long (Catmull and Rom
    1974); beyond either end the end itself stands in.
    """
    ends = [places[0], *places, places[-1]]
    path = f"M{_two(places[0])}"
    for before, start, end, after in zip(ends, ends[1:], ends[2:], ends[3:], strict=False):
        leaves = tuple(
            here + (far - near) / 6.0 for near, here, far in zip(before, start, end, strict=True)
        )
        comes = tuple(
            here - (far - near) / 6.0 for near, here, far in zip(start, end, after, strict=True)
        )
        path += f"C{_two(leaves)} {_two(comes)} {_two(end)}"
    return path


def _two(place: Xy) -> str:
    return f"{place[0]:.2f} {place[1]:.2f}"


def barbs(start: Xy, tip: Xy, length: float) -> tuple[Xy, Xy]:
    """The two barbs' ends of an arrow; shorter on a short arrow."""
    back = math.atan2(start[1] - tip[1], start[0] - tip[0])
    reach = min(length, math.dist(start, tip) * 0.6)
    first, last = (
        (tip[0] + reach * math.cos(back + turn), tip[1] + reach * math.sin(back + turn))
        for turn in (_BARB_RAD, -_BARB_RAD)
    )
    return first, last


def _label(label: str, at: Xy, light: str, width: int, unit: float, letter: float) -> Iterator[str]:
    """A dot at its place and the words beside it, on the side that has room."""
    left = at[0] > width / 2.0
    dot = f'<circle cx="{at[0]:.2f}" cy="{at[1]:.2f}" r="{unit * 4:.2f}"'
    yield f'{dot} stroke="{_DARK}" stroke-width="{unit * 4.5:.2f}"/>'
    yield f'{dot} fill="{light}" stroke="{light}" stroke-width="{unit * 2:.2f}"/>'
    lines, side = wrapped(label), "end" if left else "start"
    x = at[0] + unit * (-10.0 if left else 10.0)
    for index, line in enumerate(lines):
        y = at[1] + letter * (0.35 + 1.15 * (index - (len(lines) - 1) / 2.0))
        # The renderer anchors by sides, whichever way the words run.
        common = (
            f'x="{x:.2f}" y="{y:.2f}" font-size="{letter:.2f}" font-weight="bold" '
            f'text-anchor="{side}"'
        )
        yield f'<text {common} stroke="{_DARK}" stroke-width="{letter / 4:.2f}">{escape(line)}</text>'
        yield f'<text {common} fill="{light}">{escape(line)}</text>'


def wrapped(label: str) -> list[str]:
    """A label in lines that a narrow picture has room for; a word longer than a line is cut."""
    lines: list[str] = []
    for word in plain(label).split():
        for piece in (word[at : at + _LINE_LETTERS] for at in range(0, len(word), _LINE_LETTERS)):
            if lines and len(lines[-1]) + 1 + len(piece) <= _LINE_LETTERS:
                lines[-1] += f" {piece}"
            else:
                lines.append(piece)
    return lines

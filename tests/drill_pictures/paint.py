"""A figure and what lies about it as a small SVG: seen from afar, from a little above."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from api.domain.names import View
from tests.drill_pictures.figure import ARM, LEG, Figure
from tests.studio.pose import Array, Joint

ABOVE_DEG = 12.0
"""How far the eye looks down, so that what lies on the ground is seen."""
SCALE = 100.0
"""Units of the picture to a metre."""
PAD = 14.0
INK, CLUB, MARK = "#14201c", "#0b4a6f", "#9a231b"
BODY, LIMB, SKIN, GROUND, WALL = "#c4d0c6", "#8fa397", "#ecdccb", "#e3e8df", "#d3d9d3"
TOWEL = "#f6d77a"
WIDTHS = {"leg": 15.0, "upper": 11.0, "fore": 9.0}

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Eye:
    """An orthographic look along the view's usual line, tipped down."""

    view: View

    def axes(self) -> tuple[Array, Array, Array]:
        """(right, up, away) unit vectors of the picture in the world."""
        if self.view is View.FACE_ON:
            right, level = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
        else:
            right, level = np.array([0.0, -1.0, 0.0]), np.array([1.0, 0.0, 0.0])
        tip = np.radians(ABOVE_DEG)
        up = np.array([0.0, 0.0, np.cos(tip)]) + np.sin(tip) * level
        away = np.cos(tip) * level - np.array([0.0, 0.0, np.sin(tip)])
        return right, up, away

    def place(self, point: Array) -> Point:
        right, up, _ = self.axes()
        return SCALE * float(point @ right), -SCALE * float(point @ up)

    def depth(self, points: Iterable[Array]) -> float:
        away = self.axes()[2]
        return float(np.mean([point @ away for point in points]))


@dataclass(slots=True)
class Canvas:
    """Shapes with their depths; painted from the farthest to the nearest."""

    eye: Eye
    shapes: list[tuple[float, str]] = field(default_factory=list)
    points: list[Point] = field(default_factory=list)

    def path(self, points: Sequence[Array], *, closed: bool = False) -> str:
        places = [self.eye.place(point) for point in points]
        self.points.extend(places)
        return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in places) + ("Z" if closed else "")

    def add(self, points: Sequence[Array], shape: str, nearer: float = 0.0) -> None:
        self.shapes.append((self.eye.depth(points) - nearer, shape))

    def stroke(
        self,
        points: Sequence[Array],
        width: float,
        fill: str,
        nearer: float = 0.0,
        rim: float = 3.0,
    ) -> None:
        """A limb: a stroke with a rim."""
        way = self.path(points)
        outer = f'<path d="{way}" stroke="{INK}" stroke-width="{width + rim:g}"/>'
        self.add(
            points, f'{outer}<path d="{way}" stroke="{fill}" stroke-width="{width:g}"/>', nearer
        )

    def line(
        self,
        points: Sequence[Array],
        *,
        width: float = 3.0,
        colour: str = MARK,
        dashes: str = "",
        nearer: float = 0.0,
        arrow: bool = False,
    ) -> None:
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        shape = (
            f'<path d="{self.path(points)}" stroke="{colour}" stroke-width="{width:g}"{dashed}/>'
        )
        if arrow:
            shape += self._head(points[-2], points[-1], colour)
        self.add(points, shape, nearer)

    def area(
        self, points: Sequence[Array], fill: str, nearer: float = 0.0, rim: float = 2.0
    ) -> None:
        way = self.path(points, closed=True)
        edge = f' stroke="{INK}" stroke-width="{rim:g}"' if rim else ""
        self.add(points, f'<path d="{way}" fill="{fill}"{edge}/>', nearer)

    def disc(self, centre: Array, radius: float, fill: str, nearer: float = 0.0) -> None:
        x, y = self.eye.place(centre)
        self.points.extend([(x - radius, y - radius), (x + radius, y + radius)])
        shape = (
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{fill}" '
            f'stroke="{INK}" stroke-width="2"/>'
        )
        self.add([centre], shape, nearer)

    def _head(self, start: Array, end: Array, colour: str) -> str:
        (x0, y0), (x1, y1) = self.eye.place(start), self.eye.place(end)
        far = max(float(np.hypot(x1 - x0, y1 - y0)), 1e-6)
        ux, uy = (x1 - x0) / far, (y1 - y0) / far
        tip = (x1 + 9 * ux, y1 + 9 * uy)
        left, right = (x1 - 5 * uy, y1 + 5 * ux), (x1 + 5 * uy, y1 - 5 * ux)
        self.points.extend([tip, left, right])
        places = " ".join(f"{x:.1f},{y:.1f}" for x, y in (tip, left, right))
        return f'<polygon points="{places}" fill="{colour}" stroke="none"/>'

    def painted(self) -> str:
        return "".join(shape for _, shape in sorted(self.shapes, key=lambda one: -one[0]))


def body(canvas: Canvas, figure: Figure) -> None:
    """Trunk, head, limbs, feet, club and ball, each at its own depth."""
    for side in ("trail", "lead"):
        ankle, toe, heel = (figure[Joint(f"{side}_{part}")] for part in ("ankle", "toe", "heel"))
        leg = [figure[Joint(name)] for name in LEG[side]]
        canvas.stroke([heel, toe], 8.0, INK, rim=2.0)
        canvas.stroke([*leg[:2], ankle], WIDTHS["leg"], LIMB)
        shoulder, elbow, wrist = (figure[Joint(name)] for name in ARM[side])
        canvas.stroke([shoulder, elbow], WIDTHS["upper"], BODY)
        canvas.stroke([elbow, wrist], WIDTHS["fore"], SKIN)
        canvas.disc(wrist, 5.5, SKIN, nearer=0.02)
    shoulders = [figure[Joint.LEAD_SHOULDER], figure[Joint.TRAIL_SHOULDER]]
    hips = [figure[Joint.TRAIL_HIP], figure[Joint.LEAD_HIP]]
    trunk = [*shoulders, *hips]
    way = canvas.path(trunk, closed=True)
    canvas.add(
        trunk,
        f'<path d="{way}" fill="{INK}" stroke="{INK}" stroke-width="19"/>'
        f'<path d="{way}" fill="{BODY}" stroke="{BODY}" stroke-width="16"/>',
    )
    ears = figure.middle(Joint.LEAD_EAR, Joint.TRAIL_EAR)
    canvas.stroke([figure.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER), ears], 8.0, SKIN)
    crown = ears + np.array([0.0, 0.0, 0.03])
    canvas.disc(crown, 12.0, SKIN, nearer=0.05)
    # A nose tells which way the head looks; from in front the head hides it.
    canvas.disc(crown + 0.135 * _unit(figure[Joint.NOSE] - ears), 3.0, SKIN, nearer=-0.2)
    if figure.club is not None:
        butt, face = figure.club
        canvas.line([butt, face], width=3.5, colour=CLUB, nearer=0.02)
        grip = butt + 0.27 * _unit(face - butt)
        canvas.line([butt, grip], width=6.0, colour=INK, nearer=0.03)
        canvas.disc(face, 4.0, CLUB, nearer=0.02)
    if figure.ball is not None:
        canvas.disc(figure.ball, 3.2, "#ffffff", nearer=0.1)


def svg(view: View, shapes: Sequence[Callable[[Canvas], None]], frame: Sequence[float]) -> str:
    """A picture of ``frame`` (left, top, right, bottom; units) with the ground in it."""
    canvas = Canvas(Eye(view))
    for shape in shapes:
        shape(canvas)
    left, top, right, bottom = frame
    ground = canvas.eye.place(np.array([0.0, 0.0, 0.0]))[1] - 0.9 * SCALE * np.sin(
        np.radians(ABOVE_DEG)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{left:.0f} {top:.0f} '
        f'{right - left:.0f} {bottom - top:.0f}">'
        f'<rect x="{left:.0f}" y="{top:.0f}" width="{right - left:.0f}" '
        f'height="{bottom - top:.0f}" fill="#ffffff"/>'
        f'<rect x="{left:.0f}" y="{ground:.1f}" width="{right - left:.0f}" '
        f'height="{max(0.0, bottom - ground):.1f}" fill="{GROUND}"/>'
        '<g fill="none" stroke-linecap="round" stroke-linejoin="round">'
        f"{canvas.painted()}</g></svg>\n"
    )


def extent(view: View, shapes: Sequence[Callable[[Canvas], None]]) -> tuple[float, ...]:
    """(left, top, right, bottom) of what would be painted, with room about it."""
    canvas = Canvas(Eye(view))
    for shape in shapes:
        shape(canvas)
    places = np.array(canvas.points)
    low, high = places.min(axis=0) - PAD, places.max(axis=0) + PAD
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))

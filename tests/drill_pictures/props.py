"""What lies, stands or is drawn about the golfer: each gives a shape for ``paint``."""

from collections.abc import Callable

import numpy as np

from tests.drill_pictures.figure import Figure
from tests.drill_pictures.paint import MARK, TOWEL, WALL, Canvas, body
from tests.studio.pose import Array, Joint

Shape = Callable[[Canvas], None]

ROD_M = 1.15
WALL_HIGH_M = 1.9


def golfer(figure: Figure) -> Shape:
    return lambda canvas: body(canvas, figure)


def rod(inside_m: float, *, about_m: float = 0.0) -> Shape:
    """A rod on the ground along the target line, ``inside_m`` from the ball line to the golfer."""
    ends = [np.array([about_m + end, inside_m, 0.0]) for end in (-ROD_M / 2, ROD_M / 2)]
    return lambda canvas: canvas.line(ends, width=4.0, nearer=-0.3)


def light_from_grip(figure: Figure) -> Shape:
    """The grip end's ray down to the ground, and its spot there."""
    assert figure.club is not None
    butt, face = figure.club
    way = (butt - face) / np.linalg.norm(butt - face)
    if way[2] >= 0.0:
        message = "the grip end does not point to the ground"
        raise ValueError(message)
    spot = butt - way * butt[2] / way[2]

    def paint(canvas: Canvas) -> None:
        canvas.line([butt, spot], width=2.5, dashes="6 6", nearer=0.2)
        canvas.disc(spot, 4.5, MARK, nearer=0.2)

    return paint


def angle(figure: Figure, size_m: float = 0.2) -> Shape:
    """The square between lead forearm and shaft at the hands."""
    assert figure.club is not None
    hands = figure[Joint.LEAD_WRIST]
    arm = _unit(figure[Joint.LEAD_SHOULDER] - hands)
    shaft = _unit(figure.club[1] - figure.club[0])
    corners = [hands + size_m * arm, hands + size_m * (arm + shaft), hands + size_m * shaft]
    return lambda canvas: canvas.line(corners, width=2.5, nearer=0.4)


def arrow(*points: tuple[float, float, float], nearer: float = 0.5) -> Shape:
    """A movement, along points of the world."""
    way = [np.array(point) for point in points]
    return lambda canvas: canvas.line(way, width=4.0, nearer=nearer, arrow=True)


def turning(figure: Figure, *, back: bool = True) -> Shape:
    """An arc about the shoulders: the chest turns away from the target, or through."""
    middle = figure.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)
    sign = 1.0 if back else -1.0
    degrees = np.radians(np.linspace(-55.0, 55.0, 13))
    way = [middle + np.array([-sign * 0.42 * np.sin(d), -0.42 * np.cos(d), 0.02]) for d in degrees]
    return lambda canvas: canvas.line(way, width=4.0, nearer=0.5, arrow=True)


def wall_beside(x_m: float, y_m: float) -> Shape:
    """A wall square to the target line, its face at ``x_m``: seen face-on as the end of it."""
    return _slab([(x_m, y_m, 0.0), (x_m - 0.18, y_m, 0.0)])


def wall_behind(y_m: float) -> Shape:
    """A wall along the target line behind the golfer: seen down-the-line as the end of it."""
    return _slab([(0.0, y_m, 0.0), (0.0, y_m + 0.18, 0.0)])


def _slab(foot: list[tuple[float, float, float]]) -> Shape:
    near, far = (np.array(point) for point in foot)
    up = np.array([0.0, 0.0, WALL_HIGH_M])
    return lambda canvas: canvas.area([near, near + up, far + up, far], WALL, nearer=-1.0)


def towel(figure: Figure) -> Shape:
    """A folded towel between the lead upper arm and the chest."""
    shoulder, elbow = figure[Joint.LEAD_SHOULDER], figure[Joint.LEAD_ELBOW]
    chest = figure.middle(Joint.LEAD_SHOULDER, Joint.TRAIL_SHOULDER)
    top = 0.6 * (shoulder + 0.5 * (elbow - shoulder)) + 0.4 * chest
    half, low = np.array([0.06, 0.0, 0.0]), np.array([0.0, 0.0, -0.26])
    corners = [top - half, top + half, top + half + low, top - half + low]
    return lambda canvas: canvas.area(corners, TOWEL, nearer=0.4)


def _unit(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))

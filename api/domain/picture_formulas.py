"""Formulas that several checkpoints share, each with the terms of its uncertainty.

Points are normalised (a right-hander's picture, pixels, x right, y down), as in
``api.domain.checkpoint_formulas``. Every maker here returns a formula for one checkpoint:
``sign`` and the points say which. First order, but for turns; independent errors add in squares.

Two optional inputs, in the value's unit, are added to what the points show: ``to_instant``, from
the frame shown to the instant itself, and ``to_ideal``, from the camera that filmed to the one that
stands where it should.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from api.domain.geometry import MIN_SEGMENT_PX, angle_at, length_px
from api.domain.measurement import Missing, Point
from api.domain.names import Hand, PointName
from api.domain.uncertainty import Z95, angle_at_sigma, combine, direction_sigma

Points = Mapping[PointName, Point]
Inputs = Mapping[str, float]
Terms = dict[str, float]
Pair = tuple[PointName, ...]
"""One or two points; two stand for the middle between them."""

COMMON_SIGMAS = ("sigma_instant", "sigma_view", "sigma_residual")
TO_INSTANT, TO_IDEAL = "to_instant", "to_ideal"
CUT_OFF = "cut_off"
"""An input of a span that the clip's end cuts off: the true one is at least as long. Absent elsewhere."""

WIDER = (
    "The line is wider in the picture than at address: no shortening to read a turn from. The "
    "camera may stand off its line."
)
NO_UNIT = "The size of the golfer in the picture is not known, so nothing scales it."
TOO_LITTLE_SET = "The wrists set by less than a degree: there is no share of it to tell."
OUT_OF_ORDER = "The instants do not follow each other, so there is no time between them."
SAME_SPOT = "Two points fall on the same spot of the picture, so they give no direction."
LEAST_SET_DEG = 1.0


@dataclass(frozen=True, slots=True)
class Picture:
    """What of the original picture a formula may need: the golfer's side, and the width in pixels."""

    handed: Hand
    width_px: int

    def column(self, original_x: float) -> float:
        """A column of the original picture, in the normalised one."""
        return self.width_px - 1 - original_x if self.handed is Hand.LEFT else original_x


Formula = Callable[[Points, Inputs, Picture], tuple[float, Terms] | Missing]


def sigma_input(point: PointName) -> str:
    """Name of the input that holds one sigma (pixels, each axis) of ``point``."""
    return f"sigma_px_{point.value}"


def shared_terms(inputs: Inputs) -> Terms:
    """The terms that every reading has: instant, view, residual."""
    return {name.removeprefix("sigma_"): float(inputs[name]) for name in COMMON_SIGMAS}


def added(inputs: Inputs) -> float:
    """What is added to what the points show."""
    return inputs.get(TO_INSTANT, 0.0) + inputs.get(TO_IDEAL, 0.0)


def marked(drawn: float, inputs: Inputs) -> float:
    """The points' own term, never less than what people can mark by hand (degrees)."""
    return max(drawn, inputs.get("sigma_marking", 0.0))


def middle(points: Points, pair: Pair) -> Point:
    """The point, or the middle between two."""
    chosen = [points[name] for name in pair]
    return (
        sum(point[0] for point in chosen) / len(chosen),
        sum(point[1] for point in chosen) / len(chosen),
    )


def middle_sigma(inputs: Inputs, pair: Pair) -> float:
    """One sigma of ``middle``, pixels, each axis."""
    return combine(*(inputs[sigma_input(name)] for name in pair)) / len(pair)


def tilt(low: Pair, high: Pair, sign: float, *, change: bool = False) -> Formula:
    """Lean of ``low`` -> ``high`` from the picture's vertical, degrees; to the right times ``sign``.

    ``change``: less ``reference_deg``, the lean at address; ``sigma_reference`` its sigma.
    """

    def formula(points: Points, inputs: Inputs, _: Picture) -> tuple[float, Terms] | Missing:
        foot, head = middle(points, low), middle(points, high)
        if length_px(foot, head) < MIN_SEGMENT_PX:
            return Missing(SAME_SPOT)
        lean = math.degrees(math.atan2(head[0] - foot[0], -(head[1] - foot[1])))
        drawn = direction_sigma(foot, head, middle_sigma(inputs, low), middle_sigma(inputs, high))
        terms = {"points": marked(drawn, inputs), **shared_terms(inputs)}
        value = sign * lean + added(inputs)
        if change:
            value -= inputs["reference_deg"]
            terms["reference"] = inputs["sigma_reference"]
        return value, terms

    return formula


def bend(first: PointName, vertex: PointName, last: PointName) -> Formula:
    """180 less the angle at a joint, degrees: 0 is a straight limb."""

    def formula(points: Points, inputs: Inputs, _: Picture) -> tuple[float, Terms] | Missing:
        ends = points[vertex], points[first], points[last]
        if min(length_px(ends[0], ends[1]), length_px(ends[0], ends[2])) < MIN_SEGMENT_PX:
            return Missing(SAME_SPOT)
        drawn = angle_at_sigma(
            *ends,
            sigma_vertex_px=inputs[sigma_input(vertex)],
            sigma_first_px=inputs[sigma_input(first)],
            sigma_second_px=inputs[sigma_input(last)],
        )
        value = 180.0 - angle_at(*ends) + added(inputs)
        return value, {"points": marked(drawn, inputs), **shared_terms(inputs)}

    return formula


def pitch(start: PointName, end: PointName) -> Formula:
    """Acute angle of ``start`` -> ``end`` to level, degrees."""

    def formula(points: Points, inputs: Inputs, _: Picture) -> tuple[float, Terms] | Missing:
        foot, head = points[start], points[end]
        if length_px(foot, head) < MIN_SEGMENT_PX:
            return Missing(SAME_SPOT)
        drawn = direction_sigma(foot, head, inputs[sigma_input(start)], inputs[sigma_input(end)])
        acute = math.degrees(math.atan2(abs(head[1] - foot[1]), abs(head[0] - foot[0])))
        return acute + added(inputs), {"points": marked(drawn, inputs), **shared_terms(inputs)}

    return formula


def across(pair: Pair, sign: float, *, since: Pair = ()) -> Formula:
    """How far the middle of ``pair`` lies to the right of a place, times ``sign``, in units.

    The place is the middle of ``since``, or the column ``from_x_px`` of the original picture
    (``sigma_from_px``). ``px_per_unit``: size of the unit there; ``sigma_scale`` as a share of it.
    """

    def formula(points: Points, inputs: Inputs, picture: Picture) -> tuple[float, Terms] | Missing:
        unit = inputs["px_per_unit"]
        if unit <= 0.0:
            return Missing(NO_UNIT)
        if since:
            place, spread = middle(points, since)[0], middle_sigma(inputs, since)
        else:
            place, spread = picture.column(inputs["from_x_px"]), inputs["sigma_from_px"]
        shown = sign * (middle(points, pair)[0] - place) / unit
        return shown + added(inputs), {
            "points": combine(middle_sigma(inputs, pair), spread) / unit,
            "scale": abs(shown) * inputs["sigma_scale"],
            **shared_terms(inputs),
        }

    return formula


def turn(lead: PointName, trail: PointName) -> Formula:
    """Turn of a line since address from its shortening, degrees in [0, 180]: acos(width / width then).

    ``address_width_px`` (lead less trail along the normalised picture's x) and ``sigma_width_px``.

    A turn of a few degrees hardly shortens a line, and the first order fails there: intervals made with
    it hold a true turn of 3 degrees in three of four cases instead of 19 of 20. So the 95 % interval of
    the share itself is carried through ``acos``, and the longer of its two sides taken for both.
    """

    def formula(points: Points, inputs: Inputs, _: Picture) -> tuple[float, Terms] | Missing:
        whole = inputs["address_width_px"]
        if whole <= 0.0:
            return Missing(NO_UNIT)
        share = (points[lead][0] - points[trail][0]) / whole
        if share > 1.0:
            return Missing(WIDER)
        share = max(share, -1.0)
        ends = combine(inputs[sigma_input(lead)], inputs[sigma_input(trail)])
        reach = Z95 * combine(ends, share * inputs["sigma_width_px"]) / whole
        turned = math.acos(share)
        less, more = math.acos(min(share + reach, 1.0)), math.acos(max(share - reach, -1.0))
        drawn = math.degrees(max(turned - less, more - turned)) / Z95
        value = math.degrees(turned) + added(inputs)
        return min(max(value, 0.0), 180.0), {"points": drawn, **shared_terms(inputs)}

    return formula


def between(place: PointName, zero: PointName, one: PointName) -> Formula:
    """Where ``place`` lies along the picture's x from ``zero`` (0) to ``one`` (1)."""

    def formula(points: Points, inputs: Inputs, _: Picture) -> tuple[float, Terms] | Missing:
        whole = points[one][0] - points[zero][0]
        if whole < MIN_SEGMENT_PX:
            return Missing(NO_UNIT)
        share = (points[place][0] - points[zero][0]) / whole
        spread = combine(
            inputs[sigma_input(place)],
            (1.0 - share) * inputs[sigma_input(zero)],
            share * inputs[sigma_input(one)],
        )
        return share + added(inputs), {"points": spread / whole, **shared_terms(inputs)}

    return formula


def tempo(points: Points, inputs: Inputs, picture: Picture) -> tuple[float, Terms] | Missing:
    """(top - takeaway) / (impact - top). The top belongs to both times: its error enters once."""
    del points, picture
    start, top, impact = (inputs[f"{name}_s"] for name in ("takeaway", "top", "impact"))
    if not start < top < impact:
        return Missing(OUT_OF_ORDER)
    down = impact - top
    ratio = (top - start) / down
    return ratio, {
        "takeaway": inputs["sigma_takeaway_s"] / down,
        "top": (1.0 + ratio) * inputs["sigma_top_s"] / down,
        "impact": ratio * inputs["sigma_impact_s"] / down,
        **shared_terms(inputs),
    }


def span(points: Points, inputs: Inputs, picture: Picture) -> tuple[float, Terms] | Missing:
    """``to_s`` less ``from_s``, seconds."""
    del points, picture
    return inputs["to_s"] - inputs["from_s"], {
        "start": inputs["sigma_from_s"],
        "end": inputs["sigma_to_s"],
        **shared_terms(inputs),
    }


def in_space(points: Points, inputs: Inputs, picture: Picture) -> tuple[float, Terms] | Missing:
    """A direction that no picture shows, told from depths: ``value_deg``, with ``sigma_depth``."""
    del points, picture
    return inputs["value_deg"] + added(inputs), {
        "depth": inputs["sigma_depth"],
        **shared_terms(inputs),
    }

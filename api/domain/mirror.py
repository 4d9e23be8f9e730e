"""Handedness: a left-hander's picture is mirrored first, so every formula is a right-hander's.

Points carry lead / trail names, which do not change under the mirror; only x does. Body-side
names (left, right) from a body network become lead / trail here and nowhere else.
"""

from collections.abc import Mapping
from typing import TypeVar

from api.domain.measurement import Point
from api.domain.names import Hand

Name = TypeVar("Name")


def mirror_x(x: float, width_px: int) -> float:
    """Mirror a column: ``x -> (width - 1) - x``, so pixel centres land on pixel centres.

    Its own inverse.
    """
    return (width_px - 1) - x


def mirror_point(point: Point, width_px: int) -> Point:
    """Mirror a point left to right; y stays. Its own inverse."""
    return mirror_x(point[0], width_px), point[1]


def normalise_point(point: Point, handed: Hand, width_px: int) -> Point:
    """Original pixels -> the right-hander's picture. For a right-hander nothing changes.

    Its own inverse, so it also maps a normalised point back before drawing.
    """
    return mirror_point(point, width_px) if handed is Hand.LEFT else point


def normalise_points(
    points: Mapping[Name, Point], handed: Hand, width_px: int
) -> dict[Name, Point]:
    """``normalise_point`` for each point; names are lead / trail and stay."""
    return {name: normalise_point(point, handed, width_px) for name, point in points.items()}


def lead_side(handed: Hand) -> str:
    """The golfer's own body side that is nearer the target: ``left`` for a right-hander."""
    return "left" if handed is Hand.RIGHT else "right"


def trail_side(handed: Hand) -> str:
    """The golfer's own body side that is farther from the target: ``right`` for a right-hander."""
    return "right" if handed is Hand.RIGHT else "left"

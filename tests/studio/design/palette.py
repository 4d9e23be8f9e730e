"""Colours of skin, hair and clothes, drawn from columns."""

import colorsys

from tests.studio.design.columns import Columns
from tests.studio.dials import Colour

_FAIREST, _MIDDLE, _DARKEST = (238, 203, 178), (186, 132, 98), (82, 54, 40)
_HAIR: dict[Colour, float] = {
    (28, 22, 18): 3.0,
    (62, 42, 28): 3.0,
    (122, 88, 52): 1.5,
    (196, 164, 110): 1.0,
    (150, 150, 152): 1.5,
}
_TROUSERS: dict[Colour, float] = {
    (30, 32, 38): 3.0,
    (44, 56, 84): 2.0,
    (150, 136, 112): 2.0,
    (120, 122, 126): 1.5,
    (226, 226, 224): 1.5,
}
_SHOES: dict[Colour, float] = {(222, 222, 226): 3.0, (34, 34, 38): 2.0, (120, 84, 58): 1.0}


def skins(columns: Columns) -> list[Colour]:
    """From fair to dark, evenly."""
    return [_between(float(share)) for share in columns.spread(0.0, 1.0)]


def shirts(columns: Columns) -> list[Colour]:
    """Every hue, from pale to strong and from black to white: good contrast and none."""
    hues = columns.spread(0.0, 1.0)
    strengths = columns.spread(0.0, 0.85)
    lights = columns.spread(0.12, 0.95)
    return [
        _eight_bits(colorsys.hsv_to_rgb(float(hue), float(strength), float(light)))
        for hue, strength, light in zip(hues, strengths, lights, strict=True)
    ]


def hairs(columns: Columns) -> list[Colour]:
    return columns.dealt(_HAIR)


def trousers(columns: Columns) -> list[Colour]:
    return columns.dealt(_TROUSERS)


def shoes(columns: Columns) -> list[Colour]:
    return columns.dealt(_SHOES)


def _between(share: float) -> Colour:
    start, end = (_FAIREST, _MIDDLE) if share < 0.5 else (_MIDDLE, _DARKEST)
    on = 2 * share if share < 0.5 else 2 * share - 1
    red, green, blue = (round(a + (b - a) * on) for a, b in zip(start, end, strict=True))
    return red, green, blue


def _eight_bits(colour: tuple[float, float, float]) -> Colour:
    red, green, blue = (round(255 * part) for part in colour)
    return red, green, blue

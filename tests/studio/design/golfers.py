"""Who swings: bodies, sizes, clothes."""

import numpy as np

from api.domain.names import Hand
from tests.studio.design import palette
from tests.studio.design.columns import Columns, rows_of
from tests.studio.dials import BodyName, GolferDials, Headwear

_BODIES = {BodyName.MAN: 13, BodyName.WOMAN: 12, BodyName.HEAVY_MAN: 7}
_STATURE_M = {
    BodyName.MAN: (1.64, 1.98),
    BodyName.WOMAN: (1.50, 1.82),
    BodyName.HEAVY_MAN: (1.66, 1.92),
}
_HEADWEAR = {Headwear.BALD: 6, Headwear.CAP: 15, Headwear.HAIR: 11}


def golfers(columns: Columns) -> list[GolferDials]:
    bodies = columns.dealt(_BODIES)
    stature_m = np.zeros(columns.count)
    for body, (low, high) in _STATURE_M.items():
        stature_m += columns.among(np.array([each is body for each in bodies]), low, high)
    women = np.array([body is BodyName.WOMAN for body in bodies])
    return rows_of(
        GolferDials,
        body=bodies,
        handed=columns.dealt({Hand.RIGHT: 25, Hand.LEFT: 7}),
        stature_m=stature_m,
        girth=columns.peaked(0.86, 1.0, 1.16),
        skin=palette.skins(columns),
        shirt=palette.shirts(columns),
        trousers=palette.trousers(columns),
        shoes=palette.shoes(columns),
        hair=palette.hairs(columns),
        headwear=columns.dealt(_HEADWEAR, by=2.5 * women + columns.noise()),
        long_sleeves=columns.chosen(10),
        glove=columns.chosen(22),
    )

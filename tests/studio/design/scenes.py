"""What else is in the picture."""

import numpy as np

from tests.studio.design.columns import Columns, rows_of
from tests.studio.design.light import Light
from tests.studio.dials import Background, SceneDials

_MATTED = (Background.NET_BAY, Background.INDOOR, Background.RANGE)


def scenes(columns: Columns, light: Light) -> list[SceneDials]:
    indoors = np.array([place is Background.INDOOR for place in light.background])
    grown = np.array([place not in _MATTED for place in light.background])
    return rows_of(
        SceneDials,
        background=light.background,
        bystander=columns.chosen(8, by=columns.noise() + 9.0 * indoors),
        bag=columns.chosen(9),
        mat=columns.chosen(14, by=columns.noise() + 2.0 * grown),
    )

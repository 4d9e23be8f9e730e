"""The twelve clips that are kept in the repository (tests/clips): for the tests and the demo.

Filmed as the filming guide asks, so that a change of the measuring shows at once. They belong to no
set: what is read from them is no evidence of accuracy.
"""

from dataclasses import replace
from pathlib import Path

from api.domain.names import Hand, KeyframeId, View
from tests.studio.dials import (
    Background,
    BodyName,
    CameraDials,
    ClipDials,
    ClubName,
    FilmDials,
    GolferDials,
    Headwear,
    SceneDials,
    Sound,
    SwingDials,
)

FOLDER = Path(__file__).resolve().parents[1] / "clips"

MAN = GolferDials()
WOMAN = GolferDials(
    body=BodyName.WOMAN,
    stature_m=1.66,
    skin=(176, 122, 92),
    shirt=(150, 40, 52),
    trousers=(52, 56, 66),
    headwear=Headwear.HAIR,
)
HEAVY = GolferDials(
    body=BodyName.HEAVY_MAN,
    stature_m=1.74,
    skin=(121, 79, 58),
    shirt=(222, 222, 216),
    trousers=(44, 52, 72),
    headwear=Headwear.BALD,
)
SLEEVED = replace(MAN, stature_m=1.85, shirt=(56, 104, 84), long_sleeves=True)

FACE_ON = CameraDials(view=View.FACE_ON)
BEHIND = CameraDials(view=View.DOWN_THE_LINE)
HEARD = FilmDials(sound=Sound.MONO, crf=24)
SILENT = FilmDials(crf=24)
RANGE = SceneDials(background=Background.RANGE, mat=True)

KEPT = (
    ClipDials("face_on_neutral", 101, WOMAN, SwingDials(), FACE_ON, HEARD, SceneDials()),
    ClipDials(
        "face_on_left_handed",
        102,
        replace(HEAVY, handed=Hand.LEFT),
        SwingDials(backswing_s=0.92, downswing_s=0.30),
        FACE_ON,
        SILENT,
        RANGE,
    ),
    ClipDials(
        "face_on_pause",
        103,
        replace(HEAVY, handed=Hand.LEFT),
        SwingDials(pause_at=KeyframeId.LEAD_ARM_PARALLEL, pause_s=1.5),
        FACE_ON,
        SILENT,
        SceneDials(background=Background.NET_BAY, mat=True),
    ),
    ClipDials(
        "face_on_rotated",
        104,
        WOMAN,
        SwingDials(),
        FACE_ON,
        replace(SILENT, rotation_deg=90),
        SceneDials(background=Background.EVENING),
    ),
    ClipDials(
        "face_on_hands_first",
        105,
        MAN,
        SwingDials(hands_first=0.9, hinge_deg=84.0),
        FACE_ON,
        replace(SILENT, fps=30.0),
        RANGE,
    ),
    ClipDials(
        "face_on_narrow",
        106,
        WOMAN,
        SwingDials(hinge_deg=60.0, dark_shaft=True),
        replace(FACE_ON, azimuth_deg=-4.0),
        SILENT,
        SceneDials(background=Background.INDOOR, mat=True),
    ),
    ClipDials(
        "face_on_under_set",
        107,
        MAN,
        SwingDials(hinge_deg=120.0),
        replace(FACE_ON, azimuth_deg=3.0, roll_deg=1.0),
        SILENT,
        SceneDials(),
    ),
    ClipDials(
        "face_on_two_swings",
        108,
        SLEEVED,
        SwingDials(swings=2, gap_s=2.0, waggles=1),
        FACE_ON,
        replace(SILENT, fps=30.0),
        RANGE,
    ),
    ClipDials(
        "face_on_stop_at_top",
        109,
        HEAVY,
        SwingDials(stop_at_top=True, hold_s=1.2),
        FACE_ON,
        SILENT,
        SceneDials(),
    ),
    ClipDials("down_the_line_neutral", 111, WOMAN, SwingDials(), BEHIND, HEARD, SceneDials()),
    ClipDials(
        "down_the_line_roll",
        112,
        SLEEVED,
        SwingDials(early_roll=0.9, butt_grips=-1.4, dark_shaft=True),
        replace(BEHIND, azimuth_deg=2.0, roll_deg=-1.0),
        SILENT,
        RANGE,
    ),
    ClipDials(
        "down_the_line_lift",
        113,
        MAN,
        SwingDials(arm_lift=0.8, butt_grips=2.6, club=ClubName.WEDGE),
        replace(BEHIND, offset_m=0.1),
        SILENT,
        SceneDials(background=Background.NET_BAY, mat=True),
    ),
)

"""Everything that can be dialled on a rendered clip. One frozen value describes one clip completely:
the same dials give the same pixels and the same truth.

World (right-hander): origin on the ground under the ball, X to the target, Y from the ball line
towards the golfer (inside positive), Z up; metres and seconds. A left-hander is filmed as the mirror
image of a right-hander, so every number here is a right-hander's.
"""

from dataclasses import dataclass, field
from enum import StrEnum

from api.domain.names import Hand, KeyframeId, View


class BodyName(StrEnum):
    """Which mesh and skeleton."""

    MAN = "man"
    WOMAN = "woman"
    HEAVY_MAN = "heavy-man"


class Headwear(StrEnum):
    """What is on the head."""

    CAP = "cap"
    HAIR = "hair"
    BALD = "bald"


class ClubName(StrEnum):
    """Clubs, by the lengths of ``tests.studio.club.CLUB_LENGTH_M``."""

    DRIVER = "driver"
    IRON_5 = "5-iron"
    IRON_7 = "7-iron"
    WEDGE = "wedge"


class Background(StrEnum):
    """Where the clip is filmed."""

    GRASS = "grass"
    NET_BAY = "net-bay"
    RANGE = "range"
    INDOOR = "indoor"
    EVENING = "evening"


class Sound(StrEnum):
    """Sound track of the file."""

    NONE = "none"
    MONO = "mono"
    STEREO = "stereo"


Colour = tuple[int, int, int]
"""sRGB, 0 to 255."""


@dataclass(frozen=True, slots=True)
class GolferDials:
    """Who swings. ``girth`` scales width and depth about the bones, 1 as modelled."""

    body: BodyName = BodyName.MAN
    handed: Hand = Hand.RIGHT
    stature_m: float = 1.78
    girth: float = 1.0
    skin: Colour = (204, 147, 117)
    shirt: Colour = (38, 74, 140)
    trousers: Colour = (140, 132, 117)
    shoes: Colour = (216, 216, 221)
    hair: Colour = (40, 28, 20)
    headwear: Headwear = Headwear.CAP
    long_sleeves: bool = False
    glove: bool = True


@dataclass(frozen=True, slots=True)
class SwingDials:
    """How the swing goes. Degrees of faults run from 0 (absent) to 1 (gross).

    ``hinge_deg``: arm-shaft angle at lead arm parallel that the key pose aims at, seen face-on without
    perspective; a lens at hand height sees some 4 degrees less, so 58 to 130 show as 55 to 125.
    ``butt_grips``: where the butt end points then, grip lengths inside the ball line, -1.5 to 3.
    Both are aims: the truth is computed from the motion that was rendered. ``early_roll``: forearms
    rotate early, club flat and behind; with ``butt_grips`` below -0.5 it is the pattern of that
    name. ``arm_lift``: arms rise with little turn and depth; the pattern with ``butt_grips`` above
    1.75. ``hands_first``: hands and wrists start before the body, most of the set is used at the
    trail leg. ``no_trigger``:
    no pelvis shift before the club. ``sway``: pelvis slides off the ball.
    ``top_arm_deg``: how far the lead arm is above level at the top: a short or a long swing.
    ``pause_at`` / ``pause_s``: a stop of that length at an instant of the backswing or at the top.
    ``slow``: everything takes this many times as long (rehearsal). ``waggles``: small movements of
    the club before the start. ``swings``: how many in one file, ``gap_s`` apart.
    ``dark_shaft``: graphite in place of bright steel. ``stop_at_top``: the swing ends at the top. ``ball``: whether there is one.
    """

    club: ClubName = ClubName.IRON_7
    hinge_deg: float = 90.0
    butt_grips: float = 0.5
    backswing_s: float = 0.85
    downswing_s: float = 0.28
    early_roll: float = 0.0
    arm_lift: float = 0.0
    hands_first: float = 0.0
    no_trigger: float = 0.0
    sway: float = 0.0
    elbow_bend_deg: float = 6.0
    chest_turn_deg: float = 88.0
    pelvis_turn_deg: float = 42.0
    top_arm_deg: float = 40.0
    pause_at: KeyframeId | None = None
    pause_s: float = 0.0
    slow: float = 1.0
    waggles: int = 0
    swings: int = 1
    gap_s: float = 2.5
    stop_at_top: bool = False
    ball: bool = True
    lead_in_s: float = 0.9
    hold_s: float = 0.7
    unrest_m: float = 0.003
    dark_shaft: bool = False


@dataclass(frozen=True, slots=True)
class CameraDials:
    """Where the phone stands. ``azimuth_deg``: camera moved round the golfer off the ideal place,
    positive as in ``api.domain.projection.yawed_direction`` (far things move to the picture's right).
    ``roll_deg`` positive turns the picture's content anticlockwise. ``fov_deg``: along the picture's
    long side. ``offset_m``: sideways of the ideal line of sight (towards the target when face-on,
    towards the golfer down-the-line). ``tilt_deg``: the lens points this far below level, as far as ball and
    upright club stay in the picture. ``shake_deg``: size (one sigma) of the hand's slow
    unsteadiness; 0 is a stand. ``distortion``: first radial coefficient k1 of OpenCV's model.
    """

    view: View = View.FACE_ON
    azimuth_deg: float = 0.0
    roll_deg: float = 0.0
    tilt_deg: float = 0.0
    height_m: float = 1.0
    distance_m: float = 4.0
    offset_m: float = 0.0
    fov_deg: float = 62.0
    shake_deg: float = 0.0
    distortion: float = 0.0
    portrait: bool = True


@dataclass(frozen=True, slots=True)
class FilmDials:
    """What the phone writes. ``short_side``: 720 or 1080. ``rolling_shutter_s``: from first to last
    row. ``noise``: 0 clean, 1 as a phone on a dull day. ``slow_motion``: the file plays this many
    times slower than life (1 is real time): ``fps`` then is the rate at capture. ``variable_rate``:
    frame times jitter and some are dropped. ``rotation_deg``: the file's rotation tag (0, 90, 180,
    270). ``crf``: compression, larger is coarser.
    """

    short_side: int = 720
    fps: float = 60.0
    exposure_s: float = 1 / 500
    rolling_shutter_s: float = 0.0
    noise: float = 0.3
    slow_motion: float = 1.0
    variable_rate: bool = False
    rotation_deg: int = 0
    crf: int = 20
    sound: Sound = Sound.NONE
    range_noise: float = 0.0


@dataclass(frozen=True, slots=True)
class SceneDials:
    """What else is in the picture."""

    background: Background = Background.GRASS
    bystander: bool = False
    bag: bool = False
    mat: bool = False


@dataclass(frozen=True, slots=True)
class ClipDials:
    """One clip. ``seed`` feeds everything that is random in it: unrest, shake, noise, jitter."""

    name: str
    seed: int
    golfer: GolferDials = field(default_factory=GolferDials)
    swing: SwingDials = field(default_factory=SwingDials)
    camera: CameraDials = field(default_factory=CameraDials)
    film: FilmDials = field(default_factory=FilmDials)
    scene: SceneDials = field(default_factory=SceneDials)

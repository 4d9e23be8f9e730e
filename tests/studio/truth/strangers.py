"""Truth files of the independent renderer (``shared/clips``), read into typed classes.

What is the same as ours, checked on the data (``test_strangers.py``): ``arm_shaft_wrist`` is
``lead_arm_shaft_angle``; pixels are upright, y down, the first pixel's centre at 0, 0 (the
left-hander's ball lies at 719 less the right-hander's x in a picture 720 wide); the joint centres are
those of the same rig (``tests.studio.truth.centres``); the butt end's picture estimate scales by the
club from butt end to hosel at address.

What differs, and what it does:

- Sides are the golfer's own, ``left_*`` and ``right_*``; ours are lead and trail: named anew here.
- The grip is 0.265 m long, ours 0.267: the same spot on the ground reads 0.75 % larger there.
- ``takeaway`` and ``finish`` are the times of key poses; ours are when speeds pass the threshold.
  Before it their bodies sway at 2 to 6 cm/s, about or above the threshold of 0.05 torso lengths a
  second, so that no address by the strict definition need be there. Theirs comes some 5 ms early.
- Instants are on a grid of a millisecond.
- ``hands_past_trail_leg`` comes 9 to 32 ms after the mid-wrists cross the line hip to ankle in the
  *picture*: it is taken in space, as ours is, and the hands are nearer to the lens than the leg.
- ``top`` comes within 5 ms of the largest elevation of the lead arm in the picture; ours is in space.
- No ``delivery``; angles are given for the actual camera without distortion, shake or rolling
  shutter, which their clips have not.
- Their hosel is the club's end: ``club_length_m`` runs from butt end to hosel; ours ends at the
  sole, 35 mm beyond the hosel.
- ``blur_px`` is up to 1.5 times the hosel's way in an exposure: not compared.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from api.domain.errors import Invalid
from api.domain.json_node import JsonNode
from api.domain.names import Hand, KeyframeId, View
from tests.studio.pose import Array

GRIP_M = 0.265
SIDES = {
    Hand.RIGHT: {"left": "lead", "right": "trail"},
    Hand.LEFT: {"left": "trail", "right": "lead"},
}


@dataclass(frozen=True, slots=True)
class PictureAngles:
    """Degrees in one camera's picture: lead arm to shaft with the arm from the wrist and from the
    grip, and the shaft's elevation (in [-90, 90], up positive).
    """

    arm_shaft_wrist: float
    arm_shaft: float
    shaft_elev: float


@dataclass(frozen=True, slots=True)
class StrangerMeasure:
    """Angles at one instant, degrees."""

    ideal: PictureAngles
    actual: PictureAngles
    arm_shaft_3d: float


@dataclass(frozen=True, slots=True)
class StrangerButt:
    """Where the butt end points: metres inside on the ground, and the two cameras' uncorrected
    estimates in their grip lengths.
    """

    ground_m: float
    ideal: float
    actual: float

    @property
    def grips(self) -> float:
        """The value as defined, in their grip lengths."""
        return self.ground_m / GRIP_M


@dataclass(frozen=True, slots=True)
class StrangerCamera:
    """Off the ideal place: degrees, metres."""

    azimuth_deg: float
    pitch_deg: float
    roll_deg: float
    offset_m: float
    height_m: float


@dataclass(frozen=True, slots=True, eq=False)
class StrangerTruth:
    """One of their clips. ``swings``: seconds on the file's clock. ``tracks``: (n, 2) display pixels
    by our names (``lead_shoulder``, ``butt``, ``grip``, ``hosel``), as filmed, not mirrored.
    """

    name: str
    view: View
    handed: Hand
    width: int
    height: int
    fps: float
    exposure_s: float
    club_length_m: float
    fault: str
    hold_s: float
    camera: StrangerCamera
    ball: tuple[float, float]
    swings: tuple[Mapping[KeyframeId, float], ...]
    measures: Mapping[KeyframeId, StrangerMeasure]
    butt: StrangerButt | None
    file_s: Array
    tracks: Mapping[str, Array]
    blur_px: Array

    def right_handed(self, track: str) -> Array:
        """(n, 2) a track as a right-hander's film would show it."""
        pixels = self.tracks[track].copy()
        if self.handed is Hand.LEFT:
            pixels[:, 0] = (self.width - 1) - pixels[:, 0]
        return pixels


def load_stranger(path: Path) -> StrangerTruth:
    """Read one of their files. Raises ``Invalid``, whose words name the file and the place in it."""
    try:
        node = JsonNode(json.loads(path.read_text(encoding="utf-8")), path.name)
    except json.JSONDecodeError as error:
        raise Invalid(f"{path.name} is not JSON: {error}.", details={"path": path.name}) from error
    handed = node.child("handed").as_member(Hand)
    frames = node.items("frames")
    fault, measures = node.child("fault"), node.child("measures")
    return StrangerTruth(
        name=path.stem,
        view=node.child("view").as_member(View),
        handed=handed,
        width=node.count("width"),
        height=node.count("height"),
        fps=node.number("fps"),
        exposure_s=node.number("exposure_s"),
        club_length_m=node.number("club_length_m"),
        fault="" if fault.value is None else fault.as_text(),
        hold_s=node.number("hold_s"),
        camera=_camera(node.child("camera")),
        ball=_point(node.child("ball")),
        swings=tuple(_swing(one) for one in node.items("swings")),
        measures=_measures(measures),
        butt=_butt(measures.child("butt_end_inside")) if measures.has("butt_end_inside") else None,
        file_s=np.array([frame.number("t") for frame in frames]),
        tracks=_tracks(frames, handed),
        blur_px=np.array([frame.number("blur_px") for frame in frames]),
    )


def _camera(node: JsonNode) -> StrangerCamera:
    return StrangerCamera(
        azimuth_deg=node.number("azimuth_deg"),
        pitch_deg=node.number("pitch_deg"),
        roll_deg=node.number("roll_deg"),
        offset_m=node.number("offset_m"),
        height_m=node.number("height_m"),
    )


def _swing(node: JsonNode) -> dict[KeyframeId, float]:
    return {node.key(KeyframeId, name): one.as_number() for name, one in node.members()}


def _measures(node: JsonNode) -> dict[KeyframeId, StrangerMeasure]:
    return {
        node.key(KeyframeId, name): StrangerMeasure(
            _angles(one.child("ideal")), _angles(one.child("actual")), one.number("arm_shaft_3d")
        )
        for name, one in node.members()
        if name != "butt_end_inside"
    }


def _angles(node: JsonNode) -> PictureAngles:
    return PictureAngles(
        node.number("arm_shaft_wrist"), node.number("arm_shaft"), node.number("shaft_elev")
    )


def _butt(node: JsonNode) -> StrangerButt:
    return StrangerButt(node.number("ground_m"), node.number("ideal"), node.number("actual"))


def _tracks(frames: list[JsonNode], handed: Hand) -> dict[str, Array]:
    tracks: dict[str, list[tuple[float, float]]] = {}
    for frame in frames:
        for group in ("joints", "club"):
            for name, at in frame.child(group).members():
                tracks.setdefault(our_name(name, handed), []).append(_point(at))
    return {name: np.array(points) for name, points in tracks.items()}


def our_name(theirs: str, handed: Hand) -> str:
    """``left_hip`` -> ``lead_hip`` for a right-hander; names without a side stay."""
    side, _, part = theirs.partition("_")
    return f"{SIDES[handed][side]}_{part}" if side in SIDES[handed] else theirs


def _point(node: JsonNode) -> tuple[float, float]:
    items = node.as_items()
    if len(items) != 2:
        raise node.refuse("a point of two numbers")
    return items[0].as_number(), items[1].as_number()

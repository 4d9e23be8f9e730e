"""The standard report exercises every dial there is: both ends of every range, every member of every
enumeration, in each view what that view measures.

The expected ranges are written out here, not read from the code that draws the sample.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum

import numpy as np
import pytest

from api.domain.names import Hand, KeyframeId, View
from tests.accuracy.standard_set import BLOCK
from tests.studio.camera import StudioCamera
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
from tests.studio.sets import Set, frames_of, quick, scoring, standard
from tests.studio.sheet import planned_moments
from tests.studio.swing.motion import make_motion

RANGES: Mapping[str, tuple[float, float]] = {
    "golfer.stature_m": (1.50, 1.98),
    "golfer.girth": (0.86, 1.16),
    "swing.hinge_deg": (58.0, 130.0),
    "swing.butt_grips": (-1.5, 3.0),
    "swing.backswing_s": (0.65, 1.20),
    "swing.downswing_s": (0.22, 0.38),
    "swing.early_roll": (0.0, 1.0),
    "swing.arm_lift": (0.0, 1.0),
    "swing.hands_first": (0.0, 1.0),
    "swing.no_trigger": (0.0, 1.0),
    "swing.sway": (0.0, 1.0),
    "swing.elbow_bend_deg": (0.0, 25.0),
    "swing.chest_turn_deg": (65.0, 100.0),
    "swing.pelvis_turn_deg": (28.0, 55.0),
    "swing.top_arm_deg": (15.0, 58.0),
    "swing.pause_s": (0.0, 1.6),
    "swing.slow": (1.0, 2.5),
    "swing.gap_s": (1.6, 3.0),
    "swing.lead_in_s": (0.5, 1.1),
    "swing.hold_s": (0.4, 0.8),
    "swing.unrest_m": (0.001, 0.006),
    "camera.azimuth_deg": (-15.0, 15.0),
    "camera.roll_deg": (-6.0, 6.0),
    "camera.tilt_deg": (-6.0, 6.0),
    "camera.height_m": (0.5, 1.6),
    "camera.distance_m": (3.0, 6.0),
    "camera.offset_m": (-0.4, 0.4),
    "camera.fov_deg": (50.0, 80.0),
    "camera.shake_deg": (0.0, 0.6),
    "camera.distortion": (-0.08, 0.04),
    "film.exposure_s": (1 / 2000, 1 / 60),
    "film.rolling_shutter_s": (0.0, 0.030),
    "film.noise": (0.0, 1.0),
    "film.crf": (16, 32),
    "film.range_noise": (0.0, 1.0),
}
MEMBERS: Mapping[str, set[object]] = {
    "golfer.body": set(BodyName),
    "golfer.handed": set(Hand),
    "golfer.headwear": set(Headwear),
    "golfer.long_sleeves": {True, False},
    "golfer.glove": {True, False},
    "swing.club": set(ClubName),
    "swing.pause_at": {None, KeyframeId.LEAD_ARM_PARALLEL, KeyframeId.TOP},
    "swing.waggles": {0, 1, 2, 3},
    "swing.swings": {1, 2, 3},
    "swing.stop_at_top": {True, False},
    "swing.ball": {True, False},
    "swing.dark_shaft": {True, False},
    "camera.view": set(View),
    "camera.portrait": {True, False},
    "film.short_side": {720, 1080},
    "film.fps": {24.0, 30.0, 60.0, 120.0, 240.0},
    "film.slow_motion": {1.0, 2.0, 4.0, 8.0},
    "film.variable_rate": {True, False},
    "film.rotation_deg": {0, 90, 180, 270},
    "film.sound": set(Sound),
    "scene.background": set(Background),
    "scene.bystander": {True, False},
    "scene.bag": {True, False},
    "scene.mat": {True, False},
}
COLOURS = {"golfer.skin", "golfer.shirt", "golfer.trousers", "golfer.shoes", "golfer.hair"}
FAULTS = ("early_roll", "arm_lift", "hands_first", "no_trigger", "sway")
PARTS = {
    "golfer": GolferDials,
    "swing": SwingDials,
    "camera": CameraDials,
    "film": FilmDials,
    "scene": SceneDials,
}


@pytest.fixture(scope="module")
def report() -> tuple[ClipDials, ...]:
    """The block that is scored."""
    with scoring():
        return standard(Set.REPORT, BLOCK)


def of_view(clips: tuple[ClipDials, ...], view: View) -> tuple[ClipDials, ...]:
    return tuple(clip for clip in clips if clip.camera.view is view)


def values(clips: tuple[ClipDials, ...], dial: str) -> list[object]:
    part, name = dial.split(".")
    return [getattr(getattr(clip, part), name) for clip in clips]


def numbers(clips: tuple[ClipDials, ...], dial: str) -> list[float]:
    return [float(str(value)) for value in values(clips, dial)]


def test_no_dial_is_forgotten_here() -> None:
    """A dial added to the studio fails this test until the report exercises it."""
    named = {f"{part}.{each.name}" for part, kind in PARTS.items() for each in fields(kind)}
    assert named == RANGES.keys() | MEMBERS.keys() | COLOURS
    assert {each.name for each in fields(ClipDials)} == PARTS.keys() | {"name", "seed"}
    assert all(is_dataclass(kind) for kind in PARTS.values())


def test_there_are_enough_clips_and_half_are_of_each_view(report: tuple[ClipDials, ...]) -> None:
    assert len(report) >= 60
    seen = Counter(clip.camera.view for clip in report)
    assert seen[View.FACE_ON] == seen[View.DOWN_THE_LINE] == len(report) / 2


@pytest.mark.parametrize("dial", RANGES)
def test_a_range_is_exercised_to_both_ends_and_on_both_sides_of_its_middle(
    report: tuple[ClipDials, ...], dial: str
) -> None:
    low, high = RANGES[dial]
    column = numbers(report, dial)
    assert (min(column), max(column)) == pytest.approx((low, high), rel=1e-9)
    inside = [value for value in column if low < value < high]
    middle = (low + high) / 2
    assert any(value < middle for value in inside)
    assert any(value > middle for value in inside)


@pytest.mark.parametrize("dial", MEMBERS)
def test_every_member_is_exercised(report: tuple[ClipDials, ...], dial: str) -> None:
    assert set(values(report, dial)) == MEMBERS[dial]


@pytest.mark.parametrize("dial", sorted(COLOURS))
def test_colours_vary(report: tuple[ClipDials, ...], dial: str) -> None:
    assert len(set(values(report, dial))) >= 3


def test_skin_and_shirts_run_from_dark_to_light(report: tuple[ClipDials, ...]) -> None:
    for dial in ("golfer.skin", "golfer.shirt"):
        greens = [colour[1] for colour in values(report, dial)]  # type: ignore[index]  # triples
        assert min(greens) < 70
        assert max(greens) > 190


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("view", View)
def test_every_fault_comes_by_degrees_in_each_view(
    report: tuple[ClipDials, ...], fault: str, view: View
) -> None:
    degrees = sorted(numbers(of_view(report, view), f"swing.{fault}"))
    assert degrees[0] == 0.0
    assert len({degree for degree in degrees if degree > 0.0}) >= 6
    assert degrees[-1] == 1.0


@pytest.mark.parametrize(
    ("view", "dial"),
    [
        (View.FACE_ON, "swing.hinge_deg"),
        (View.DOWN_THE_LINE, "swing.butt_grips"),
        (View.FACE_ON, "camera.azimuth_deg"),
        (View.DOWN_THE_LINE, "camera.azimuth_deg"),
        (View.FACE_ON, "film.exposure_s"),
        (View.DOWN_THE_LINE, "film.exposure_s"),
    ],
)
def test_each_view_runs_through_what_it_measures(
    report: tuple[ClipDials, ...], view: View, dial: str
) -> None:
    column = numbers(of_view(report, view), dial)
    assert (min(column), max(column)) == pytest.approx(RANGES[dial], rel=1e-9)


@pytest.mark.parametrize("dial", ["film.fps", "scene.background", "golfer.body", "golfer.handed"])
@pytest.mark.parametrize("view", View)
def test_each_view_has_every(report: tuple[ClipDials, ...], view: View, dial: str) -> None:
    assert set(values(of_view(report, view), dial)) == MEMBERS[dial]


def test_what_is_uncommon_is_there_together_with_what_is_not(
    report: tuple[ClipDials, ...],
) -> None:
    """A rehearsal is without a ball and with one; slowed files have sound and none."""
    slow = [clip for clip in report if clip.swing.slow > 1]
    slowed = [clip for clip in report if clip.film.slow_motion > 1]
    assert len(slow) >= 4
    assert not all(clip.swing.ball for clip in slow)
    assert len(slowed) >= 4
    assert any(clip.film.sound is Sound.NONE for clip in slowed)
    assert any(clip.swing.ball and clip.film.sound is not Sound.NONE for clip in report)


def test_every_clip_can_be_filmed_with_golfer_and_club_in_the_picture(
    report: tuple[ClipDials, ...],
) -> None:
    """At address, lead arm parallel, top, impact and finish; a phone set up badly now and then cuts
    the club's head off, and so do four clips at most.
    """
    cut = [clip.name for clip in report if not _in_picture(clip)]
    assert len(cut) <= 4, cut
    indoors = [clip for clip in report if clip.scene.background is Background.INDOOR]
    assert not any(clip.scene.bystander for clip in indoors)  # nobody walks far behind in a room


def _in_picture(clip: ClipDials) -> bool:
    motion, camera = make_motion(clip), StudioCamera(clip)
    for at_s in planned_moments(clip).values():
        pose = motion.at(at_s)
        seen = camera.project(np.array([*pose.joints.values(), *pose.club.values()]), at_s)
        if not (np.all(seen >= 0) and np.all(seen < (camera.width, camera.height))):
            return False
    return True


def test_left_handers_are_about_a_fifth(report: tuple[ClipDials, ...]) -> None:
    left = sum(clip.golfer.handed is Hand.LEFT for clip in report)
    assert 0.15 < left / len(report) < 0.3


def test_the_quick_report_is_four_clips_of_block_0() -> None:
    with scoring():
        few, first = quick(Set.REPORT), standard(Set.REPORT)
    assert len(set(few)) == 4
    assert set(few) <= set(first)
    assert sum(frames_of(clip) for clip in few) < 900


def test_no_clip_of_another_set_shares_a_seed(report: tuple[ClipDials, ...]) -> None:
    practice = {clip.seed for clip in standard(Set.PRACTICE)}
    assert not practice & {clip.seed for clip in report}


def test_every_value_is_plain(report: tuple[ClipDials, ...]) -> None:
    """Dials go into a digest and a truth file: no number of numpy among them."""
    plain = (bool, int, float, str, tuple, Enum, type(None))
    for part, kind in PARTS.items():
        for each in fields(kind):
            found = values(report, f"{part}.{each.name}")
            assert all(type(value).__module__ != "numpy" for value in found), each.name
            assert all(isinstance(value, plain) for value in found)

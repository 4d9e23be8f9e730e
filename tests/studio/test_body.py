"""The studio's bodies and clubs against published sizes."""

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from api.domain.equipment import BALL_DIAMETER_M, LONGEST_CLUB_M, SHORTEST_CLUB_M
from api.domain.proportions import SHARE_OF_STATURE
from tests.studio.body import SHOE_SOLE_M, load_body
from tests.studio.club import CLUB_LENGTH_M, load_club
from tests.studio.dials import BodyName, ClubName, GolferDials, Headwear
from tests.studio.pose import ClubPoint
from tests.studio.swing.holds import BALL_RADIUS_M
from tests.studio.swing.skeleton import SIDES
from tests.studio.swing.soles import foot_vertices

BONES = {
    "upper_arm": ("upperarm01.L", "lowerarm01.L"),
    "forearm": ("lowerarm01.L", "wrist.L"),
    "thigh": ("upperleg01.L", "lowerleg01.L"),
    "shank": ("lowerleg01.L", "foot.L"),
}
BODIES = [
    GolferDials(body=body, stature_m=stature) for body in BodyName for stature in (1.60, 1.90)
]


@pytest.mark.parametrize("dials", BODIES, ids=lambda dials: f"{dials.body}-{dials.stature_m}")
def test_legs_and_forearms_have_published_shares_of_stature(dials: GolferDials) -> None:
    """Drillis and Contini 1966 (via Winter), average adults; single people vary by several per cent."""
    body = load_body(dials)
    for segment in ("forearm", "thigh", "shank"):
        share = body.length(*BONES[segment]) / dials.stature_m
        assert share == pytest.approx(SHARE_OF_STATURE[segment], rel=0.10), segment


@pytest.mark.parametrize("dials", BODIES, ids=lambda dials: f"{dials.body}-{dials.stature_m}")
def test_the_arm_is_short_by_the_rigs_low_shoulder_and_no_more(dials: GolferDials) -> None:
    """The rig's shoulder centre lies, it seems, below and inside the point the published share is measured
    from: the upper arm comes out 14 to 17 % short, the whole arm less. Pinned, not proven.
    """
    body = load_body(dials)
    upper = body.length(*BONES["upper_arm"]) / dials.stature_m
    whole = upper + body.length(*BONES["forearm"]) / dials.stature_m
    assert -0.18 < upper / SHARE_OF_STATURE["upper_arm"] - 1.0 < -0.12
    published = SHARE_OF_STATURE["upper_arm"] + SHARE_OF_STATURE["forearm"]
    assert -0.14 < whole / published - 1.0 < 0.0


@pytest.mark.parametrize("dials", BODIES, ids=lambda dials: f"{dials.body}-{dials.stature_m}")
def test_the_rigs_widths_are_where_they_were(dials: GolferDials) -> None:
    """The published widths reach, probably, to bones outside of the joints; by how much is not in the
    source. This pins the rig, so that a change of it is noticed; it proves nothing about people.
    """
    body = load_body(dials)
    shoulders = body.length("upperarm01.L", "upperarm01.R") / dials.stature_m
    hips = body.length("upperleg01.L", "upperleg01.R") / dials.stature_m
    assert -0.28 < shoulders / SHARE_OF_STATURE["shoulder_width"] - 1.0 < -0.13
    assert -0.37 < hips / SHARE_OF_STATURE["hip_width"] - 1.0 < -0.29


@pytest.mark.parametrize("body_name", list(BodyName))
def test_stature_is_from_the_ground_to_the_crown_with_straight_legs(body_name: BodyName) -> None:
    dials = GolferDials(body=body_name, stature_m=1.75, headwear=Headwear.BALD)
    body = load_body(dials)
    leg = sum(body.length(*BONES[name]) for name in ("thigh", "shank"))
    below = float(body.joint("foot.L")[2]) - body.sole_z
    drawn = np.unique(body.triangles)
    crown = float(body.vertices[drawn, 2].max()) - float(body.joint("upperleg01.L")[2])
    assert leg + below + crown - SHOE_SOLE_M == pytest.approx(1.75, abs=0.01)


@pytest.mark.parametrize("body_name", list(BodyName))
def test_a_shoe_has_one_rounded_tip_and_no_toes(body_name: BodyName) -> None:
    """Bare toes leave gaps of a centimetre under the skin that is stretched over them."""
    body = load_body(GolferDials(body=body_name))
    for tag in SIDES.values():
        foot = body.vertices[foot_vertices(body, tag)].astype(np.float64)
        tip = float(foot[:, 1].min())
        toes = foot[foot[:, 1] < tip + 0.06]
        planes = ConvexHull(toes).equations
        depth = -(toes @ planes[:, :3].T + planes[:, 3]).max(axis=1)
        assert depth.max() < 0.003
        assert float(foot[:, 1].max()) - tip == pytest.approx(0.15 * 1.78, rel=0.1)


def test_weights_are_shares() -> None:
    body = load_body(GolferDials())
    assert np.allclose(body.weights.sum(axis=1), 1.0, atol=1e-5)
    assert body.weights.min() >= 0.0
    lengths = np.linalg.norm(body.normals[np.unique(body.triangles)], axis=1)
    assert (np.abs(lengths - 1.0) < 1e-4).mean() > 0.999  # a few corners touch no area


def test_girth_widens_and_leaves_the_joints() -> None:
    slim, broad = (load_body(GolferDials(girth=girth)) for girth in (0.92, 1.12))
    assert np.array_equal(slim.joints, broad.joints)
    level = np.abs(slim.vertices[:, 2] - slim.joint("spine03")[2]) < 0.03
    waist = level & (np.abs(slim.vertices[:, 0]) < 0.25)  # hands hang at this height too
    across = [float(np.ptp(body.vertices[waist, 1])) for body in (slim, broad)]
    assert across[1] / across[0] == pytest.approx(1.12 / 0.92, rel=0.06)


def test_clothes_change_colours_where_they_are_worn() -> None:
    bare, covered = (load_body(GolferDials(long_sleeves=on)) for on in (False, True))
    changed = (bare.colours != covered.colours).any(axis=1)
    near_elbow = np.linalg.norm(bare.vertices - bare.joint("lowerarm01.L"), axis=1) < 0.05
    assert changed[near_elbow].mean() > 0.5
    assert not changed[bare.vertices[:, 2] < bare.joint("upperleg01.L")[2] - 0.3].any()


@pytest.mark.parametrize("name", list(ClubName))
def test_clubs_obey_the_rules_lengths(name: ClubName) -> None:
    """Equipment Rules, Part 2: 0.457 to 1.219 m."""
    club = load_club(name)
    assert SHORTEST_CLUB_M <= club.length_m <= LONGEST_CLUB_M
    assert club.length_m == CLUB_LENGTH_M[name]
    lowest = float(club.vertices[:, 2].max())
    assert lowest == pytest.approx(club.length_m, abs=0.04)  # the sole hangs below the hosel
    grip = club.points[ClubPoint.GRIP_END] - club.points[ClubPoint.BUTT]
    assert np.linalg.norm(grip) == pytest.approx(10.5 * 0.0254, abs=0.001)


def test_the_ball_obeys_the_rules_size() -> None:
    """Equipment Rules, Part 4: not less than 1.680 in."""
    assert 2.0 * BALL_RADIUS_M == BALL_DIAMETER_M
    assert 2.0 * BALL_RADIUS_M >= 1.680 * 0.0254 - 5e-6

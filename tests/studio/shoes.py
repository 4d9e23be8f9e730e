"""Shoes over the mesh's bare, painted feet: a smooth upper, and one rounded cap for the five toes."""

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import ConvexHull

THICK_M = 0.008
"""Of the upper: what a shoe adds to a foot."""

CAP_FROM, CAP_WHOLE, CAP_CENTRE = 0.42, 0.31, 0.48
"""Where the cap begins, is whole and has its centre: shares of the foot's length from its tip. The
toes part at about a fifth."""

CORNER_RAD = 0.15
"""One sigma of what rounds the cap's corners: an angle seen from its centre."""

SUNK_M = 0.004
"""The cap is made this much too deep and cut off level with the ground: a sole is flat."""

WAYS = 2500
"""Directions in which the cap is measured before it is rounded, all round."""

Points = NDArray[np.float64]


def with_toe_caps(
    vertices: Points, normals: Points, shoe: NDArray[np.bool_]
) -> tuple[Points, Points]:
    """Vertices and unit normals (n, 3) with the toes of each foot drawn on one cap.

    Smoothing along the mesh leaves five toes: neighbours in space are none on the mesh. So each vertex
    goes out from a centre in the ball of the foot to the rounded convex hull of the forefoot. What lay
    between two toes is folded on that surface, hence normals from the surface and not from triangles.
    """
    moved, turned = vertices.copy(), normals.copy()
    for side in (-1.0, 1.0):
        foot = np.flatnonzero(shoe & (vertices[:, 0] * side > 0.0))
        if len(foot):
            moved[foot], turned[foot] = _capped(vertices[foot], normals[foot])
    return moved, turned


def _capped(foot: Points, normals: Points) -> tuple[Points, Points]:
    """One foot, (n, 3) each. It points to -y, as every body does at rest."""
    tip, sole = float(foot[:, 1].min()), float(foot[:, 2].min())
    long = float(foot[:, 1].max()) - tip
    ahead = (foot[:, 1] - tip) / long
    front = foot[ahead < CAP_CENTRE + 0.1]
    ring = front[np.abs((front[:, 1] - tip) / long - CAP_CENTRE) < 0.05]
    centre = (ring.min(axis=0) + ring.max(axis=0)) / 2.0
    centre[1] = tip + CAP_CENTRE * long
    deep = front - [0.0, 0.0, SUNK_M] * (front[:, 2:] < centre[2])
    share = np.clip((CAP_FROM - ahead) / (CAP_FROM - CAP_WHOLE), 0.0, 1.0)[:, None]
    share = share * share * (3.0 - 2.0 * share)
    within = foot - centre
    ways = within / np.maximum(np.linalg.norm(within, axis=1, keepdims=True), 1e-9)
    far, facing = _rounded(ways, _hull_distance(deep - centre))
    target = far[:, None] * ways
    stretch = (tip - centre[1]) / float(target[:, 1].min())  # rounding took some of the length
    target = target * [1.0, stretch, 1.0] + centre
    facing /= [1.0, stretch, 1.0]
    below = target[:, 2] < sole
    target[below, 2] = sole
    facing[below] = [0.0, 0.0, -1.0]
    facing = (1.0 - share) * normals + share * facing
    facing /= np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-9)
    return foot + share * (target - foot), facing


def _hull_distance(points: Points) -> tuple[Points, Points]:
    """Unit directions (k, 3) all round, and how far (k,) the hull of ``points`` is in each."""
    index = np.arange(WAYS) + 0.5
    height, turn = 1.0 - 2.0 * index / WAYS, np.pi * (1.0 + np.sqrt(5.0)) * index
    flat = np.sqrt(1.0 - height**2)
    ways = np.stack([flat * np.cos(turn), flat * np.sin(turn), height], axis=1)
    planes = ConvexHull(points).equations
    inverse = (ways @ (planes[:, :3] / -planes[:, 3:]).T).max(axis=1)
    return ways, 1.0 / inverse


def _rounded(ways: Points, measured: tuple[Points, Points]) -> tuple[Points, Points]:
    """Distance (n,) and outward unit normal (n, 3) of the rounded surface along unit ``ways``."""
    known, far = measured
    sharp = 1.0 / CORNER_RAD**2
    weight = np.exp(sharp * (ways @ known.T - 1.0))
    total = weight.sum(axis=1)
    distance = weight @ far / total
    slope = sharp * ((weight * (far - distance[:, None])) @ known) / total[:, None]
    slope -= (slope * ways).sum(axis=1, keepdims=True) * ways
    outward = distance[:, None] * ways - slope
    return distance, outward / np.linalg.norm(outward, axis=1, keepdims=True)

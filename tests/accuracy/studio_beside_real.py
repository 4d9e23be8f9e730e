"""The studio's swings beside real ones, by the joints alone: outside evidence that it swings alike."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.accuracy.content import Block, Table, Words
from tests.accuracy.real_swings import (
    ABSENT,
    RealSwing,
    available,
    real_swings,
    survival_table,
    survivals,
)
from tests.accuracy.studio_tracks import studio_tracks
from tests.accuracy.swing_shape import SHAPES, shape_of
from worker.body.joints import BodyTrack, Joint

EXTENDED = 0.9
"""A lead arm at lead arm parallel is about straight: shorter, and the clip has its shoulders swapped
(as some of the set have) or the joint was guessed."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One measure of a swing's shape: real swings' quantiles (5, 25, 50, 75, 95 %), and the studio's
    least, median and largest with the share of its swings inside the real 5 to 95 %."""

    measure: str
    unit: str
    n: int
    real: tuple[float, float, float, float, float]
    studio: tuple[float, float, float]
    inside: float


def real_shapes() -> list[dict[str, float]]:
    """Shapes of the real swings that can be read; see ``swing_shape``."""
    found = [shape_of(swing.track) for swing in real_swings() if _arm_is_straight(swing)]
    return [shape for shape in found if shape is not None]


def _arm_is_straight(swing: RealSwing) -> bool:
    row = swing.track.xy[round(swing.level)]
    shoulder, elbow, wrist = (
        row[joint] for joint in (Joint.LEAD_SHOULDER, Joint.LEAD_ELBOW, Joint.LEAD_WRIST)
    )
    along = np.linalg.norm(elbow - shoulder) + np.linalg.norm(wrist - elbow)
    return bool(np.linalg.norm(wrist - shoulder) >= EXTENDED * along)


def compare_with_real(studio: Sequence[BodyTrack]) -> list[Compared]:
    """Swings of the studio, face-on tracks, beside the real ones, measure by measure.

    ``ValueError`` where a studio's swing has no readable shape.
    """
    real = real_shapes()
    ours = [shape_of(track) for track in studio]
    shapes = [shape for shape in ours if shape is not None]
    if not shapes or len(shapes) < len(ours):
        raise ValueError("a swing of the studio does not pass level up, top and level down")
    return [_compare(name, unit, real, shapes) for name, unit in SHAPES.items()]


def _compare(
    name: str, unit: str, real: Sequence[dict[str, float]], ours: Sequence[dict[str, float]]
) -> Compared:
    theirs = np.array([shape[name] for shape in real])
    mine = np.array([shape[name] for shape in ours])
    low, quarter, middle, upper, high = (float(np.quantile(theirs, q)) for q in _QUANTILES)
    return Compared(
        measure=name,
        unit=unit,
        n=len(theirs),
        real=(low, quarter, middle, upper, high),
        studio=(float(mine.min()), float(np.median(mine)), float(mine.max())),
        inside=float(np.mean((mine >= low) & (mine <= high))),
    )


_QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)


def blocks() -> tuple[Block, ...]:
    """What the report shows: aggregate numbers only, or why there are none."""
    if not available():
        return (Words(f"Real swings as joint tracks: not checked here; {ABSENT}."),)
    return (survival_table(survivals()), _shape_table(compare_with_real(studio_tracks())))


def _shape_table(rows: Sequence[Compared]) -> Table:
    return Table(
        "The studio's swings beside real ones, face-on, by the joints alone",
        ("measure", "real 5 %", "25 %", "median", "75 %", "95 %", "studio", "inside"),
        tuple(
            (
                f"{row.measure} ({row.unit})" if row.unit else row.measure,
                *(f"{value:.2f}" for value in row.real),
                f"{row.studio[1]:.2f} ({row.studio[0]:.2f} to {row.studio[2]:.2f})",
                f"{100 * row.inside:.0f} %",
            )
            for row in rows
        ),
        f"{rows[0].n} real swings, face-on, right-handed. Shares of time and torso lengths: neither "
        "frame rate nor size enters; the real ones' joints were clicked on the skin, the studio's are the "
        "rig's centres. Inside: studio's swings between the real 5 % and 95 %.",
    )

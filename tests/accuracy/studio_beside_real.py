"""The studio's swings beside real ones, by the joints alone: outside evidence that it swings alike."""

from collections.abc import Callable, Mapping, Sequence
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
from tests.accuracy.swing_shape import SHAPES, SIZES, shape_of, sizes_of
from worker.body.joints import BodyTrack, Joint

EXTENDED = 0.9
"""A lead arm at lead arm parallel is about straight: shorter, and the clip has its shoulders swapped
(as some of the set have) or the joint was guessed."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One measure of a swing's shape: ``n`` real swings' quantiles (5, 25, 50, 75, 95 %), and the least,
    median and largest of the studio's ``studio_n`` with the share of them inside the real 5 to 95 %."""

    measure: str
    unit: str
    n: int
    studio_n: int
    real: tuple[float, float, float, float, float]
    studio: tuple[float, float, float]
    inside: float


Reader = Callable[[BodyTrack], dict[str, float] | None]


def real_shapes(read: Reader = shape_of) -> list[dict[str, float]]:
    """Shapes (or sizes) of the real swings that can be read; see ``swing_shape``."""
    found = [read(swing.track) for swing in real_swings() if _arm_is_straight(swing)]
    return [shape for shape in found if shape is not None]


def _arm_is_straight(swing: RealSwing) -> bool:
    row = swing.track.xy[round(swing.level)]
    shoulder, elbow, wrist = (
        row[joint] for joint in (Joint.LEAD_SHOULDER, Joint.LEAD_ELBOW, Joint.LEAD_WRIST)
    )
    along = np.linalg.norm(elbow - shoulder) + np.linalg.norm(wrist - elbow)
    return bool(np.linalg.norm(wrist - shoulder) >= EXTENDED * along)


def compare_with_real(
    studio: Sequence[BodyTrack], read: Reader = shape_of, units: Mapping[str, str] = SHAPES
) -> list[Compared]:
    """Swings of the studio, face-on tracks, beside the real ones, measure by measure.

    ``ValueError`` where a studio's swing has no readable shape.
    """
    real = real_shapes(read)
    ours = [read(track) for track in studio]
    shapes = [shape for shape in ours if shape is not None]
    if not shapes or len(shapes) < len(ours):
        raise ValueError("a swing of the studio does not pass level up, top and level down")
    return [_compare(name, unit, real, shapes) for name, unit in units.items()]


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
        studio_n=len(mine),
        real=(low, quarter, middle, upper, high),
        studio=(float(mine.min()), float(np.median(mine)), float(mine.max())),
        inside=float(np.mean((mine >= low) & (mine <= high))),
    )


_QUANTILES = (0.05, 0.25, 0.5, 0.75, 0.95)


def blocks() -> tuple[Block, ...]:
    """What the report shows: aggregate numbers only, or why there are none."""
    if not available():
        return (Words(f"Real swings as joint tracks: not checked here; {ABSENT}."),)
    studio = studio_tracks()
    shapes, sizes = compare_with_real(studio), compare_with_real(studio, sizes_of, SIZES)
    return (survival_table(survivals()), _shape_table(shapes), *_outside(shapes, sizes))


FEW_INSIDE = 0.5


def _outside(shapes: Sequence[Compared], sizes: Sequence[Compared]) -> tuple[Block, ...]:
    """What is said where most of the studio's swings lie outside the real ones; nothing otherwise."""
    outside = [row.measure for row in shapes if row.inside < FEW_INSIDE]
    if not outside:
        return ()
    words = Words(
        f"Outside the real ones for most of the studio's swings, and unexplained: {'; '.join(outside)}. "
        "The torso, by which lengths are counted, may have part in it: the table below sets the limbs beside "
        "it, and counts the same hands by the lead arm instead. Limbs longer in torsos than the real ones', hands "
        "that counted by the arm lie inside across and low above the hips: hips clicked lower on the skin than the "
        "rig's joints lie would give all three. So might the rig's own proportions, the real ones' lenses or the "
        "swing itself; nothing here tells which."
    )
    return words, _compared_table("The studio's sizes beside real ones", sizes, _SIZES_NOTE)


_SIZES_NOTE = "Columns as above. Sixty degrees below level: on the way back, where the arm hangs."


def _shape_table(rows: Sequence[Compared]) -> Table:
    first = rows[0]
    return _compared_table(
        "The studio's swings beside real ones, face-on, by the joints alone",
        rows,
        f"{first.n} real swings, face-on, right-handed, beside {first.studio_n} of the studio, made for this "
        "and no clip of the report. Shares of time and torso lengths: neither "
        "frame rate nor size enters; the real ones' joints were clicked on the skin, the studio's are the "
        "rig's centres. Studio: median (least to largest). Inside: the studio's swings between the real 5 % "
        f"and 95 %, of {first.studio_n}.",
    )


def _compared_table(title: str, rows: Sequence[Compared], note: str) -> Table:
    return Table(
        title,
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
        note,
    )

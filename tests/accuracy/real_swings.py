"""Real swings as joint tracks clicked by people: does the logic survive them?

The tracks (Penn Action: Zhang, Zhu and Derpanis, From Actemes to Action, ICCV 2013) name no licence.
They lie beside the project on a development machine only; nothing of a single clip is written, and
where they are absent the report says so. They hold no pictures, no club, and no frame rate.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from api.domain.measurement import Missing
from api.domain.names import View
from api.domain.uncertainty import Z95
from tests.accuracy.content import Table
from worker.body.joints import BodyTrack, Joint
from worker.swing import instants
from worker.swing.cycles import find_swings
from worker.swing.instants import Instant, Motion
from worker.swing.signals import noise_sigma

Array = NDArray[np.float64]

REAL = Path(__file__).resolve().parents[3] / "shared" / "real"
RATE = 30.0
"""Pictures a second; the set does not say, most of it plays at this. Shapes do not depend on it."""
ABSENT = "the real joint tracks are not on this machine (no licence to ship)"
NOISES = (0.0, 0.005, 0.010)
"""Added to every coordinate, one sigma, shares of the golfer's height in the picture."""
COLUMNS = {
    Joint.NOSE: 0,
    Joint.LEAD_SHOULDER: 2,
    Joint.TRAIL_SHOULDER: 1,
    Joint.LEAD_ELBOW: 4,
    Joint.TRAIL_ELBOW: 3,
    Joint.LEAD_WRIST: 6,
    Joint.TRAIL_WRIST: 5,
    Joint.LEAD_HIP: 8,
    Joint.TRAIL_HIP: 7,
    Joint.LEAD_KNEE: 10,
    Joint.TRAIL_KNEE: 9,
    Joint.LEAD_ANKLE: 12,
    Joint.TRAIL_ANKLE: 11,
}
"""The set's columns by joint, for a right-hander seen face-on."""


@dataclass(frozen=True, slots=True)
class RealSwing:
    """One face-on right-handed swing. The instants were computed, not clicked; in frames."""

    track: BodyTrack
    height_px: float
    level: float
    top: float
    lowest: float


def available() -> bool:
    """Whether the tracks are on this machine."""
    return REAL.is_dir()


def real_swings() -> list[RealSwing]:
    """All face-on right-handed swings of the set. ``FileNotFoundError`` where they are absent."""
    joints = np.load(REAL / "penn_golf_joints.npz")
    listed = json.loads((REAL / "penn_golf_faceon_righthanded_events.json").read_text())
    return [
        RealSwing(
            track=track_of(joints[event["id"]].astype(np.float64)),
            height_px=float(event["golfer_height_px"]),
            level=float(event["lead_arm_parallel_frame0"]),
            top=float(event["top_frame0"]),
            lowest=float(event["lowest_hands_after_top0"]),
        )
        for event in listed
    ]


def track_of(joints: Array) -> BodyTrack:
    """Body track of clicked joints (n, 13, 2 or more); hands lie where the wrists are."""
    n = len(joints)
    xy = np.zeros((n, 33, 2))
    for joint, column in COLUMNS.items():
        xy[:, joint] = joints[:, column, :2]
    for hand in range(17, 23):
        xy[:, hand] = xy[:, Joint.LEAD_WRIST if hand % 2 else Joint.TRAIL_WRIST]
    return BodyTrack(np.arange(n), np.arange(n) / RATE, xy, np.ones((n, 33)))


def motion_of(track: BodyTrack, *, sigma_px: float = 1.0, bias_px: float = 3.0) -> Motion:
    """The signals the instants are read from; ``sigma_px`` of one coordinate of a joint."""
    rise = track.of(Joint.LEAD_SHOULDER)[:, 1] - track.of(Joint.LEAD_WRIST)[:, 1]
    both = float(np.sqrt(2.0)) * sigma_px
    return Motion(track.times_s, track.hands, sigma_px, rise, both, bias_px, track.torso_px())


@dataclass(frozen=True, slots=True)
class Survival:
    """The logic on ``n`` swings with noise added: shares with one swing, with lead arm parallel and
    top in order before the lowest hands, and with a start before them; then of lead arm parallel, what
    the added noise moved it by: median in frames, and the share of swings whose move the 95 %
    interval for that noise holds."""

    noise: float
    n: int
    one_swing: float
    in_order: float
    started: float
    moved_frames: float
    held: float


def survivals() -> list[Survival]:
    """One row a noise. Seeded: the same rows every time."""
    swings = real_swings()
    return [_survival(swings, noise) for noise in NOISES]


def _survival(swings: Sequence[RealSwing], noise: float) -> Survival:
    rng = np.random.default_rng(20)
    one, order, started = [], [], []
    moves: list[tuple[float, float]] = []
    for swing in swings:
        sigma_px = noise * swing.height_px
        track = _noisy(swing.track, sigma_px, rng)
        one.append(len(find_swings(track, View.FACE_ON)) == 1)
        level, start = _read(motion_of(track, sigma_px=_hypot(sigma_px, click_px(swing))), swing)
        order.append(level is not None)
        started.append(start is not None)
        move = _moved(swing, track, sigma_px)
        if move is not None:
            moves.append(move)
    gone, sigma = np.array(moves).T
    return Survival(
        noise=noise,
        n=len(swings),
        one_swing=float(np.mean(one)),
        in_order=float(np.mean(order)),
        started=float(np.mean(started)),
        moved_frames=float(np.median(gone)) * RATE,
        held=float(np.mean(gone <= Z95 * sigma)),
    )


def click_px(swing: RealSwing) -> float:
    """One sigma of the clicks themselves, pixels, from what is not smooth in the hands' track."""
    return max(noise_sigma(swing.track.hands[:, axis]) for axis in (0, 1))


def _hypot(first: float, second: float) -> float:
    return float(np.hypot(first, second))


def _moved(swing: RealSwing, track: BodyTrack, sigma_px: float) -> tuple[float, float] | None:
    """Seconds by which added noise moves lead arm parallel, and the sigma stated for that noise."""
    before_s = swing.top / RATE + 0.1
    clean = instants.arm_level_up(motion_of(swing.track), 0.0, before_s)
    level = instants.arm_level_up(motion_of(track, sigma_px=sigma_px, bias_px=0.0), 0.0, before_s)
    if isinstance(clean, Missing) or isinstance(level, Missing):
        return None
    return abs(level.time_s - clean.time_s), level.sigma_s


def _noisy(track: BodyTrack, sigma_px: float, rng: np.random.Generator) -> BodyTrack:
    xy = track.xy + rng.normal(0.0, sigma_px, track.xy.shape)
    # Hands are the wrists here: noise of their own would make the grip better than clicked.
    for hand in range(17, 23):
        xy[:, hand] = xy[:, Joint.LEAD_WRIST if hand % 2 else Joint.TRAIL_WRIST]
    return BodyTrack(track.frames, track.times_s, xy, track.seen)


def _read(motion: Motion, swing: RealSwing) -> tuple[Instant | None, Instant | None]:
    """Lead arm parallel, where the top follows it before the lowest hands; and a start before it."""
    low_s = swing.lowest / RATE
    level = instants.arm_level_up(motion, 0.0, swing.top / RATE + 0.1)
    if isinstance(level, Missing):
        return None, None
    top = instants.top(motion, level.time_s, low_s)
    start = instants.takeaway(motion, level.time_s)
    ordered = not isinstance(top, Missing) and level.time_s < top.time_s < low_s
    begun = not isinstance(start, Missing) and start.time_s < level.time_s
    return level if ordered else None, start if begun and isinstance(start, Instant) else None


def survival_table(rows: Sequence[Survival]) -> Table:
    return Table(
        "Instants' logic on real swings: joints clicked by people, noise added",
        (
            "noise, of height",
            "swings",
            "one swing",
            "in order",
            "start",
            "moved, frames",
            "held by 95 %",
        ),
        tuple(
            (
                f"{100 * row.noise:.1f} %",
                str(row.n),
                f"{100 * row.one_swing:.0f} %",
                f"{100 * row.in_order:.0f} %",
                f"{100 * row.started:.0f} %",
                f"{row.moved_frames:.2f}",
                f"{100 * row.held:.0f} %" if row.noise else "",
            )
            for row in rows
        ),
        "In order: lead arm parallel, then the top, then the lowest hands. Start: a start before them; many "
        "of these clips begin in motion, and what counts as still grows with the noise. Moved: lead arm parallel against the joints as clicked, "
        "median, and the share whose move the interval stated for that noise holds.",
    )

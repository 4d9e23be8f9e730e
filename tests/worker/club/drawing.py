"""Simple pictures with a known shaft or ball, seeded, for the finders' tests."""

import math

import cv2
import numpy as np
from numpy.typing import NDArray

Gray = NDArray[np.uint8]

SIZE = (700, 520)
HANDS = (260.0, 380.0)


def scenery(seed: int = 1) -> NDArray[np.float64]:
    """A soft, uneven background with a fence of still lines."""
    noise = np.random.default_rng(seed).normal(0.0, 1.0, SIZE)
    soft = np.asarray(cv2.GaussianBlur(noise, (0, 0), 25.0), dtype=np.float64)
    back = 120.0 + 400.0 * soft
    back[::60, :] = 220.0
    back[:, ::70] = 60.0
    return back


def grain(picture: NDArray[np.float64], seed: int) -> Gray:
    """Sensor noise of two gray levels, rounded to bytes."""
    noisy = picture + np.random.default_rng(seed).normal(0.0, 2.0, picture.shape)
    return np.clip(noisy, 0, 255).astype(np.uint8)


def with_shaft(
    back: NDArray[np.float64],
    angle_deg: float,
    *,
    length: float = 230.0,
    blur_deg: float = 0.0,
    offset: float = 6.0,
    level: float = 235.0,
    hands: tuple[float, float] = HANDS,
) -> NDArray[np.float64]:
    """Draw a 3 px shaft from beside the hands; ``blur_deg`` smears it as a turn would."""
    steps = max(1, math.ceil(blur_deg * 4))
    layers = []
    for k in range(steps):
        turn = angle_deg + blur_deg * ((k + 0.5) / steps - 0.5)
        layers.append(_one(back, turn, length, offset, level, hands))
    return np.asarray(np.mean(layers, axis=0), dtype=np.float64)


def _one(
    back: NDArray[np.float64],
    angle_deg: float,
    length: float,
    offset: float,
    level: float,
    hands: tuple[float, float],
) -> NDArray[np.float64]:
    turn = math.radians(angle_deg)
    along, left = (math.cos(turn), -math.sin(turn)), (-math.sin(turn), -math.cos(turn))
    start = (hands[0] + offset * left[0], hands[1] + offset * left[1])
    end = (start[0] + length * along[0], start[1] + length * along[1])
    big = 8  # sub-pixel drawing: four bits of fraction
    mask = np.zeros(back.shape, dtype=np.uint8)
    points = [tuple(round(v * 2**big) for v in p) for p in (start, end)]
    cv2.line(mask, points[0], points[1], 255, 3, cv2.LINE_AA, big)
    share = mask / 255.0
    return np.asarray(back * (1 - share) + level * share)

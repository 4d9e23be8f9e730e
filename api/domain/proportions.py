"""Lengths of body segments as shares of stature.

Source: Drillis and Contini 1966, as printed in Winter, Biomechanics and Motor Control of Human
Movement, chapter 4; from memory, agreeing with several published codes. Shares of an average
adult: one person may be off by several per cent, so these scale and bound, they do not measure.
"""

from types import MappingProxyType

UPPER_ARM = 0.186
FOREARM = 0.146
HAND = 0.108

SHARE_OF_STATURE = MappingProxyType(
    {
        "upper_arm": UPPER_ARM,
        "forearm": FOREARM,
        "hand": HAND,
        "thigh": 0.245,
        "shank": 0.246,
        "shoulder_width": 0.259,
        "hip_width": 0.191,
    }
)


def segment_length_m(segment: str, stature_m: float) -> float:
    """Length, metres, of a named segment; ``KeyError`` for a name not in ``SHARE_OF_STATURE``."""
    return SHARE_OF_STATURE[segment] * stature_m


def shoulder_to_mid_hand_m(stature_m: float) -> float:
    """Straight arm from shoulder to the middle of the hand, metres: upper arm + forearm + half hand.

    0.386 of stature.
    """
    return (UPPER_ARM + FOREARM + HAND / 2.0) * stature_m

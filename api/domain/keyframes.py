"""The instants of a swing in plain words, in the order in which they come."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from api.domain.names import KeyframeId, View

BOTH_VIEWS = frozenset(View)
FACE_ON_ONLY = frozenset({View.FACE_ON})


@dataclass(frozen=True, slots=True)
class KeyframeWords:
    """``name`` for a button, ``meaning`` for a line under it, ``views`` where it can be seen."""

    name: str
    meaning: str
    views: frozenset[View]


KEYFRAMES: Mapping[KeyframeId, KeyframeWords] = MappingProxyType(
    {
        KeyframeId.ADDRESS: KeyframeWords(
            "Address", "Set up and still, just before the club moves.", BOTH_VIEWS
        ),
        KeyframeId.TAKEAWAY: KeyframeWords(
            "Takeaway", "The hands or the clubhead start to move, and keep moving.", BOTH_VIEWS
        ),
        KeyframeId.HANDS_PAST_TRAIL_LEG: KeyframeWords(
            "Hands past the trail leg",
            "Going back, the hands pass the line from trail hip to trail ankle.",
            FACE_ON_ONLY,
        ),
        KeyframeId.LEAD_ARM_PARALLEL: KeyframeWords(
            "Lead arm parallel",
            "Going back, lead shoulder and lead wrist are at the same height.",
            BOTH_VIEWS,
        ),
        KeyframeId.TOP: KeyframeWords("Top", "The hands change direction.", BOTH_VIEWS),
        KeyframeId.LEAD_ARM_PARALLEL_DOWN: KeyframeWords(
            "Lead arm parallel, coming down",
            "Coming down, lead shoulder and lead wrist are at the same height again.",
            BOTH_VIEWS,
        ),
        KeyframeId.DELIVERY: KeyframeWords(
            "Delivery", "Coming down, the shaft is level before it meets the ball.", BOTH_VIEWS
        ),
        KeyframeId.IMPACT: KeyframeWords("Impact", "The clubhead meets the ball.", BOTH_VIEWS),
        KeyframeId.FINISH: KeyframeWords("Finish", "The end of the swing, held still.", BOTH_VIEWS),
    }
)

"""What the phone's live check of the framing shares with the measuring: limits and words.

The check runs in the browser before and while a student films (``web/src/student/filming``). It must not call good
what is found bad afterwards, so it takes limits and words from here: ``python -m worker.measure.live`` writes
``web/src/filming/limits.json``, and a test fails while that file is another one.
"""

import json
import sys
from pathlib import Path
from typing import Any

from api.domain.filming_problems import WORDS, ProblemCode
from api.domain.measurement import Estimate
from api.domain.refusals import MESSAGES, RefusalCode
from api.domain.uncertainty import Z95
from worker.measure import filming, seen, setting
from worker.swing.scan import SCAN_SIDE
from worker.swing.shoulder import LEG_SEEN

TARGET = Path(__file__).resolve().parents[2] / "web/src/filming/limits.json"
TOLD_LIVE = (
    ProblemCode.VIEW_CONTRADICTS,
    ProblemCode.VIEW_UNCLEAR,
    ProblemCode.CAMERA_NOT_LEVEL,
    ProblemCode.CAMERA_HIGH,
    ProblemCode.CAMERA_LOW,
    ProblemCode.CAMERA_NEAR,
    ProblemCode.PERSON_SMALL,
    ProblemCode.PERSON_CUT_OFF,
    ProblemCode.CLUB_CUT_OFF,
    ProblemCode.LOW_FRAME_RATE,
    ProblemCode.PICTURE_DARK,
)
"""Problems that one still golfer, the phone's own level and the camera's light can show."""
REFUSED_LIVE = (RefusalCode.NOBODY_IN_VIEW, RefusalCode.SEVERAL_PEOPLE)


def shared() -> dict[str, Any]:
    """Limits by their names here, in lower case, and the sentences by code."""
    return {
        "note": "Made by python -m worker.measure.live. Not to be edited: a test holds it to the worker's own.",
        "limits": {
            "scan_side": SCAN_SIDE,
            "face_on_min": seen.FACE_ON_MIN,
            "behind_max": seen.BEHIND_MAX,
            "broadest": seen.BROADEST,
            "leg_min_px": seen.LEG_MIN_PX,
            "frame_rate_min": seen.FRAME_RATE_MIN,
            "roll_limit_deg": seen.ROLL_LIMIT_DEG,
            "dark_told": filming.DARK_TOLD,
            "high_m": filming.HIGH_M,
            "low_m": filming.LOW_M,
            "near_m": filming.NEAR_M,
            "out_statures": filming.OUT_STATURES,
            "leg_over_stature": setting.LEG_OVER_STATURE,
            "leg_seen": LEG_SEEN,
            "proportion_sigma": setting.PROPORTION_SIGMA,
            "stature_m": _estimate(setting.STATURE_M),
            "focal_over_long_side": _estimate(setting.FOCAL_OVER_LONG_SIDE),
            "z95": Z95,
        },
        "place": {view.value: words for view, words in seen.PLACE.items()},
        "words": {code.value: WORDS[code].message for code in TOLD_LIVE}
        | {code.value: MESSAGES[code] for code in REFUSED_LIVE},
    }


def _estimate(known: Estimate) -> dict[str, float]:
    return {"value": known.value, "sigma": known.sigma}


def text() -> str:
    """The file as it is written."""
    return json.dumps(shared(), indent=2, ensure_ascii=False) + "\n"


def main() -> int:
    """Write the file the pages read."""
    TARGET.write_text(text(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())

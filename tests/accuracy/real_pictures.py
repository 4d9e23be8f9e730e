"""What can honestly be checked on real pictures of people, for the accuracy report.

One recording of one man before four calibrated cameras, two portraits, five pictures of nobody
(``photographs/README.md`` has sources and licences). Nobody in them swings a club.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from api.domain.names import Hand, View
from tests.accuracy.content import Block, Bullets, RealPictures, Table, Words
from tests.accuracy.footage import CAMERAS, FRAMES, PHOTOGRAPHS, clip, frames
from tests.accuracy.looks import Looker, Varied, varied
from tests.accuracy.real_points import (
    EVERY,
    FEWEST_INSTANTS,
    ByEye,
    Looks,
    Missed,
    Ratio,
    Recording,
    Steadiness,
    by_eye,
    look_at,
    ratios,
    rays_missed,
    recording,
    steadiness,
)
from tests.accuracy.studio_beside_real import blocks
from tests.accuracy.words import NONE
from worker.body.detector import SCORE_MIN
from worker.measure.posture import POINT_SIGMA_STATURE
from worker.pipeline import MeasureRequest, measure_clip

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]

VARIED_EVERY = 50
NOBODY = ("coffee.jpg", "cat.jpg", "grass.jpg", "brick.jpg", "rocket.jpg")
PORTRAITS = ("photographer.png", "astronaut.jpg")
_RECORDING = "one man on a beam, four cameras"
_RECORDING_SOURCE = "pose2sim 0.10.49, BSD 3-Clause"
_PHOTO_SOURCE = "scikit-image 0.26.0, CC0 or public domain"

RENDERED_ONLY = (
    "every instant of a swing as found in pictures (start, lead arm parallel, top, impact, finish)",
    "everything about the club, the ball and the shaft",
    "every checkpoint's value, its interval's coverage and what is withheld",
    "the lead shoulder under the chin, and the wrists with both hands on a grip",
    "blur, rolling shutter, noise and compression of a fast downswing",
    "camera azimuth, roll and shake, and what they do to the numbers",
    "golf clothes, caps and gloves, and any stature, build or skin but one man's",
)
"""Claims of the accuracy report for which no real picture could be had."""


@dataclass(frozen=True, slots=True)
class Finding:
    """What the detector says of one picture: people counted, and the best score of any."""

    picture: str
    people: int
    best: float


def findings() -> list[Finding]:
    """Portraits and pictures of nobody."""
    looker = Looker()
    rows = []
    for name in (*PORTRAITS, *NOBODY):
        rgb = _read(name)
        best = max((p.score for p in looker.people(rgb, score_min=0.01)), default=0.0)
        rows.append(Finding(name, len(looker.people(rgb)), best))
    return rows


def _read(name: str) -> Picture:
    found = cv2.imread(str(PHOTOGRAPHS / name), cv2.IMREAD_COLOR)
    if found is None:
        message = f"{name} is not among the photographs"
        raise FileNotFoundError(message)
    return np.asarray(cv2.cvtColor(found, cv2.COLOR_BGR2RGB), dtype=np.uint8)


def swings_found() -> int:
    """Swings the whole pipeline finds in the four clips, sent as either view. There is none."""
    requests = [MeasureRequest(view=view, handed=Hand.RIGHT) for view in View]
    results = [measure_clip(clip(c), request) for c in CAMERAS for request in requests]
    return sum(len(result.measurement.swings) for result in results)


def section(every: int = EVERY, varied_every: int = VARIED_EVERY) -> RealPictures:
    """Run every check; larger steps look at fewer instants. About a minute on one core as it is."""
    looks = look_at(every)
    seen = recording(looks)
    found, invented = findings(), swings_found()
    points, numbers = _NO_POINTS if seen is None else _points(seen, varied_every)
    shown = (
        Words(
            "No number in this report was checked on a real golfer's picture: none with a usable "
            "licence could be had. The checks below are on one man, one room, one and a half seconds, "
            "nobody with a club. They can show a blunder; they prove little.",
            strong=True,
        ),
        _pictures_table(looks, found, invented, None if seen is None else by_eye(seen)),
        *points,
        *blocks(),
        Words("These claims of the report rest on rendered clips only:"),
        Bullets(RENDERED_ONLY),
    )
    numbers = {
        **numbers,
        "man_found": float(looks.found),
        "man_looked_for": float(looks.looked),
        "swings_invented": float(invented),
        "people_invented": float(sum(row.people for row in found if row.picture in NOBODY)),
        "portraits_found": float(sum(row.people > 0 for row in found if row.picture in PORTRAITS)),
    }
    return RealPictures(shown, numbers)


_NO_POINTS: tuple[tuple[Block, ...], dict[str, float]] = (
    (
        Words(
            "Of the recording nothing more can be said: the man was found in all four pictures of fewer than "
            f"{FEWEST_INSTANTS} instants."
        ),
    ),
    {},
)


def _points(seen: Recording, varied_every: int) -> tuple[tuple[Block, ...], dict[str, float]]:
    """Tables of the body points on the recording, and their numbers."""
    missed, eye = rays_missed(seen), by_eye(seen)
    some = [rgb for camera in CAMERAS for rgb in frames(camera, range(0, FRAMES, varied_every))]
    changed = varied(some, float(np.median(seen.stature_px())))
    tables = (
        _rays_table(seen, missed, eye),
        _varied_table(changed),
        _ratio_table(ratios(seen)),
        _steady_table(steadiness(seen)),
    )
    numbers = {
        "points_sigma_of_stature": missed[-1].sigma,
        "points_lasting_of_stature": missed[-1].lasting,
        "swapped": float(sum(row.swapped for row in changed)),
    }
    if eye is not None:
        numbers["by_eye_sigma_of_stature"] = eye.sigma
        numbers["wrong_side"] = float(eye.wrong_side)
    return tables, numbers


def _percent(share: float) -> str:
    return NONE if math.isnan(share) else f"{100.0 * share:.2f} %"


def _pictures_table(
    looks: Looks, found: Sequence[Finding], invented: int, eye: ByEye | None
) -> Table:
    rows = [
        (
            _RECORDING,
            _RECORDING_SOURCE,
            "found by the detector",
            f"{looks.found} of {looks.looked} pictures",
        ),
        (
            _RECORDING,
            _RECORDING_SOURCE,
            "a swing found where there is none",
            f"{invented} in {len(CAMERAS) * len(View)} measurements",
        ),
        (
            _RECORDING,
            _RECORDING_SOURCE,
            "joints placed once, by eye, on the first frame",
            "none found there" if eye is None else _by_eye_words(eye),
        ),
    ]
    rows += [
        (
            row.picture,
            _PHOTO_SOURCE,
            "one person" if row.picture in PORTRAITS else "nobody",
            f"{row.people} found, best score {row.best:.2f} (counted from {SCORE_MIN})",
        )
        for row in found
    ]
    return Table("Real pictures", ("picture", "source", "checked", "result"), tuple(rows))


def _by_eye_words(eye: ByEye) -> str:
    return (
        f"{eye.n} joints: {_percent(eye.sigma)} of stature apart each axis, largest {_percent(eye.largest)}; "
        f"{eye.wrong_side} nearer the other side's joint. Placing itself: "
        f"{_percent(eye.stated_sigma)} stated, {_percent(eye.placed_sigma)} by its own rays"
    )


def _rays_table(seen: Recording, missed: Sequence[Missed], eye: ByEye | None) -> Table:
    untouched = seen.untouched.sigma_px / float(np.median(seen.stature_px()))
    return Table(
        "Body points on the recording: how far rays from four cameras miss each other",
        ("joint", "one sigma, of stature", "of it lasting"),
        tuple((row.joint, _percent(row.sigma), _percent(row.lasting)) for row in missed),
        f"Each axis. The pipeline states {_percent(POINT_SIGMA_STATURE)} as lasting. A shift that all "
        f"points of one camera share was taken out as the calibration's{_shift_words(eye)}. Left in, all "
        f"joints miss by {_percent(untouched)}. What is wrong alike from all four sides cannot be seen "
        f"this way. {len(seen.instants)} instants, at which he was found in all four pictures.",
    )


def _shift_words(eye: ByEye | None) -> str:
    if eye is None:
        return ""
    return (
        f": joints placed by eye show it too ({_percent(eye.shift)}; the points' own differs from that "
        f"by {_percent(eye.shift_apart)})"
    )


def _varied_table(changed: Sequence[Varied]) -> Table:
    return Table(
        "The same pictures changed: how far body points move",
        ("change", "points", "one sigma, of stature", "stated", "pairs swapped", "pictures lost"),
        tuple(
            (
                row.name,
                str(row.n),
                _percent(row.sigma),
                _percent(row.stated),
                str(row.swapped),
                str(row.lost),
            )
            for row in changed
        ),
        "Lost: nobody was found, before or after the change. Stated: the repeatability that six looks at the unchanged picture give.",
    )


def _ratio_table(rows: Sequence[Ratio]) -> Table:
    return Table(
        "Segments where the rays meet, against Drillis and Contini's shares",
        ("ratio", "found", "published", "sigmas off"),
        tuple(
            (row.name, f"{row.found:.3f}", f"{row.published:.3f}", f"{row.off:+.1f}")
            for row in rows
        ),
        "A sigma holds how people differ (5 % of a segment) and joints that lie off by what the "
        "pipeline states.",
    )


def _steady_table(rows: Sequence[Steadiness]) -> Table:
    return Table(
        "Segments over the instants: bones keep their length",
        ("segment", "one sigma, of its length", "lead over trail"),
        tuple((row.name, _percent(row.spread), f"{row.lead_over_trail:.3f}") for row in rows),
    )

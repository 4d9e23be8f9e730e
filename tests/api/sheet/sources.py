"""Answers to print, with plain known contents."""

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

import cv2
import numpy as np

from api.domain.checkpoints import CHECKPOINTS
from api.domain.drill_library import DRILLS
from api.sheet.checkpoints import as_kept
from api.sheet.source import ClipOf, Source

WIDTH, HEIGHT = 720, 1280
PICTURE: bytes = cv2.imencode(".jpg", np.full((HEIGHT, WIDTH, 3), 120, np.uint8))[1].tobytes()
SENT = datetime(2026, 11, 30, 15, 2, tzinfo=UTC)


def reading(
    checkpoint: str, value: float | None, half: float = 1.0, **more: object
) -> dict[str, Any]:
    """A reading as answers keep it, ``half`` to either side; without a value it says why."""
    defined = CHECKPOINTS[checkpoint]  # type: ignore[index]  # a StrEnum's value is as good
    measured = value is not None
    return {
        "clip_id": "c1",
        "swing": 0,
        "checkpoint": checkpoint,
        "source": "machine",
        "value": value,
        "sigma": half / 2 if measured else None,
        "low": value - half if value is not None else None,
        "high": value + half if value is not None else None,
        "unit": defined.unit.value if measured else None,
        "band": "good" if measured else None,
        "missing": None if measured else "The club was not seen.",
        "frame": 60,
        "points": {"lead_shoulder": [500, 300], "lead_wrist": [300, 300]} if measured else {},
        "inputs": {},
        "adjusted": None,
        "own_bands": None,
    } | more


def drill(name: str, **more: object) -> dict[str, Any]:
    """A drill of the library as answers keep it."""
    known = DRILLS[name]
    return {
        "drill_id": name,
        "sets": 3,
        "reps": 8,
        "pause_s": 2,
        "days_per_week": 4,
        "until": None,
        "note": "",
        "start": None,
        "ball": None,
        "proof": True,
        "name": known.name,
        "purpose": known.purpose,
        "kit": list(known.kit),
        "steps": list(known.steps),
        "cautions": list(known.cautions),
        "next_clip": known.next_clip,
    } | more


def picture(key: str = "whole", **more: object) -> dict[str, Any]:
    """The still at lead arm parallel, stored under ``key``."""
    return {
        "clip_id": "c1",
        "swing": 0,
        "keyframe": "lead_arm_parallel",
        "frame": 60,
        "key": key,
        "lines_drawn": False,
        "off_moment": False,
    } | more


def drawing(shape: str, *places: tuple[float, float], label: str = "") -> dict[str, Any]:
    """Something drawn on that still."""
    return {
        "id": "1",
        "clip_id": "c1",
        "swing": 0,
        "keyframe": "lead_arm_parallel",
        "frame": 60,
        "shape": shape,
        "stroke": "full",
        "places": [list(place) for place in places],
        "label": label,
    }


def source(
    *,
    text: str = "Let it set more.",
    student: str = "Mira Lund",
    academy: str = "Heron Links",
    coach: str = "Rosa Quint",
    readings: Sequence[Mapping[str, Any]] | None = None,
    pictures: Sequence[Mapping[str, Any]] | None = None,
    what_changed: str = "",
    superseded: bool = False,
    stored: Mapping[str, bytes] | None = None,
    language: str = "en-GB",
    handed: str = "right",
    **kept: object,
) -> Source:
    """An answer. ``stored``: pictures by key; ``kept``: more of its snapshot."""
    readings = (
        [reading("lead_arm_shaft_angle", 93.2, 4.1), reading("tempo_ratio", 3.1, 0.3)]
        if readings is None
        else readings
    )
    content = {
        "coach_name": coach,
        "readings": readings,
        "checkpoints": as_kept(one["checkpoint"] for one in readings),
        "pictures": [picture()] if pictures is None else pictures,
        "drills": [],
        "drill_proof": None,
    } | kept
    shelf = {"whole": PICTURE, "broken": b"no picture"} if stored is None else stored
    return Source(
        academy=academy,
        zone=ZoneInfo("Europe/Zagreb"),
        student=student,
        language=language,
        handed=handed,
        club="7 iron",
        purpose="full",
        text=text,
        content=content,
        sent_at=SENT,
        what_changed=what_changed,
        superseded_at=datetime(2026, 12, 1, 9, tzinfo=UTC) if superseded else None,
        clips=[ClipOf("c1", "face-on", (WIDTH, HEIGHT))],
        read_picture=shelf.get,
    )

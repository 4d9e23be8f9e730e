"""A second way to the numbers that the page computes besides the checkpoints; it also writes their vectors.

Different mathematics from both sides, as in ``evaluate_reference``: complex numbers for places and the laying of one
picture over another, exact decimals for rounding, ``numpy`` for what lies between two instants. What a coach's moved
points make of a number goes through ``evaluate_reference`` itself.

``python -m tests.outside.page_reference`` rewrites ``tests/vectors/page.json``.
"""

import json
from collections.abc import Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Any

import numpy as np

from tests.outside import evaluate_reference as numbers

VECTORS = Path(__file__).parents[1] / "vectors" / "page.json"
COACH_PX, MARKING_DEG = 4.0, 2.6
Case = dict[str, Any]


def live() -> Iterator[Case]:
    """Some points of every checkpoint with points moved by hand: what the number then is."""
    kept: dict[tuple[str, str], Case] = {}
    for case in json.loads(numbers.VECTORS.read_text())["cases"]:
        if "value" in case["expected"] and case["points"] and _is_read_off_points(case):
            kept.setdefault((case["checkpoint"], case["handed"]), case)
    for (checkpoint, handed), case in kept.items():
        for count in {1, len(numbers.ORDER[checkpoint])}:
            moved = [name for name in numbers.ORDER[checkpoint] if name in case["points"]][:count]
            placed = {
                name: [case["points"][name][0] + 3.0 + 2.0 * place, case["points"][name][1] - 4.5]
                for place, name in enumerate(moved)
            }
            expected = _answer(_with_placed(case, placed))
            if expected is None:
                continue
            yield {
                "id": f"{checkpoint} {handed}, {len(moved)} moved",
                "checkpoint": checkpoint,
                "handed": handed,
                "width_px": case["width_px"],
                "points": case["points"],
                "inputs": case["inputs"],
                "placed": placed,
                "expected": expected,
            }


def _is_read_off_points(case: Case) -> bool:
    return set(numbers.ORDER[case["checkpoint"]]) <= set(case["points"])


def _answer(case: Case) -> dict[str, Any] | None:
    """None where the moved points give no number: a turn of more than the whole width, or too wide a doubt."""
    try:
        with np.errstate(invalid="ignore"):
            found = numbers.expected(case)
    except ValueError:
        return None
    return found if np.isfinite(found["value"]) and np.isfinite(found["sigma"]) else None


def _with_placed(case: Case, placed: Case) -> Case:
    inputs = {**case["inputs"], "sigma_marking": MARKING_DEG}
    inputs |= {f"sigma_px_{name}": COACH_PX for name in placed}
    if set(placed) == set(numbers.ORDER[case["checkpoint"]]):
        inputs["sigma_residual"] = 0.0
    return {**case, "points": {**case["points"], **placed}, "inputs": inputs}


def onsets() -> Iterator[Case]:
    """What began when against the hands, with the doubt of both, and whether that says anything."""
    for after, sigmas in (
        (-0.2, (0.03, 0.04)),
        (0.0779, (0.03, 0.026)),
        (0.0778, (0.03, 0.026)),
        (0.31, (0.0, 0.02)),
    ):
        doubt = numbers.Z95 * abs(complex(*sigmas))
        yield {
            "id": f"{after} after the hands",
            "inputs": {
                "hands_s": 1.25,
                "chest_s": 1.25 + after,
                "sigma_chest_s": sigmas[0],
                "sigma_hands_s": sigmas[1],
            },
            "expected": {
                "after_s": after,
                "doubt_s": doubt,
                "apart": _side(after, doubt, "before", "after", "together"),
            },
        }


def trends() -> Iterator[Case]:
    """The newest value against the one before it."""
    for before, now in (
        ((88.0, 84.1, 91.9), (93.5, 90.2, 96.8)),
        ((88.0, 84.1, 91.9), (92.9, 89.9, 95.9)),
        ((0.42, 0.30, 0.54), (-0.11, -0.20, -0.02)),
    ):
        doubt = abs(complex((before[2] - before[1]) / 2, (now[2] - now[1]) / 2))
        difference = now[0] - before[0]
        yield {
            "id": f"{before[0]} to {now[0]}",
            "before": before,
            "now": now,
            "expected": {
                "difference": difference,
                "doubt": doubt,
                "change": _side(difference, doubt, "down", "up", "no clear change"),
            },
        }


def _side(value: float, doubt: float, below: str, above: str, neither: str) -> str:
    return neither if abs(value) <= doubt else above if value > 0 else below


def ghosts() -> Iterator[Case]:
    """One golfer laid over another: ankles on ankles, legs equally long."""
    for mine, theirs in (
        ((370 + 1012j, 371.5 + 640.25j), (355 + 900j, 350.2 + 655.5j)),
        ((610.5 + 905j, 590 + 500j), (300 + 700j, 305 + 202j)),
    ):
        scale = abs(mine[1] - mine[0]) / abs(theirs[1] - theirs[0])
        corner = mine[0] - scale * theirs[0]
        yield {
            "id": f"scaled by {scale:.3f}",
            "mine": _body(mine),
            "theirs": _body(theirs),
            "expected": {"left": corner.real, "top": corner.imag, "scale": scale},
        }


def _body(joints: tuple[complex, complex]) -> dict[str, list[float]]:
    """Points of one frame whose middles are the ankles and the hips given."""
    found = {}
    for part, at in zip(("ankle", "hip"), joints, strict=True):
        found[f"lead_{part}"] = [at.real + 20.5, at.imag - 1.25, 2.0]
        found[f"trail_{part}"] = [at.real - 20.5, at.imag + 1.25, 2.0]
    return found


def steps() -> Iterator[Case]:
    """The other clip's frame that goes with one of this, and how far on both are between two instants."""
    mine = [round(frame / 60, 6) for frame in range(91)]
    theirs = [round(frame / 50 + 0.004 * (frame % 3), 6) for frame in range(121)]
    tied = [(20, 30), (60, 50), (75, 90)]
    at = np.array([mine[frame] for frame, _ in tied])
    beside = np.array([theirs[frame] for _, frame in tied])
    for frame in (5, 20, 33, 59, 60, 71, 80):
        now = mine[frame]
        if now < at[0] or now >= at[-1]:
            edge = 0 if now < at[0] else -1
            wanted, share = beside[edge] + now - at[edge], 0.0
        else:
            wanted = float(np.interp(now, at, beside))
            place = int(np.searchsorted(at, now, side="right")) - 1
            share = float((now - at[place]) / (at[place + 1] - at[place]))
        yield {
            "id": f"frame {frame}",
            "frame": frame,
            "mine": mine,
            "theirs": theirs,
            "tied": tied,
            "expected": {
                "frame": int(np.argmin(np.abs(np.array(theirs) - wanted))),
                "share": share,
            },
        }


_DIGITS = {"deg": ("°", 1), "grip": (" grip lengths", 2), "s": (" seconds", 2), "ratio": ("", 2)}


def phrases() -> Iterator[Case]:
    """A number as a phrase is filled with it, in British English: its shortest digits rounded half away from nought."""
    for value, unit in (
        (86.44, "deg"),
        (87.25, "deg"),
        (-3.25, "deg"),
        (-0.04, "deg"),
        (0.125, "grip"),
        (-0.424, "grip"),
        (1.005, "s"),
        (0.5549, "ratio"),
    ):
        words, digits = _DIGITS[unit]
        rounded = Decimal(str(value)).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
        sign = "" if rounded == 0 else "\u2212" if rounded < 0 else "+" if unit == "grip" else ""
        yield {
            "id": f"{value} {unit}",
            "value": value,
            "unit": unit,
            "expected": f"{sign}{abs(rounded)}{words}",
        }


def instants() -> Iterator[Case]:
    """Half of the 95 % interval of an instant, seconds, as the strip tells it."""
    for sigma in (0.004, 0.0118, 0.25):
        yield {
            "id": f"sigma {sigma}",
            "sigma_s": sigma,
            "expected": {"half_s": numbers.Z95 * sigma},
        }


def build() -> dict[str, Any]:
    """Every vector, in the order of the file."""
    parts: dict[str, Sequence[Case]] = {
        "live": list(live()),
        "onsets": list(onsets()),
        "trends": list(trends()),
        "ghosts": list(ghosts()),
        "steps": list(steps()),
        "phrases": list(phrases()),
        "instants": list(instants()),
    }
    note = "Written by tests/outside/page_reference.py: what the page computes besides the checkpoints, found a second way."
    return {"note": note, **parts}


def written(vectors: dict[str, Any]) -> str:
    """The file's text, one case a line. A tuple becomes a list."""
    parts = [f'"note": {json.dumps(vectors["note"])}']
    for name, cases in vectors.items():
        if name != "note":
            lines = ",\n".join(json.dumps(case) for case in cases)
            parts.append(f'"{name}": [\n{lines}\n]')
    return "{\n" + ",\n".join(parts) + "\n}\n"


if __name__ == "__main__":
    VECTORS.write_text(written(build()))

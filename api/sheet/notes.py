"""What is said beside a number: what it means, and what its reader must know about how it came to be.

Twins in ``web/src/answer``: ``told.ts``, ``onsets.ts``, ``slow.ts``, ``together.ts``.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Any

from api.sheet import amounts, texts, words
from api.sheet.checkpoints import Told, bands_of
from api.sheet.reader import reader

_HALF_WIDTH = 1.96
"""Sigmas in half of a 95 % interval."""
_ONSETS = ("pelvis", "chest", "wrists")

Reading = Mapping[str, Any]


def notes(told: Told, reading: Reading) -> Iterator[str]:
    """Sentences that hold for this very reading, beside what the number means."""
    inputs = reading["inputs"]
    onsets = _onsets(told, inputs)
    if onsets:
        yield onsets
    if inputs.get("cut_off") == 1:
        yield "The film ends while it is still held: it is at least this long."
    if inputs.get("plays_slowly") == 1:
        yield (
            "The swing was sent as a slow one and plays slowly: these are the film's own seconds."
        )
    if reading["source"] == "coach":
        yield "Your coach placed the points it is read from."
    if reading.get("adjusted"):
        yield _adjusted(reading["adjusted"], told)


def own_target(told: Told, reading: Reading) -> str:
    """A target that the coach set for this student, with the reason; empty where there is none."""
    own, limits = reading.get("own_bands"), bands_of(reading.get("own_bands"))
    if own is None or limits is None:
        return ""
    asked = amounts.target(limits.good_low, limits.good_high, told.saying)
    club = "" if own["club"] is None else f" with the {texts.within(own['club'])}"
    reason = f" {texts.within(own['reason'])}" if own["reason"] else ""
    return f"Your coach's own target for you: {asked}{club}.{reason}"


def _adjusted(adjusted: Mapping[str, Any], told: Told) -> str:
    machine = amounts.amount_with_doubt(
        adjusted["machine_value"], adjusted["machine_low"], adjusted["machine_high"], told.saying
    )
    act = "added" if adjusted["bias"] < 0 else "taken off"
    count = words.counted(adjusted["corrections"], "correction", "corrections")
    return (
        f"The machine read {machine}. Your academy's coaches have corrected this number on other clips "
        f"({count}), so it was adjusted: {amounts.size(adjusted['bias'], told.saying)} {act}."
    )


def _onsets(told: Told, inputs: Mapping[str, float]) -> str:
    """What began to move when, against the hands; empty for any other number."""
    hands = inputs.get("hands_s")
    if told.id != "start_order" or hands is None:
        return ""
    said = []
    for name in _ONSETS:
        at = inputs.get(f"{name}_s")
        if at is None:
            said.append(f"{name} not seen")
            continue
        doubt = _HALF_WIDTH * math.hypot(
            inputs.get(f"sigma_{name}_s", 0.0), inputs.get("sigma_hands_s", 0.0)
        )
        said.append(f"{name} {_apart(at - hands, doubt)} (± {amounts.written(doubt, 2)})")
    return f"Against the start of the hands: {', '.join(said)}."


def _apart(after: float, doubt: float) -> str:
    """Nothing is called first or last that may as well be the other."""
    if abs(after) <= doubt:
        return "together"
    return f"{amounts.written(abs(after), 2)} s {'before' if after < 0 else 'after'}"


def evidence(rests_on: Reading, told: Told) -> str:
    """What a finding rests on: "Chest turn: 10.0°, give or take 5.9, face-on"."""
    value, low, high = rests_on["value"], rests_on["low"], rests_on["high"]
    if value is None or low is None or high is None:
        said = reader().with_numbers(rests_on["missing"] or "no number").removesuffix(".")
    else:
        said = amounts.amount_with_doubt(value, low, high, told.saying)
    seen = " and ".join(words.view(one) for one in rests_on["views"])
    return f"{told.name}: {said}" + (f", {seen}" if seen else "")

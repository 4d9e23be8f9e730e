"""What the new clips say of drills given before. Twin of ``web/src/answer/proof.ts``."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from api.sheet import amounts, words
from api.sheet.checkpoints import Told
from api.sheet.reader import reader
from api.sheet.source import Source

Asked = Mapping[str, Any]

_HOLE = "…"
_ASKED: Mapping[str, str] = MappingProxyType(
    {
        "lead_arm_shaft_angle": "a lead arm to shaft angle of …",
        "butt_end_inside": "a grip end that points … inside the ball line",
        "spine_tilt_change_at_impact": "a forward tilt that changes by … until impact",
        "pause_length": "a pause of …",
        "finish_hold": "a finish held for …",
        "hands_over_trail_shoulder": "hands before the trail shoulder in that stop, at …",
    }
)
_WHERE: Mapping[str, str] = MappingProxyType(
    {
        "hands_past_trail_leg": "with your hands before the trail thigh",
        "lead_arm_parallel": "with the lead arm level",
        "top": "at the top",
    }
)
_SHAFT = "a stop with the shaft at …"
_MARKS: Mapping[str, str] = MappingProxyType(
    {"met": "good", "not_met": "outside", "too_close": "too_close", "not_seen": "no_target"}
)
_VERDICTS: Mapping[str, str] = MappingProxyType(
    {
        "met": "this clip shows it",
        "not_met": "not yet",
        "too_close": "too close to call",
        "not_seen": "could not be seen",
    }
)


def last_drills(source: Source, proof: Mapping[str, Any]) -> dict[str, Any]:
    """The drills of the answer before, each with what it asked and the verdict."""
    return {
        "drills": [
            {
                "name": drill["name"],
                "next_clip": "" if drill["asked"] else drill["next_clip"],
                "asked": list(_asked(source, drill["asked"])),
            }
            for drill in proof["drills"]
        ]
    }


def _asked(source: Source, asked: list[Asked]) -> Iterator[dict[str, Any]]:
    for place, one in enumerate(asked):
        told = source.checkpoint(one["checkpoint"])
        if told is None:
            continue
        told = replace(told, unit=one["unit"]) if one["part"] == "shaft" else told
        after = asked[place + 1]["why"] if place + 1 < len(asked) else None
        shows_it = one["verdict"] == "met" and len(source.clips) > 1
        yield {
            "asked": _words(one, told),
            "mark": _MARKS[one["verdict"]],
            "verdict": "your clips show it" if shows_it else _VERDICTS[one["verdict"]],
            "seen": _seen(one, told),
            # A reason that several in a row share stands under the last.
            "why": "" if one["why"] == after else reader().with_numbers(one["why"]),
        }


def _words(asked: Asked, told: Told) -> str:
    """As "a pause of at least 1.6 seconds with the lead arm level"."""
    usual = f"“{told.name}” at …"
    words_for = _SHAFT if asked["part"] == "shaft" else _ASKED.get(told.id, usual)
    where = _WHERE.get(asked["where"] or "", "")
    return words_for.replace(_HOLE, _limits(asked, told)) + (f" {where}" if where else "")


def _limits(asked: Asked, told: Told) -> str:
    least, most = asked["least"], asked["most"]
    if least is not None and most is not None:
        return amounts.target(least, most, told.saying)
    if least is not None:
        return f"at least {amounts.limit(least, told.saying)}"
    return "any" if most is None else f"at most {amounts.limit(most, told.saying)}"


def _seen(asked: Asked, told: Told) -> str:
    """What was measured, and on which swing of how many; empty where nothing was."""
    parts = []
    if asked["value"] is not None and asked["low"] is not None and asked["high"] is not None:
        parts.append(
            amounts.amount_with_doubt(asked["value"], asked["low"], asked["high"], told.saying)
        )
    swings, met = asked.get("swings"), asked.get("swings_met")
    if swings is not None and met is not None and swings > 1:
        count = words.counted(swings, "swing", "swings")
        parts.append(f"{amounts.written(met, 0)} of {count} {'shows' if met == 1 else 'show'} it")
    return "; ".join(parts)

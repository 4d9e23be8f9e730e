"""Everything a sheet says, in the order of the page: plain data for the typesetter, never markup."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from api.sheet import texts, words
from api.sheet.amounts import amount
from api.sheet.drills import drawings_of
from api.sheet.notes import evidence
from api.sheet.numbers import numbers
from api.sheet.pictures import Stills, stills
from api.sheet.proof import last_drills
from api.sheet.reader import written_for
from api.sheet.source import Source

LONGEST_LEAD = 420
"""Characters that are set large."""
_LARGE = ((110, 21.0), (220, 17.0), (LONGEST_LEAD, 14.0))
"""So many characters of the one main thing, so large (points)."""
_SMALLEST_LEAD = 11.0
_LONGEST_FOOTER = 60

Shown = dict[str, Any]


def contents(source: Source) -> tuple[Shown, dict[str, bytes]]:
    """What the typesetter reads, and the files of the pictures by name."""
    with written_for(source.language):
        return _contents(source)


def _contents(source: Source) -> tuple[Shown, dict[str, bytes]]:
    kept, shown = source.content, stills(source)
    lead, rest = texts.lead_and_rest(source.text, longest=LONGEST_LEAD)
    drills = list(_drills(kept["drills"], shown.files))
    own, shared = share_cautions([drill["caution"] for drill in drills])
    for drill, caution in zip(drills, own, strict=True):
        drill["caution"] = caution
    proof, together = kept.get("drill_proof"), kept.get("together")
    page = {
        "academy": texts.within(source.academy),
        "title": "What your coach says of your swing",
        "footer": f"{texts.within(_short(source.student))}, {words.day(source.sent_at, source.zone)}",
        "student": {"text": texts.tidy(source.student), "dir": texts.direction(source.student)},
        "swing": _swing(source),
        "day": words.day(source.sent_at, source.zone),
        "notices": list(_notices(source)),
        "lead": texts.written_by_a_person(lead),
        "lead_size": next((size for most, size in _LARGE if len(lead) <= most), _SMALLEST_LEAD),
        "rest": texts.written_by_a_person(rest) if rest else None,
        "later": [texts.written_by_a_person(line) for line in kept.get("later", [])],
        "signed": (
            f"{texts.within(kept['coach_name'])}, {words.day_and_time(source.sent_at, source.zone)}"
        ),
        **_stills(shown),
        "numbers": numbers(source),
        "by_eye": _by_eye(source),
        "stood_out": [_finding(source, one) for one in kept.get("judged") or []],
        "together": None if together is None else _together(source, together),
        "last": None if proof is None else last_drills(source, proof),
        "drills": drills,
        "mirrored": source.handed == "left",
        "care": shared,
    }
    return page, shown.files


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_FOOTER else f"{name[:_LONGEST_FOOTER].rstrip()} …"


def _swing(source: Source) -> str:
    club = "No club named" if source.club is None else texts.within(source.club)
    return f"{club}, {words.PURPOSES[source.purpose]}"


def _notices(source: Source) -> Iterator[Shown]:
    """What must be read before anything else: that this was corrected, or corrects another."""
    if source.superseded_at is not None:
        yield {
            "title": (
                f"A corrected answer took this one's place on {words.day(source.superseded_at, source.zone)}."
            ),
            "text": texts.written_by_a_person(
                "Follow the newer sheet. This one is kept as it was."
            ),
        }
    if source.what_changed:
        yield {
            "title": f"Corrected on {words.day(source.sent_at, source.zone)}",
            "text": texts.written_by_a_person(source.what_changed),
        }


def _stills(found: Stills) -> Shown:
    return {"stills": found.first, "more_stills": found.more, "stills_left_out": found.left_out}


# ---------------------------------------------------------------- judged by people


def _by_eye(source: Source) -> list[Shown]:
    ticks = source.content.get("by_eye", [])
    order = [clip.id for clip in source.clips]
    several = len({one["clip_id"] for one in ticks}) > 1
    swings = len({(one["clip_id"], one["swing"]) for one in ticks}) > len(
        {one["clip_id"] for one in ticks}
    )
    shown = []
    for one in sorted(ticks, key=lambda one: (_place(order, one["clip_id"]), one["swing"])):
        view = source.view_of(one["clip_id"])
        where = [words.view(view)] if several and view is not None else []
        where += [f"swing {one['swing'] + 1}"] if swings else []
        item = words.EYE_ITEMS[one["item"]]
        shown.append(
            {
                "what": f"{item} at {words.keyframe(one['keyframe']).lower()}",
                "where": ", ".join(where),
                "seen": words.spoken(one["seen"]),
                "words": texts.written_by_a_person(one["words"]) if one["words"] else None,
            }
        )
    return shown


def _place(order: Sequence[str], clip_id: str) -> int:
    return order.index(clip_id) if clip_id in order else len(order)


def _finding(source: Source, found: Mapping[str, Any]) -> Shown:
    """A pattern as the coach judged it: what they agree with comes first in the snapshot already."""
    accepted = found["judged"] == "accepted"
    unsure = "Your clip cannot say this for certain. It would mean:"
    return {
        "name": texts.written_by_a_person(found["name"]),
        **_sureness(sure=found["sure"], accepted=accepted),
        "words": texts.written_by_a_person(found["words"]) if found["words"] else None,
        "meaning": " ".join(
            part
            for part in (unsure if not accepted and not found["sure"] else "", found["meaning"])
            if part
        ),
        "because": list(_because(source, found["because"])),
        "caution": "" if accepted else found["caution"],
    }


def _sureness(*, sure: bool, accepted: bool) -> Shown:
    """How sure a finding is: who says it, and whether anybody does."""
    if accepted:
        return {"mark": "good", "sure": "Your coach sees it"}
    if sure:
        return {"mark": "watch", "sure": "Clearly seen"}
    return {"mark": "too_close", "sure": "Too close to call"}


def _because(source: Source, rests_on: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    for one in rests_on:
        told = source.checkpoint(one["checkpoint"])
        if told is not None:
            yield evidence(one, told)


def _together(source: Source, together: Mapping[str, Any]) -> Shown:
    """What two clips say together; findings that the coach judged stand elsewhere."""
    judged = source.content.get("judged") is not None
    found = [] if judged else sorted(together["findings"], key=lambda one: not one["sure"])
    several = any(one["swings"] > 1 for one in together["read_from"])
    return {
        "findings": [_finding(source, {**one, "judged": "open", "words": ""}) for one in found],
        "apart": list(_apart(source, together["disagreements"])),
        "words": together["words"]
        + (" Read from the first swing of each clip." if several else ""),
    }


def _apart(source: Source, disagreements: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    for one in disagreements:
        told = source.checkpoint(one["checkpoint"])
        if told is not None:
            face_on, behind = (
                amount(one[view], told.saying) for view in ("face_on", "down_the_line")
            )
            yield f"{told.name}: {face_on} face-on, {behind} down-the-line"


# ---------------------------------------------------------------- drills


def _drills(chosen: Sequence[Mapping[str, Any]], files: dict[str, bytes]) -> Iterator[Shown]:
    for one in chosen:
        drawn = drawings_of(one["drill_id"])
        files.update((each.file, each.svg) for each in drawn)
        yield {
            "name": one["name"],
            "purpose": one["purpose"],
            "dose": words.dose(one),
            "note": texts.written_by_a_person(one["note"]) if one.get("note") else None,
            "pictures": [
                {"file": each.file, "ratio": each.ratio, "caption": each.caption, "alt": each.alt}
                for each in drawn
            ],
            "steps": list(one["steps"]),
            "kit": ", ".join(one["kit"]),
            "caution": " ".join(one["cautions"]),
            "next_clip": one["next_clip"] if one.get("proof") else "",
        }


def share_cautions(cautions: Sequence[str]) -> tuple[list[str], str]:
    """What each drill adds of its own, and the sentences all end with. Twin of ``web/src/answer/cautions.ts``.

    Shown once, they are read; shown under each, they are not. One drill shares nothing.
    """
    lists = [texts.sentences(text) for text in cautions]
    if len(lists) < 2:  # noqa: PLR2004 - two are needed to share
        return list(cautions), ""
    alike = 0
    while alike < min(map(len, lists)) and len({one[-1 - alike] for one in lists}) == 1:
        alike += 1
    own = [" ".join(one[: len(one) - alike]) for one in lists]
    return own, " ".join(lists[0][len(lists[0]) - alike :])

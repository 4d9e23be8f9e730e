"""Whether clips about to be scored were scored before, by another pipeline.

A pipeline that was changed after a report may have been changed because of it. Its numbers on the
same clips are then no longer those of clips that nobody looked at, and README must not say so.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

from tests.accuracy.digests import file_digest, sources_digest
from tests.accuracy.outline import SHORT, Outline, read_outline
from tests.accuracy.truths import TrueClip

SEEN = "seen"
"""Name of the fact in an outline that such clips were scored; its value is ``YES``."""
YES = "yes"


def seen_before(clips: Sequence[TrueClip], kept: Path) -> str:
    """What the outline ``kept`` says of these clips, in words; nothing where they are new to it."""
    if not kept.is_file():
        return ""
    digests = {clip.name: file_digest(clip.video) for clip in clips}
    return seen_in(read_outline(kept), digests, sources_digest())


def seen_in(kept: Outline, clips: Mapping[str, str], sources: str) -> str:
    """The same from digests: of the clips by name, and of the pipeline's sources.

    One clip in common is enough, by its file or by its name: a changed studio draws the same golfer and
    swing anew. An outline that says itself that its clips had been seen hands that
    on, whatever its pipeline.
    """
    short = {name: digest[:SHORT] for name, digest in clips.items()}
    known = [one.clips for one in kept.sets.values()]
    common = sum(
        any(name in theirs or digest in theirs.values() for theirs in known)
        for name, digest in short.items()
    )
    sources_then = kept.made.get("sources", "")
    if not common or (sources_then == sources[:SHORT] and kept.made.get(SEEN) != YES):
        return ""
    handed_on = ", itself on clips that had been seen" if kept.made.get(SEEN) == YES else ""
    return (
        f"{common} of these {len(clips)} clips were scored before, by pipeline "
        f"{kept.made.get('pipeline', 'unknown')} (sources {sources_then or 'unknown'}), "
        f"{kept.made.get('date', 'on an unknown day')}{handed_on}"
    )


def is_seen(made: Mapping[str, str]) -> bool:
    """Whether an outline says that its clips had been scored by an earlier pipeline."""
    return made.get(SEEN) == YES

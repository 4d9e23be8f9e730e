"""The report's sections, in order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from tests.accuracy import figures, tables
from tests.accuracy.arm_level import ArmLevel, level_table
from tests.accuracy.claims import RENDERED_ONLY, SEEN_WORDS, how_to_read
from tests.accuracy.comparing import Comparison, sentence
from tests.accuracy.content import (
    Block,
    Bullets,
    Convention,
    Figure,
    RealPictures,
    Section,
    Table,
    Words,
)
from tests.accuracy.patterns import pattern_blocks
from tests.accuracy.rows import ClipRow, Kind, Row, Status
from tests.accuracy.studio_bodies import bodies_table
from tests.accuracy.tally import Tally, tally_all
from tests.accuracy.targets import target_table, targets_of
from tests.accuracy.truths import Absent


@dataclass(frozen=True, slots=True)
class Part:
    """One set of clips, scored. ``unread``: checkpoints with truth and no reading yet. ``seen``: an
    earlier pipeline was scored on the same clips."""

    name: str
    title: str
    clips: Sequence[ClipRow]
    rows: Sequence[Row]
    unread: Sequence[str] = ()
    worst: Sequence[Figure] = ()
    tallies: Sequence[Tally] = field(default_factory=tuple)
    level: ArmLevel = field(default_factory=ArmLevel)
    seen: bool = False


def part(
    name: str,
    title: str,
    clips: Sequence[ClipRow],
    rows: Sequence[Row],
    *,
    unread: Sequence[str] = (),
    worst: Sequence[Figure] = (),
    level: ArmLevel | None = None,
    seen: bool = False,
) -> Part:
    """A set of clips with its tallies."""
    return Part(name, title, clips, rows, unread, worst, tally_all(rows), level or ArmLevel(), seen)


def all_sections(
    standard: Part | Absent,
    strangers: Part | Absent,
    comparisons: Mapping[str, Comparison],
    conventions: Sequence[Convention],
    real: RealPictures | Absent,
    facts: Sequence[tuple[str, str]],
) -> list[Section]:
    """The whole report."""
    sections = []
    if isinstance(standard, Absent):
        sections.append(Section("Studio clips", (Words(standard.reason, strong=True),)))
    else:
        sections.append(Section("At a glance", tuple(_glance(standard))))
        sections.append(Section("Targets", (_targets(standard),)))
        sections.append(
            Section("What moved", tuple(_moved(comparisons.get(standard.name), standard)))
        )
        sections.extend(_detail(standard))
    sections.append(
        Section("Agreement with strangers", tuple(_strangers(strangers, conventions, comparisons)))
    )
    sections.append(Section("Real pictures", _real(real)))
    sections.append(Section("The studio's bodies", (bodies_table(),)))
    sections.append(Section("What rests on rendered clips only", RENDERED_ONLY))
    level, seen = (
        (ArmLevel(), False) if isinstance(standard, Absent) else (standard.level, standard.seen)
    )
    sections.append(Section("How to read this", how_to_read(level, seen=seen)))
    if not isinstance(standard, Absent):
        sections.append(Section("Every clip", (tables.clip_table(standard.clips, standard.rows),)))
    sections.append(
        Section("How this was made", (Table("Facts", ("What", "Value"), tuple(facts)),))
    )
    return sections


def _glance(one: Part) -> list[Block]:
    swings = sum(clip.swings_true for clip in one.clips)
    missed = sum(clip.missed for clip in one.clips)
    invented = sum(clip.invented for clip in one.clips)
    readings = [row for row in one.rows if row.kind is Kind.CHECKPOINT]
    wrong = sum(row.sure_wrong for row in one.rows)
    bare = sum(row.without_sigma for row in one.rows)
    return [
        *([Words(SEEN_WORDS, strong=True)] if one.seen else []),
        Words(
            f"{len(one.clips)} clips with {swings} swings: {missed} missed, {invented} invented, "
            f"{_count(one, 'refused')} clips refused, {_count(one, 'crashed')} crashed. "
            f"{_count_given(readings)} of {_count_true(readings)} readings were given, and "
            f"{tables.share_inside(readings)} of those intervals hold the truth. "
            f"{wrong} values of any kind are surely wrong, {bare} were given without a sigma (expected: 0).",
            strong=True,
        ),
        tables.glance_table(one.tallies),
    ]


def _targets(one: Part) -> Block:
    return target_table(targets_of(one.clips, one.rows))


def _count(one: Part, outcome: str) -> int:
    return sum(clip.outcome == outcome for clip in one.clips)


def _count_given(rows: Sequence[Row]) -> int:
    return sum(row.error is not None for row in rows)


def _count_true(rows: Sequence[Row]) -> int:
    return sum(row.ideal is not None and row.status is not Status.NOT_LOOKED_FOR for row in rows)


def _moved(comparison: Comparison | None, one: Part) -> list[Block]:
    if comparison is None:
        return [Words("There is no earlier report to compare with.")]
    made = comparison.before
    intro = Words(
        f"Against the report of {made.get('date', 'an unknown day')}, pipeline "
        f"{made.get('pipeline', 'unknown')}, commit {made.get('commit', 'unknown')}: "
        f"{comparison.clips} clips are the same file in both (then {comparison.clips_before}, now "
        f"{comparison.clips_after}).{PAIRED_WORDS if comparison.clips else ''}"
    )
    moved = [change for change in comparison.changes if change.moved]
    blocks: list[Block] = [intro, *_counts(comparison)]
    if not comparison.clips:
        return [*blocks, *_unpaired(comparison)]
    if not moved:
        return [*blocks, Words("No reading or instant moved.")]
    units = {tally.id: tally.unit for tally in one.tallies}
    for verdict, words in VERDICTS:
        lines = [sentence(c, units.get(c.id, "")) for c in moved if c.beyond_chance is verdict]
        if lines:
            blocks.extend([Words(words, strong=verdict is True), Bullets(tuple(lines))])
    return blocks


def _unpaired(comparison: Comparison) -> list[Block]:
    """Both reports side by side, for want of clips to pair."""
    words = Words(
        "No clip is the same, so nothing can be paired. Below stand both reports whole, each over its own "
        "clips: other golfers, cameras and light by themselves move every number, so only large moves mean "
        "something."
    )
    return [words, tables.unpaired_table(comparison.unpaired)]


def _counts(comparison: Comparison) -> list[Block]:
    lines = tuple(f"{c.what.capitalize()}: {c.before}, now {c.after}." for c in comparison.counts)
    if not lines:
        return [Words("Swings missed and invented, clips refused and crashed: as before.")]
    return [Words("Counts over all clips of each report, without a verdict:"), Bullets(lines)]


PAIRED_WORDS = (
    " Clips and pipeline repeat exactly, so a difference is real for these clips; 'more than chance' says "
    "that other clips from the same dials would show it too. Of changes that are none, more than one in "
    "twenty will be called so, and more often with few clips: about one in fourteen with 35, one in eight "
    "with six."
)
VERDICTS = (
    (True, "More than chance explains:"),
    (False, "No more than chance explains:"),
    (None, "Too few clips to tell from chance:"),
)


def _detail(one: Part) -> list[Section]:
    """Everything about one set, from counts to the worst cases."""
    instants = [tally for tally in one.tallies if tally.kind is Kind.INSTANT]
    readings = [tally for tally in one.tallies if tally.kind is Kind.CHECKPOINT]
    return [
        Section("What was found, withheld and missed", tuple(_found(one))),
        Section("Readings", tuple(_readings(readings, one.level))),
        Section("Instants", tuple(_instants(instants, one.rows))),
        Section("Patterns named", tuple(pattern_blocks(one.rows))),
        Section("Where the errors are", tuple(_where(one))),
        Section("The worst cases", tuple(_worst(one))),
    ]


def _found(one: Part) -> list[Block]:
    blocks: list[Block] = [
        tables.given_table(one.tallies),
        tables.trouble_table(one.clips),
        tables.withheld_table(one.rows),
    ]
    never = tables.not_looked_for(one.rows)
    if never:
        words = ", ".join(never)
        blocks.append(
            Words(f"Not looked for yet: {words}. They are neither failures nor successes.")
        )
    if one.unread:
        words = ", ".join(one.unread)
        blocks.append(Words(f"Not measured yet, though the truth is known: {words}."))
    return blocks


def _readings(tallies: Sequence[Tally], level: ArmLevel) -> list[Block]:
    return [
        tables.error_table(tallies, "Readings against the ideal camera"),
        tables.error_table(
            tallies, "Readings against the camera that filmed", actual=True, explained=False
        ),
        Words(
            "For where the grip end points, the camera that filmed has no truth but the uncorrected estimate "
            "from its picture; the pipeline corrects it, so there the first table counts."
        ),
        *([level_table(level)] if level.later_ms or level.against_space else []),
    ]


def _instants(tallies: Sequence[Tally], rows: Sequence[Row]) -> list[Block]:
    return [
        tables.error_table(tallies, "Instants, milliseconds", explained=False),
        tables.events_table(tallies, rows),
        Words(
            "For scale: that publication's own network reached 76.1 % over eight events and 91.8 % over six, "
            "on real film. This is other material and other events; the two cannot be ranked."
        ),
    ]


def _where(one: Part) -> list[Block]:
    return [
        *figures.all_figures(one.name, one.tallies, one.rows),
        *figures.factor_figures(one.name, one.tallies, one.rows, one.clips),
        tables.dial_table(one.clips, one.rows, one.tallies),
    ]


def _worst(one: Part) -> list[Block]:
    words = Words(
        "The ten readings and the ten instants furthest off, measured by what would still serve (half of the "
        "good band's half-width; each instant's own tolerance). Solid white: true. Dashed amber: found. "
        "Readings: on the left what is true, on the frame of the true instant, to which the true value belongs; "
        "on the right what was found, on the frame that was read. Instants: what is true on the true frame and on the found one."
    )
    return (
        [words, *one.worst] if one.worst else [Words("Nothing was given, so nothing can be shown.")]
    )


def _strangers(
    strangers: Part | Absent,
    conventions: Sequence[Convention],
    comparisons: Mapping[str, Comparison],
) -> list[Block]:
    blocks: list[Block] = [
        Words(
            "Clips of an independent renderer, with its own code, motion and truth; it dresses the same three free "
            "bodies as the studio, so this is no test of other bodies. They are never pooled with the studio's. The pipeline's rules were written while looking at them, so they show whether two "
            "renderers agree about it, not how good it is."
        ),
        _conventions(conventions),
    ]
    if isinstance(strangers, Absent):
        return [*blocks, Words(f"Not scored: {strangers.reason}", strong=True)]
    instants = [tally for tally in strangers.tallies if tally.kind is Kind.INSTANT]
    return [
        *blocks,
        *_glance(strangers),
        *_moved(comparisons.get(strangers.name), strangers),
        *_found(strangers),
        *_readings(
            [tally for tally in strangers.tallies if tally.kind is Kind.CHECKPOINT], strangers.level
        ),
        *_instants(instants, strangers.rows),
        *figures.all_figures(strangers.name, strangers.tallies, strangers.rows)[:1],
        tables.clip_table(strangers.clips, strangers.rows),
        *strangers.worst,
    ]


def _conventions(conventions: Sequence[Convention]) -> Block:
    return Table(
        "What the two renderers mean, and where they disagree",
        ("What", "Studio", "Stranger", "Difference", "Explained"),
        tuple((c.what, c.ours, c.theirs, c.difference, c.explained) for c in conventions),
    )


def _real(real: RealPictures | Absent) -> tuple[Block, ...]:
    if isinstance(real, Absent):
        return (Words(f"Nothing was checked on photographs: {real.reason}"),)
    return real.blocks

"""What the report says about itself in words: for a sceptic, and about what it cannot show."""

from collections.abc import Iterator

from tests.accuracy.arm_level import ArmLevel, level_words
from tests.accuracy.content import Block, Bullets, Words
from tests.accuracy.standard_set import BLOCK

RENDERED_ONLY: tuple[Block, ...] = (
    Words(
        "Every error, every coverage and every share in this report that concerns an instant, the club, "
        "the ball or a reading was measured on rendered clips and on nothing else.",
        strong=True,
    ),
    Bullets(
        (
            "All errors of instants, of the lead arm to shaft angle and of where the grip end points.",
            (
                "All coverage: that an interval holds the truth nineteen times in twenty is shown for rendered "
                "golfers. For people in loose clothes, in real light, on real grass, it is a hope."
            ),
            "All withholding: that the pipeline knows which readings are poor.",
            "Shaft, clubhead and ball: a rendered shaft is straighter, cleaner and better lit than a real one.",
            "Swings found, missed and invented; the effect of frame rate, exposure, camera angle and build.",
            "Sound: strikes here are made, not recorded.",
        )
    ),
    Words(
        "What photographs and clicked tracks of real people can show is in the section on real pictures: "
        "body points, people found and invented, the shape of real swings. No film of a real golfer with a "
        "usable licence could be had, and none with known truth."
    ),
)

SEEN_WORDS = (
    "An earlier pipeline was scored on these clips before, so rules may have been made with that "
    "report in view."
)
_UNSEEN_WORDS = (
    "No clip of the block that is scored here was used for any of them; clips of blocks scored before were, and those "
    "blocks are spent."
)


def how_to_read(level: ArmLevel, *, seen: bool = False) -> tuple[Block, ...]:
    """How the report is meant. ``seen``: an earlier pipeline was scored on the same clips."""
    return (Bullets(tuple(_points(level, seen=seen))),)


def _points(level: ArmLevel, *, seen: bool) -> Iterator[str]:
    yield (
        "Truth is computed from the rendered golfer's geometry by code that shares little with the "
        "measuring: the names of things, two constants (the grip's length and the ball's diameter) and the "
        "reader of JSON, all from api/domain. Both are held to cases worked by hand."
    )
    yield (
        "The clips of this report come from seeds set apart. Practice seeds are for building, "
        "calibration seeds fit the spreads that no error term explains (`make calibrate`), report seeds are only ever "
        "scored. Reading a report seed outside this command raises an error, and a test tries it."
    )
    yield (
        "The rules of the pipeline so far were written while looking at the ten strangers' clips, at twelve kept "
        "clips and at practice clips of this studio, so the strangers are no proof: they show agreement between "
        f"two renderers. {SEEN_WORDS if seen else _UNSEEN_WORDS}"
    )
    yield (
        "The network that finds joints and club (worker/body/SWING_NETWORK.md) was taught on some 2 400 practice "
        "clips of this very studio: the same three bodies, the same places, the same makers of swings, light and "
        "clubs as the clips scored here. It saw none of these clips, but it is at home in them. On people it was "
        "never taught on, and on film, it will be worse, by how much is not known; the pipeline uses it only where "
        "it agrees with a network that was taught on people."
    )
    yield (
        f"Report clips come in blocks of 64; this report scores block {BLOCK}. Block 0 is spent: it was scored "
        "twice on 2026-11-25, while the studio was still being mended, and the quick report, which every test "
        "run shows, is four of its clips. Block 1 is spent: its pictures were looked at, which showed moving clubs "
        "through the body, and the studio was mended. Blocks 2 to 9 are spent: each was scored, and its "
        "errors, or some of its clips, said what to mend next (tests/accuracy/standard_set.py says what). Every scoring that was kept is in git with its date and pipeline."
    )
    yield (
        "The studio and the pipeline were written by the same people. A mistake shared by both (of what a "
        "shoulder is, of what level means) would not show here; the strangers and the photographs are "
        "there to catch some of those."
    )
    yield (
        "The value defined is what an ideally placed camera would see. The camera that filmed is off it "
        "by what each clip's dials say, so errors against the ideal camera hold the camera's part too; "
        "the table against the camera that filmed leaves it out. "
        "The ideal camera stands at the filming phone's own height and distance, level and square: "
        "a wrong height is therefore not charged."
    )
    yield level_words(level)
    yield (
        "Every true instant and reading has a row, and so has every value of an invented swing. Withheld ones, missed swings, refused clips and crashes "
        "are counted and shown; a share 'of all' counts them against the pipeline."
    )
    yield (
        "Errors are shown for swings that were found, paired with the true swing by the time they share. "
        "A swing that was missed has no error; it has a count."
    )
    yield (
        "Each clip's student is taken to say the view, the hand and the club's length rightly, and "
        "nothing else. A wrong view or hand is not tried here."
    )
    yield (
        "Several swings and all instants of one clip share its golfer and light, so intervals of shares "
        "are a little narrower than they should be; comparisons draw whole clips."
    )
    yield (
        "Dials are drawn to cover what phones and people do, not in the proportion in which they occur. An "
        "average over this set is an average over its dials, not over anybody's students."
    )

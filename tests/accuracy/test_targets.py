"""Targets are judged by what they say, and not met by silence."""

from dataclasses import replace

from api.domain.names import Band
from tests.accuracy.made_up import clip_row, instant_row, reading_row
from tests.accuracy.rows import Row
from tests.accuracy.targets import Target, called, target_table, targets_of, true_band, word_of


def named(targets: tuple[Target, ...], start: str) -> Target:
    (found,) = [one for one in targets if one.what.startswith(start)]
    return found


def test_the_angle_is_judged_on_fast_clips_from_square_alone() -> None:
    clips = [clip_row("a"), clip_row("b", azimuth_deg=12.0), clip_row("c", frame_rate=30.0)]
    rows = [reading_row("a", 1.0), reading_row("b", 30.0), reading_row("c", 2.5)]
    targets = targets_of(clips, rows)

    fast = named(
        targets,
        "lead arm to shaft angle, camera within 6 degrees of square, 60 a second and more: mean",
    )
    slow = named(targets, "lead arm to shaft angle, camera within 6 degrees of square, 30")
    assert (fast.cases, fast.reached, word_of(fast)) == (1, "1.00 degrees", "yes")
    assert (slow.cases, slow.reached, word_of(slow)) == (1, "2.50 degrees", "yes")


def test_an_instant_that_was_lost_counts_against_how_many_are_right() -> None:
    clips = [clip_row(name) for name in "abcd"]
    rows = [instant_row(name, 3.0) for name in "abc"]
    met = named(targets_of(clips, rows), "top within")
    missed = named(targets_of(clips, [*rows, instant_row("d", None)]), "top within")

    assert (met.reached, word_of(met)) == ("100.0%", "yes")
    assert (missed.cases, missed.reached, word_of(missed)) == (4, "75.0%", "no")


def test_a_good_clip_is_one_that_was_filmed_well_whatever_came_of_it() -> None:
    bad = [
        clip_row("slow", frame_rate=30.0),
        clip_row("dark", exposure_s=1 / 100),
        clip_row("aside", azimuth_deg=-14.0),
    ]
    rows = [reading_row(clip.clip, None) for clip in bad]
    clips = [clip_row("well"), clip_row("withheld"), *bad]
    rows += [reading_row("well", 1.0), reading_row("withheld", None)]
    targets = targets_of(clips, rows)

    good = named(targets, "readings withheld on good clips")
    assert (good.cases, good.reached, word_of(good)) == (2, "50.0%", "no")
    every = named(targets, "readings withheld, good and bad")
    assert (every.cases, every.reached, word_of(every)) == (5, "80.0%", "-")


def test_without_a_case_nothing_is_met() -> None:
    targets = targets_of([], [])

    judged = [one.what for one in targets if one.met is not None]
    assert judged == []
    assert word_of(named(targets, "where the grip end points: mean")) == "-"


def test_a_missed_and_an_invented_swing_are_told() -> None:
    clips = [replace(clip_row("a"), missed=1), replace(clip_row("b"), invented=1)]
    targets = targets_of(clips, [])

    assert named(targets, "swings found").reached == "50.0%"
    assert word_of(named(targets, "swings invented")) == "no"


def test_the_table_has_a_row_for_each() -> None:
    targets = targets_of([clip_row("a")], [reading_row("a", 1.0)])

    assert len(target_table(targets).rows) == len(targets)


def test_a_top_withheld_counts_though_its_swing_has_no_impact() -> None:
    rows = [instant_row(name, 3.0) for name in "abc"]
    stopped = replace(instant_row("d", None), frames_allowed=None)
    told = targets_of([clip_row(name) for name in "abcd"], [*rows, stopped])
    assert (named(told, "top within").cases, named(told, "top within").reached) == (4, "75.0%")
    assert named(told, "instants correct").cases == 3


def test_the_takeaway_is_not_counted_beside_the_address_that_it_ends() -> None:
    rows = [replace(instant_row("a", 0.0), id=name) for name in ("address", "takeaway", "top")]
    assert named(targets_of([clip_row("a")], rows), "instants correct").cases == 2


def test_a_band_is_called_for_sure_only_where_the_whole_interval_lies_in_it() -> None:
    inside = replace(reading_row("a", 0.1), id="butt_end_inside", value=0.5, ideal=0.4, sigma=0.05)
    close, wrong = replace(inside, sigma=0.4), replace(inside, ideal=3.5)
    assert [called(row) for row in (inside, close, wrong)] == [Band.GOOD, None, Band.GOOD]
    assert [true_band(row) for row in (inside, wrong)] == [Band.GOOD, Band.OUTSIDE]

    def told(*rows: Row) -> Target:
        return named(targets_of([clip_row("a")], rows), "where the grip end points: called")

    assert (told(inside, close).reached, word_of(told(inside, close))) == (
        "0 of 1 called for sure; 1 too close to call",
        "yes",
    )
    assert word_of(told(inside, wrong)) == "no"

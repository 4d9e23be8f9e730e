"""What stands under an annotated picture, in words."""

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS
from api.domain.keyframes import KEYFRAMES
from api.domain.measurement import Keyframe, Missing, Reading
from api.domain.names import Band, KeyframeId, Unit

_DECIMALS = {
    Unit.DEGREES: 0,
    Unit.GRIP_LENGTHS: 1,
    Unit.SECONDS: 2,
    Unit.RATIO: 2,
    Unit.STANCES: 2,
    Unit.HEADS: 2,
    Unit.SHOULDERS: 2,
    Unit.STATURES: 3,
}
_SIGNS = {
    Unit.DEGREES: "°",
    Unit.GRIP_LENGTHS: " grip lengths",
    Unit.SECONDS: " s",
    Unit.RATIO: "",
    Unit.STANCES: " stance widths",
    Unit.HEADS: " head heights",
    Unit.SHOULDERS: " shoulder widths",
    Unit.STATURES: " of your height",
}
_BAND_WORDS = {
    Band.GOOD: "On target ({target}).",
    Band.WATCH: "Just off target ({target}).",
    Band.OUTSIDE: "Off target ({target}).",
    Band.TOO_CLOSE: "Too close to call (target {target}).",
}


def title(keyframe: KeyframeId, instant: Keyframe) -> str:
    """Name and time of the instant, for example ``Lead arm parallel, at 1.40 s``."""
    return f"{KEYFRAMES[keyframe].name}, at {instant.time_s:.2f} s"


def value_words(reading: Reading) -> str:
    """The value with half its 95 % interval, for example ``92° ± 6``."""
    decimals = _DECIMALS[reading.unit]
    half = max(reading.high - reading.value, reading.value - reading.low)
    # To the nearest, as the interval's ends beside it are, so that the two agree; never to nought,
    # which no reading can claim.
    shown = max(10.0**-decimals, round(half, decimals))
    value = _number(reading.value, decimals)
    if reading.unit is Unit.DEGREES:
        return f"{value}° ± {shown:.{decimals}f}"
    return f"{value} ± {shown:.{decimals}f}{_SIGNS[reading.unit]}"


def sentences(checkpoint: CheckpointId, reading: Reading | Missing) -> list[str]:
    """Name with value, then where it lies; or why there is no value."""
    definition = CHECKPOINTS[checkpoint]
    if isinstance(reading, Missing):
        return [f"{definition.name}: no reading", reading.reason]
    judged = "Nothing is asked of this number."
    if definition.bands is not None:
        target = target_words(definition.bands, reading.unit)
        judged = _BAND_WORDS[reading.band].format(target=target)
    sure = (
        f"19 times in 20 between {_number(reading.low, _DECIMALS[reading.unit])} "
        f"and {_number(reading.high, _DECIMALS[reading.unit])}{_SIGNS[reading.unit]}."
    )
    return [f"{definition.name}: {value_words(reading)}", f"{judged} {sure}"]


def target_words(bands: Bands, unit: Unit) -> str:
    """The good band, for example ``80 to 100°``."""
    return f"{bands.good_low:g} to {bands.good_high:g}{_SIGNS[unit]}"


def _number(value: float, decimals: int) -> str:
    rounded = round(value, decimals) + 0.0  # no minus zero
    return f"{rounded:.{decimals}f}".replace("-", "\N{MINUS SIGN}")

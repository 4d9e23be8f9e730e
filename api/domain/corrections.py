"""What coaches' corrections teach about the machine: its bias and the spread it does not state.

For one checkpoint, view, rate of pictures and pipeline version. A correction is what the machine read less
what the coach made of it: always the machine's **own** number, never one that corrections had moved
already, or what was learnt would feed itself. The machine is taken for unbiased until enough of them say
otherwise:

- bias: normal errors with a normal prior around 0, whose sigma is the machine's own usual sigma. With
  ``n`` corrections of variance ``v`` the posterior mean is ``mean * n / (n + v / prior^2)``;
- spread: the variance of the corrections about that bias less what machine and coach state, as if
  ``PRIOR_CASES`` more corrections had shown exactly what they state, and the doubt of the bias. Corrections that
  show less than was stated make up for that doubt, so that coaches who agree with the machine widen nothing
  (three of them alone by a hundredth); it is never below 0, so they narrow nothing either.

Gelman et al., Bayesian Data Analysis, ch. 2 (from memory) has the normal model; the second is a working
shrinkage of the same kind. One slip must not teach everybody: a correction farther than ``REACH`` sigmas from
the median of all counts as if it lay there (winsorised: Tukey 1962, from memory).

**Which readings a coach corrects is no accident.** They correct what they see to be wrong and leave the
rest: corrections alone would say that every reading errs as the worst ones do, and three corrected clips
among a hundred would move all hundred. A reading that was left alone and sent therefore counts too, as a
difference of nothing. It counts weakly (``LEFT_ALONE_WEIGHT``): letting a number stand is not measuring it,
and many are never looked at. The error that remains is towards leaving the machine's number as it is.

Machine and coach share part of their errors (the camera's place, the points that were not moved), so what
both state together is more than their difference can show, and the spread is learnt rather too small.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from statistics import fmean, median, pvariance

from api.domain.bands import Bands
from api.domain.checkpoint_ids import CheckpointId
from api.domain.checkpoints import CHECKPOINTS, judge
from api.domain.measurement import Missing, Reading
from api.domain.names import View

PRIOR_CASES = 10
"""Corrections' worth of trust in the machine's own spread."""
FEWEST = 3
"""Fewer corrections teach nothing."""
LEFT_ALONE_WEIGHT = 0.25
"""What a reading that a coach left alone counts, in corrections. A working value: an interval of 95 %, two
sigmas to either side, that was let stand is a measurement of no difference with twice the sigma."""
REACH = 2.5
"""Sigmas from the median, of what machine and coach state or of what most corrections show: one honest correction in
eighty lies beyond."""
MAD_TO_SIGMA = 1.4826
"""Sigma of a normal distribution over its median absolute deviation: 1 / 0.6745."""
RATE_LIMIT = 45.0
"""Pictures a second between the two classes of rate."""


class RateClass(StrEnum):
    """How fast a clip was filmed, as far as corrections are told apart by it.

    Two classes. At 25 or 30 a second the shaft is a wedge of blur and turns eleven degrees and more from one
    picture to the next, so the instant and the club err otherwise than at 50 and above, where the points
    themselves are most of the error; from there to 240 a second it changes little. Each further class would
    need three more corrections of its own before it teaches anything, and corrections are few.
    """

    UNDER_45 = "under_45"
    FROM_45 = "from_45"


def rate_class(pictures_per_s: float) -> RateClass:
    """The class of a clip's average rate."""
    return RateClass.UNDER_45 if pictures_per_s < RATE_LIMIT else RateClass.FROM_45


@dataclass(frozen=True, slots=True)
class Group:
    """What is learnt together: readings that may be expected to err alike."""

    checkpoint: CheckpointId
    view: View
    rate: RateClass
    pipeline: str


@dataclass(frozen=True, slots=True)
class Correction:
    """``difference``: machine less coach. One sigma of either, all in the checkpoint's unit."""

    difference: float
    machine_sigma: float
    coach_sigma: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """``bias`` to subtract from the machine's value, one sigma of it, and ``spread`` to add in squares.

    ``spread`` has the bias's own doubt in it. From ``cases`` corrections and ``left_alone`` readings that coaches
    saw and sent as they were. All zero where nothing is learnt yet.
    """

    bias: float
    bias_sigma: float
    spread: float
    cases: int
    left_alone: int = 0

    @property
    def teaches(self) -> bool:
        """Whether there is anything to lay on a reading."""
        return self.bias_sigma > 0.0


def learn(corrections: Sequence[Correction], *, left_alone: int = 0) -> Learnt:
    """Bias and spread from corrections of one kind; nothing (zeros) from too few.

    ``left_alone``: readings of the same kind that coaches sent without a change.
    """
    n = len(corrections)
    nothing = Learnt(0.0, 0.0, 0.0, n, left_alone)
    if n < FEWEST:
        return nothing
    alone = LEFT_ALONE_WEIGHT * left_alone
    total = n + alone
    stated = fmean(one.machine_sigma**2 + one.coach_sigma**2 for one in corrections)
    prior = fmean(one.machine_sigma for one in corrections)
    if prior <= 0.0 or stated <= 0.0:
        return nothing
    differences = _within_reach([one.difference for one in corrections], math.sqrt(stated))
    # Of the corrections alone: readings that were left alone can then only draw the bias towards nothing.
    variance = max(pvariance(differences) * n / (n - 1), stated)
    mean = sum(differences) / total
    precision = total / variance + prior**-2
    bias = (total / variance) * mean / precision
    about = (sum((each - bias) ** 2 for each in differences) + alone * bias**2) / total
    beyond = (about - stated) * total / (total + PRIOR_CASES) + 1.0 / precision
    return Learnt(bias, precision**-0.5, math.sqrt(max(0.0, beyond)), n, left_alone)


def _within_reach(differences: Sequence[float], sigma: float) -> list[float]:
    """``sigma``: what is stated; where most lie wider than that, theirs counts."""
    middle = median(differences)
    usual = MAD_TO_SIGMA * median(abs(each - middle) for each in differences)
    reach = REACH * max(sigma, usual)
    return [min(max(each, middle - reach), middle + reach) for each in differences]


def adjusted(
    checkpoint: CheckpointId, reading: Reading, learnt: Learnt, *, bands: Bands | None = None
) -> Reading | Missing:
    """A machine's reading with what was learnt laid on it; as it is where nothing was.

    The bias comes off the value, the spread widens the reading's own sigma in squares, and the band is decided anew (``bands`` instead of the usual ones). ``Missing`` where it is then too uncertain to be a
    number. Points and inputs stay the machine's: from them ``evaluate`` gives the machine's number again.
    """
    if not learnt.teaches:
        return reading
    definition = CHECKPOINTS[checkpoint]
    terms = {"machine": reading.sigma, "spread": learnt.spread}
    told = judge(definition, reading.value - learnt.bias, terms, bands or definition.bands)
    if isinstance(told, Missing):
        return told
    return replace(
        reading,
        value=told.value,
        sigma=told.sigma,
        low=told.low,
        high=told.high,
        band=told.band,
    )

"""Bodies about the academy itself, and how well its coaches agree."""

from pydantic import Field

from api.domain.ages import HIGHEST_AGE_LIMIT, LOWEST_AGE_LIMIT
from api.domain.agreement import NoFigure
from api.domain.checkpoint_ids import CheckpointId
from api.domain.names import Unit, View
from api.http.schemas.common import Language, OneLine, Read, Sent

_SHARE = (
    "From 0 to 1: how many of the answers sent are read again by a coach who does not know them."
)

_LANGUAGE = "Of whoever chose no language of their own (BCP 47)."


class AcademyRead(Read):
    """What its admins decide for all. ``age_limit``: whoever is younger, in years, has a guardian."""

    name: str
    time_zone: str
    language: str = Field(examples=["en-GB"], description=_LANGUAGE)
    promise_hours: int
    age_limit: int
    safeguarding_name: str
    safeguarding_contact: str
    double_read_share: float = Field(description=_SHARE)


class AcademyChanged(Sent):
    """What is to be otherwise; what is left out stays."""

    language: Language | None = Field(default=None, description=_LANGUAGE)
    age_limit: int | None = Field(default=None, ge=LOWEST_AGE_LIMIT, le=HIGHEST_AGE_LIMIT)
    safeguarding_name: OneLine | None = Field(default=None, max_length=120)
    safeguarding_contact: OneLine | None = Field(default=None, max_length=300)
    double_read_share: float | None = Field(default=None, ge=0, le=1, description=_SHARE)


class IntervalRead(Read):
    """A 95 % interval."""

    low: float
    high: float


class DifferencesRead(Read):
    """Second read less first, in the number's unit. ``limits`` hold 95 of 100 differences.

    The intervals say how sure the mean and each of the limits are.
    """

    mean: float
    sd: float
    limits: IntervalRead
    mean_interval: IntervalRead
    lower_interval: IntervalRead
    upper_interval: IntervalRead


class ReliabilityRead(Read):
    """``icc``: ICC(2,1), the share of what varies that is between clips; ``sem``: one sigma of one coach's reading."""

    icc: float
    sem: float


class AgreedRead(Read):
    """How one number was read twice. Where there are no figures ``reason`` says why.

    ``left_alone``: pairs in which neither coach changed what the machine read: they agree because neither looked,
    or because both did. ``pairs`` counts them too.
    """

    checkpoint: CheckpointId
    unit: Unit
    view: View
    pairs: int
    left_alone: int
    differences: DifferencesRead | None
    reliability: ReliabilityRead | None
    reason: NoFigure | None


class AgreementRead(Read):
    """Figures of blind double reads. Nobody's name and no answer is in them.

    ``open`` reads wait or are being made, ``committed`` ones are counted. Under ``least_pairs`` of a number no
    figure is told.
    """

    double_read_share: float
    least_pairs: int
    open: int
    committed: int
    items: list[AgreedRead]

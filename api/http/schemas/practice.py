"""Bodies about what a student practised."""

from datetime import date, datetime
from uuid import UUID

from pydantic import Field

from api.domain.practice import MOST_NOTE, MOST_SETS
from api.http.schemas.common import Read, Sent, Text
from api.http.schemas.submissions import AnswerDrillRead


class PractisedSent(Sent):
    """What was done of a drill on a day."""

    sets_done: int = Field(ge=0, le=MOST_SETS)
    hurt: bool = Field(default=False, description="Something hurt. The coach is shown it.")
    note: Text = Field(default="", max_length=MOST_NOTE)


class PractisedRead(Read):
    """The same, with its day."""

    day: date
    sets_done: int
    hurt: bool
    note: str


class GivenDrillRead(Read):
    """A drill of today's with what was ticked of it, oldest first.

    ``weeks_kept_up``: full weeks in a row; a week under way counts once it is full.
    """

    assignment_id: UUID
    drill: AnswerDrillRead
    days: list[PractisedRead]
    week_done: int
    week_asked: int
    weeks_kept_up: int


class GivenByRead(Read):
    """The answer that gave them."""

    submission_id: UUID
    sent_at: datetime
    coach_name: str


class PracticeRead(Read):
    """Today's drills. ``today`` is the day it is at the academy; weeks begin on Monday."""

    today: date
    answer: GivenByRead | None
    drills: list[GivenDrillRead]

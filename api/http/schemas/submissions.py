"""Bodies about submissions, their clips and the answer."""

from datetime import datetime
from typing import Any
from uuid import UUID

from pydantic import Field

from api.domain.names import Hand, Purpose, View
from api.domain.refilm import RefilmReason
from api.domain.states import ClipState, ReviewState, SubmissionState, UploadState
from api.http.schemas.common import Read, Sent, Text
from api.http.schemas.drawings import ByEyeRead, DrawingRead
from api.http.schemas.judgements import FindingToldRead
from api.http.schemas.proof import DrillProofRead
from api.http.schemas.two_views import TogetherRead

_ID = "019abf5e-7d3e-7c53-8000-000000000000"
_NOTE_LENGTH = 2000


class SubmissionStarted(Sent):
    """A request for an answer, before its clips are sent."""

    club_id: UUID | None = Field(default=None, examples=[_ID])
    purpose: Purpose = Purpose.FULL
    with_ball: bool = True
    handed: Hand = Field(description="The side played from with this club.")
    note: Text = Field(default="", max_length=_NOTE_LENGTH, examples=["It starts left. Why?"])
    student_id: UUID | None = Field(
        default=None, description="Whose swing: a guardian says for which child.", examples=[None]
    )


class ClubUsed(Read):
    """The club as it was when the submission was started."""

    name: str
    length_m: float | None


class PersonNamed(Read):
    """Somebody, by membership."""

    id: UUID
    name: str


class StudentNamed(PersonNamed):
    """A student. ``language``: the tag by which numbers and dates are written for them."""

    language: str = Field(examples=["de-AT"])


class UploadRead(Read):
    """A file on its way in. ``offset`` and ``length`` in bytes."""

    id: UUID
    view: View
    offset: int
    length: int
    state: UploadState


class RefusalRead(Read):
    """Why a clip cannot be measured, and what to film instead."""

    code: str = Field(examples=["nobody_in_view"])
    message: str


class ProgressRead(Read):
    """How far measuring is; ``share`` from 0 to 1 of the stage."""

    stage: str
    share: float


class ClipMediaRead(Read):
    """Signed links that end after a while; null or absent where a thing was not made.

    ``stills`` and ``annotated`` go by keyframe, ``frames`` by frame number.
    """

    proxy: str | None
    frame_times: str | None
    tracks: str | None
    stills: dict[str, str]
    annotated: dict[str, str]
    frames: dict[str, str]


class ClipRead(Read):
    """A clip. ``measurement`` is ``fairlead.measurement/1``.

    Where two clips are read together, a finding of one that both do not bear out is not ``sure``.
    """

    id: UUID
    view: View
    state: ClipState
    refusal: RefusalRead | None
    progress: ProgressRead | None
    measurement: dict[str, Any] | None
    media: ClipMediaRead | None


class SentClipRead(Read):
    """A clip that arrived."""

    submission_id: UUID
    view: View
    received_at: datetime


class SentBeforeRead(Read):
    """``same_length``: a clip of as many bytes arrived before. ``sent``: the one with the very same content."""

    same_length: bool
    sent: SentClipRead | None


class ReviewStateRead(Read):
    """Where the answer in the making is."""

    id: UUID
    state: ReviewState


class AdjustedRead(Read):
    """What coaches' corrections moved, in the reading's unit.

    ``machine_value`` with its 95 % interval is what the machine read; ``bias`` (one sigma: ``bias_sigma``) came
    off it, and ``spread`` widened it, in squares. Learnt from ``corrections`` readings that coaches changed
    and ``left_alone`` that they sent as they were, before the clip was measured.
    """

    machine_value: float
    machine_low: float
    machine_high: float
    bias: float
    bias_sigma: float
    spread: float
    corrections: int
    left_alone: int


class OwnBandsRead(Read):
    """A target that a coach set for this student. ``club``: null when it is for every club."""

    id: UUID
    club: str | None
    watch_low: float
    good_low: float
    good_high: float
    watch_high: float
    reason: str
    set_by: str = Field(description="The coach's name.")


class ReadingRead(Read):
    """A checkpoint's value with its 95 % interval, or why there is none.

    ``points`` are upright display pixels of the original, on ``frame``. ``adjusted`` is null where the number
    stands as it was read, ``own_bands`` where it is held against the usual bands.
    """

    clip_id: UUID
    swing: int
    checkpoint: str = Field(examples=["lead_arm_shaft_angle"])
    source: str = Field(examples=["coach"], description="`machine` or `coach`.")
    value: float | None
    sigma: float | None
    low: float | None
    high: float | None
    unit: str | None
    band: str | None
    missing: str | None
    frame: int | None
    points: dict[str, list[float]]
    inputs: dict[str, float]
    adjusted: AdjustedRead | None
    own_bands: OwnBandsRead | None


class PictureRead(Read):
    """A picture of a keyframe. ``lines_drawn``: the machine's lines are on it and hold.

    ``off_moment``: the coach drew on this frame and set the keyframe to another one afterwards.
    """

    clip_id: UUID
    swing: int
    keyframe: str
    frame: int
    url: str
    lines_drawn: bool
    off_moment: bool


class AnswerDrillRead(Read):
    """A drill as prescribed, with its text as it was then."""

    drill_id: str
    name: str
    purpose: str
    kit: str
    steps: list[str]
    caution: str
    next_clip: str
    sets: int
    reps: int
    pause_s: float | None
    days_per_week: int
    until: str | None
    note: str
    start: str | None
    ball: bool | None
    proof: bool


class AnswerSentRead(Read):
    """What the student got. ``recall_until`` is null once the coach can no longer call it back.

    ``what_changed`` is null in an answer that corrects none. ``together`` is null without two measured clips, ``drill_proof`` where no drills were given before, and
    ``findings`` in answers from before coaches judged them. ``later``: things for when the main one sits.
    ``by_eye``: what the coach judged without a number. ``drawings`` lie over the pictures of their frames.
    """

    number: int
    text: str
    later: list[str]
    what_changed: str | None
    sent_at: datetime
    coach_name: str
    recall_until: datetime | None
    pictures: list[PictureRead]
    readings: list[ReadingRead]
    drills: list[AnswerDrillRead]
    findings: list[FindingToldRead] | None
    by_eye: list[ByEyeRead]
    drawings: list[DrawingRead]
    together: TogetherRead | None
    drill_proof: DrillProofRead | None


class AnswerRead(AnswerSentRead):
    """The answer that holds, and what those said that it corrected, the newest first."""

    earlier: list[AnswerSentRead]


class FilmDrawingRead(Read):
    """A drawing of the filming guide that goes with a cause; ``code`` is the page's."""

    cause: RefilmReason
    view: View
    code: str = Field(examples=["club_cut_off"])


class MarkedFrameRead(Read):
    """A spot on one frame of a clip, in pixels of ``width`` and ``height``.

    ``url``: the still, null where none was made of that frame; the film shows it at ``time_s`` then.
    """

    clip_id: UUID
    view: View
    frame: int
    time_s: float
    x: float
    y: float
    width: int
    height: int
    words: str
    url: str | None


class RefilmRead(Read):
    """Why and how to film again. ``charge``: what it costs the student, which is nothing."""

    asked_at: datetime
    asked_by: str
    causes: list[RefilmReason]
    message: str
    drawings: list[FilmDrawingRead]
    marked: MarkedFrameRead | None
    charge: str = Field(examples=["free"])


class SubmissionRead(Read):
    """A submission as its reader may see it.

    In lists, and for an admin, ``measurement``, ``media`` and ``answer`` are null.
    """

    id: UUID = Field(examples=[_ID])
    state: SubmissionState
    state_words: str = Field(examples=["Waiting for a coach"])
    state_reason: str = Field(description="Words for the student: what to film again, or why.")
    created_at: datetime
    due_at: datetime | None
    club: ClubUsed | None
    purpose: Purpose
    with_ball: bool
    handed: Hand
    note: str
    student: StudentNamed
    uploads: list[UploadRead]
    clips: list[ClipRead]
    review: ReviewStateRead | None
    refilm: RefilmRead | None = Field(description="While a new film is asked for.")
    answer: AnswerRead | None

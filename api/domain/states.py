"""States of the things that move, and the moves that are allowed."""

from enum import StrEnum


class UploadState(StrEnum):
    """One resumable upload, from the creation request to its clip."""

    RECEIVING = "receiving"
    COMPLETE = "complete"
    EXPIRED = "expired"
    CANCELLED = "cancelled"


class SubmissionState(StrEnum):
    """What the student asked for, as a whole: one or two clips and one answer."""

    RECEIVING = "receiving"
    ANALYSING = "analysing"
    WAITING = "waiting"
    WITH_COACH = "with_coach"
    ANSWERED = "answered"
    REFILM_ASKED = "refilm_asked"
    WITHDRAWN = "withdrawn"
    UNREADABLE = "unreadable"


class ClipState(StrEnum):
    """One video file."""

    RECEIVED = "received"
    MEASURED = "measured"
    REFUSED = "refused"
    FAILED = "failed"


class JobState(StrEnum):
    """One background job. ``failed`` means attempts are used up and a person must look."""

    QUEUED = "queued"
    RUNNING = "running"
    DONE = "done"
    REFUSED = "refused"
    FAILED = "failed"


class ReviewState(StrEnum):
    """One answer in the making."""

    WAITING = "waiting"
    CLAIMED = "claimed"
    ANSWERED = "answered"
    """Sent to the student. Of a second opinion and a blind read: committed."""

    CLOSED = "closed"
    """Ended without an answer: a new film was asked for, or the student withdrew. Of a question: nobody waits
    for an opinion any more."""


class ReviewKind(StrEnum):
    """Whose review it is. Only a main one is the student's; of the others nothing ever reaches them."""

    MAIN = "main"
    SECOND = "second"
    """An opinion that a coach asked a colleague for."""

    BLIND = "blind"
    """The same clips read again by a coach who knows nothing of the answer, for figures of agreement."""


OPEN_REVIEW_STATES = frozenset({ReviewState.WAITING, ReviewState.CLAIMED})

_SUBMISSION_MOVES: dict[SubmissionState, frozenset[SubmissionState]] = {
    SubmissionState.RECEIVING: frozenset({SubmissionState.ANALYSING, SubmissionState.WITHDRAWN}),
    SubmissionState.ANALYSING: frozenset(
        {
            SubmissionState.WAITING,
            SubmissionState.UNREADABLE,
            SubmissionState.WITHDRAWN,
        }
    ),
    SubmissionState.WAITING: frozenset(
        {
            SubmissionState.WITH_COACH,
            SubmissionState.REFILM_ASKED,
            SubmissionState.WITHDRAWN,
        }
    ),
    SubmissionState.WITH_COACH: frozenset(
        {
            SubmissionState.WAITING,
            SubmissionState.ANSWERED,
            SubmissionState.REFILM_ASKED,
            # Consent was withdrawn while a coach worked; a student alone cannot.
            SubmissionState.WITHDRAWN,
        }
    ),
    # Recall puts the answer back into the coach's hands.
    SubmissionState.ANSWERED: frozenset({SubmissionState.WITH_COACH}),
    # The student films again into the same submission.
    SubmissionState.REFILM_ASKED: frozenset({SubmissionState.ANALYSING, SubmissionState.WITHDRAWN}),
    SubmissionState.UNREADABLE: frozenset({SubmissionState.ANALYSING, SubmissionState.WITHDRAWN}),
    SubmissionState.WITHDRAWN: frozenset(),
}


def submission_may_move(old: SubmissionState, new: SubmissionState) -> bool:
    """Whether a submission may go from ``old`` to ``new``."""
    return new in _SUBMISSION_MOVES[old]


class ExportState(StrEnum):
    """A copy of somebody's data, from the wish to the day on which the file goes."""

    ASKED = "asked"
    READY = "ready"
    FAILED = "failed"
    GONE = "gone"

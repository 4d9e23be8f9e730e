"""Tables, one module per aggregate. Importing this package registers them all."""

from api.db.models.audit import AuditEvent, IdempotencyKey
from api.db.models.bands import StudentBands
from api.db.models.jobs import Job, Mail
from api.db.models.joining import (
    ConsentRecord,
    ConsentText,
    DataExport,
    Erasure,
    Guardianship,
    StudentProfile,
)
from api.db.models.notices import NoticeChoices
from api.db.models.people import (
    Academy,
    ApiToken,
    Club,
    Invitation,
    Membership,
    Person,
    SignInLink,
    SignInSession,
)
from api.db.models.practice import PracticeDay
from api.db.models.push import PushMessage, PushSubscription
from api.db.models.questions import Question
from api.db.models.queue_views import QueueView
from api.db.models.reviews import (
    Answer,
    DrillAssignment,
    Mark,
    OverlayPoint,
    Phrase,
    RefilmRequest,
    Review,
)
from api.db.models.submissions import Analysis, Clip, Reading, Submission, Upload

__all__ = [
    "Academy",
    "Analysis",
    "Answer",
    "ApiToken",
    "AuditEvent",
    "Clip",
    "Club",
    "ConsentRecord",
    "ConsentText",
    "DataExport",
    "DrillAssignment",
    "Erasure",
    "Guardianship",
    "IdempotencyKey",
    "Invitation",
    "Job",
    "Mail",
    "Mark",
    "Membership",
    "NoticeChoices",
    "OverlayPoint",
    "Person",
    "Phrase",
    "PracticeDay",
    "PushMessage",
    "PushSubscription",
    "Question",
    "QueueView",
    "Reading",
    "RefilmRequest",
    "Review",
    "SignInLink",
    "SignInSession",
    "StudentBands",
    "StudentProfile",
    "Submission",
    "Upload",
]

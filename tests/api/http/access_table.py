"""Who may call which operation, and things that must not exist for the caller.

Every operation of the API has an entry; ``test_access.py`` fails for one that has none, and tries
each from every wrong role, without signing in, with a token of the wrong scope, and on things of
another academy (and, where there are such, of somebody else in the same academy).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from api.db.models import Answer, ApiToken, Invitation, Membership, Question
from api.domain.names import Role
from api.domain.secrets import digest, new_secret
from tests import factories

STUDENT, COACH, ADMIN, GUARDIAN = Role.STUDENT, Role.COACH, Role.ADMIN, Role.GUARDIAN
EVERYBODY = frozenset(Role)


@dataclass
class House:
    """An academy with one member of each role, for arranging what is not the caller's."""

    session: Session
    members: dict[Role, Membership]

    @classmethod
    def build(cls, session: Session) -> "House":
        academy = factories.make_academy(session)
        return cls(
            session,
            {role: factories.make_member(session, role, academy=academy) for role in Role},
        )

    def another(self, role: Role) -> Membership:
        """A second member of the same academy."""
        return factories.make_member(self.session, role, academy=self.members[role].academy)


Foreign = Callable[[House, House], list[dict[str, object]]]
"""From (the caller's house, another academy's house) to path parameters that must give 404."""


@dataclass(frozen=True)
class Access:
    """One operation's rule. ``roles`` None: public. ``sent`` must be acceptable as a body."""

    roles: frozenset[Role] | None
    scope: str | None = None
    sent: Any = None
    headers: dict[str, str] = field(default_factory=dict)
    foreign: Foreign | None = None


def nothing_foreign(_own: House, _other: House) -> list[dict[str, object]]:
    """For a path whose parameter names nobody's thing."""
    return []


def _invitation(house: House) -> Invitation:
    return factories.saved(
        house.session,
        Invitation(
            academy_id=house.members[ADMIN].academy_id,
            email=f"{new_secret()[:8].lower().replace('_', 'x').replace('-', 'x')}@example.org",
            name="Invited",
            role="student",
            token_sha256=digest(new_secret()),
            expires_at=datetime.now(UTC) + timedelta(days=1),
        ),
    )


def _foreign_invitation(_own: House, other: House) -> list[dict[str, object]]:
    return [{"invitation_id": _invitation(other).id}]


def _foreign_member(_own: House, other: House) -> list[dict[str, object]]:
    return [{"membership_id": member.id} for member in other.members.values()]


def _not_a_student_of_ours(own: House, other: House) -> list[dict[str, object]]:
    """Bands are a student's, of the caller's academy."""
    no_students = [own.another(COACH), own.another(ADMIN)]
    return _foreign_member(own, other) + [{"membership_id": one.id} for one in no_students]


def _foreign_answer(own: House, other: House) -> list[dict[str, object]]:
    """Answers to another academy's student, which the caller's coach may not read either."""
    given = factories.make_given_drill(own.session, other.members[STUDENT])
    answer = own.session.get_one(Answer, given.answer_id)
    return [{"submission_id": answer.submission_id, "number": answer.number}]


_DAY = "/api/v1/people/{membership_id}/practice/{assignment_id}/{day}"


def _foreign_drill(own: House, other: House) -> list[dict[str, object]]:
    """Drills of another academy's student and of somebody else's in the caller's own."""
    found: list[dict[str, object]] = []
    for student in (other.members[STUDENT], own.another(STUDENT)):
        given = factories.make_given_drill(own.session, student)
        mine = own.members[STUDENT].id
        found += [{"membership_id": one, "assignment_id": given.id} for one in (student.id, mine)]
    return found


def _foreign_bands(own: House, other: House) -> list[dict[str, object]]:
    theirs = other.members[STUDENT]
    row = factories.make_bands(own.session, theirs, other.members[COACH])
    another = factories.make_bands(own.session, own.another(STUDENT), own.members[COACH])
    return [
        {"membership_id": theirs.id, "bands_id": row.id},
        {"membership_id": own.members[STUDENT].id, "bands_id": row.id},
        {"membership_id": own.members[STUDENT].id, "bands_id": another.id},
    ]


def _foreign_token(own: House, other: House) -> list[dict[str, object]]:
    owners = [*other.members.values(), *(own.another(role) for role in Role)]
    return [{"token_id": _token(own.session, owner).id} for owner in owners]


def _token(session: Session, owner: Membership) -> ApiToken:
    return factories.saved(
        session,
        ApiToken(
            membership_id=owner.id,
            name="theirs",
            token_sha256=digest(new_secret()),
            scopes=["clips:read"],
        ),
    )


def _foreign_club(own: House, other: House) -> list[dict[str, object]]:
    owners = [other.members[STUDENT], own.another(STUDENT)]
    return [{"club_id": factories.make_club(own.session, owner.person).id} for owner in owners]


def _foreign_submission(own: House, other: House) -> list[dict[str, object]]:
    owners = [other.members[STUDENT], own.another(STUDENT)]
    return [{"submission_id": factories.make_submission(own.session, owner).id} for owner in owners]


def _foreign_question(own: House, other: House) -> list[dict[str, object]]:
    submission = factories.make_submission(own.session, other.members[STUDENT])
    question = Question(academy_id=submission.academy_id, submission_id=submission.id, text="Why?")
    return [{"question_id": factories.saved(own.session, question).id}]


def _submission_elsewhere(own: House, other: House) -> list[dict[str, object]]:
    """What even coach and admin of the caller's academy may not see."""
    return _foreign_submission(own, other)[:1]


def _foreign_upload(own: House, other: House) -> list[dict[str, object]]:
    owners = [other.members[STUDENT], own.another(STUDENT)]
    submissions = [factories.make_submission(own.session, owner) for owner in owners]
    return [{"upload_id": factories.make_upload(own.session, one).id} for one in submissions]


def _foreign_review(own: House, other: House) -> list[dict[str, object]]:
    submission = factories.make_submission(own.session, other.members[STUDENT], state="waiting")
    clip = factories.make_clip(own.session, submission)
    review = factories.make_review(own.session, submission)
    return [{"review_id": review.id, "clip_id": clip.id}]


def _foreign_opinion(own: House, other: House) -> list[dict[str, object]]:
    """Another academy's, and one between two colleagues."""
    found: list[dict[str, object]] = []
    for house, asker in ((other, other.members[COACH]), (own, own.another(COACH))):
        submission = factories.make_submission(
            own.session, house.members[STUDENT], state="with_coach"
        )
        main = factories.make_review(own.session, submission)
        opinion = factories.make_review(
            own.session, submission, kind="second", read_of_id=main.id, asked_by=asker.id
        )
        found.append({"review_id": main.id, "opinion_id": opinion.id})
    return found


def _foreign_phrase(own: House, other: House) -> list[dict[str, object]]:
    """Another academy's, and a colleague's own."""
    theirs = factories.make_phrase(own.session, other.members[COACH], shared=True)
    colleagues = factories.make_phrase(own.session, own.another(COACH), shared=False)
    return [{"phrase_id": theirs.id}, {"phrase_id": colleagues.id}]


def _foreign_view(own: House, other: House) -> list[dict[str, object]]:
    owners = [other.members[COACH], own.another(COACH)]
    return [{"view_id": factories.make_queue_view(own.session, owner).id} for owner in owners]


def _of_a_review(
    scope: str = "reviews:write", sent: object = None, roles: frozenset[Role] = frozenset({COACH})
) -> Access:
    return Access(roles, scope, sent, {"If-Match": '"1"'}, _foreign_review)


def _not_in_ones_care(own: House, other: House) -> list[dict[str, object]]:
    """Another academy's people, a fellow student, staff, and a child whose guardian is somebody else."""
    child = factories.make_child(own.session, own.members[STUDENT].academy)
    factories.make_guardian(own.session, child)
    staff = [own.members[COACH], own.members[ADMIN]]
    mine: list[dict[str, object]] = [
        {"membership_id": one.id} for one in (child, own.another(STUDENT), *staff)
    ]
    return [*_foreign_member(own, other), *mine]


def _nobody_to_look_after(own: House, other: House) -> list[dict[str, object]]:
    """Another academy's people and staff. (A child whose guardian is somebody else: ``test_consent.py``.)"""
    staff: list[dict[str, object]] = [
        {"membership_id": own.members[role].id} for role in (COACH, ADMIN)
    ]
    return [*_foreign_member(own, other), *staff]


def _no_student_of_ours(own: House, other: House) -> list[dict[str, object]]:
    """For the office, which looks after every student of its own academy."""
    staff = [own.members[COACH], own.members[ADMIN], own.members[GUARDIAN]]
    return _foreign_member(own, other) + [{"membership_id": one.id} for one in staff]


FIXED_PARAMETERS: dict[str, object] = {
    "swing": 0,
    "number": 1,
    "keyframe": "lead_arm_parallel",
    "point": "butt",
    "key": "clips/nothing",
    "day": datetime.now(UTC).date().isoformat(),
}
"""Parts of paths that name no row."""

_FOR_STUDENTS = frozenset({STUDENT, GUARDIAN})
"""What a student does or is told, and a guardian for a child."""

_TUS = {"Tus-Resumable": "1.0.0"}
_PIECE = {**_TUS, "Content-Type": "application/offset+octet-stream", "Upload-Offset": "0"}
_REVIEW = "/api/v1/reviews/{review_id}"
_PLACE = "{clip_id}/{swing}/{keyframe}"

_PUBLIC = Access(roles=None)
_SIGNED_IN = Access(roles=EVERYBODY)

ACCESS: dict[str, Access] = {
    # Coming in and going out
    "POST /api/v1/sign-in-links": Access(roles=None, sent={"email": "a@example.org"}),
    "POST /api/v1/sessions": Access(roles=None, sent={"token": "x"}),
    "POST /api/v1/invitation-acceptances": Access(roles=None, sent={"token": "x"}),
    "DELETE /api/v1/sessions/current": _SIGNED_IN,
    # Oneself
    "GET /api/v1/me": _SIGNED_IN,
    "PATCH /api/v1/me": Access(roles=EVERYBODY, sent={"handed": "left"}),
    "PUT /api/v1/me/active": Access(
        roles=EVERYBODY, sent={"membership_id": str(factories.unknown_id())}
    ),
    "GET /api/v1/tokens": _SIGNED_IN,
    "POST /api/v1/tokens": Access(
        roles=EVERYBODY, sent={"name": "camera", "scopes": ["clips:read"]}
    ),
    "DELETE /api/v1/tokens/{token_id}": Access(roles=EVERYBODY, foreign=_foreign_token),
    # People
    "GET /api/v1/people": Access(frozenset({COACH, ADMIN}), "people:read"),
    "POST /api/v1/people/{membership_id}/deactivate": Access(
        frozenset({ADMIN}), "people:write", foreign=_foreign_member
    ),
    "POST /api/v1/people/{membership_id}/reactivate": Access(
        frozenset({ADMIN}), "people:write", foreign=_foreign_member
    ),
    "GET /api/v1/invitations": Access(frozenset({ADMIN}), "people:read"),
    "POST /api/v1/invitations": Access(
        frozenset({ADMIN}),
        "people:write",
        sent={"email": "new@example.org", "name": "New", "role": "student"},
    ),
    "POST /api/v1/invitations/{invitation_id}/resend": Access(
        frozenset({ADMIN}), "people:write", foreign=_foreign_invitation
    ),
    "DELETE /api/v1/invitations/{invitation_id}": Access(
        frozenset({ADMIN}), "people:write", foreign=_foreign_invitation
    ),
    "GET /api/v1/audit-events": Access(frozenset({ADMIN}), "people:read"),
    # Joining, guardians and consent
    "GET /api/v1/joining": Access(frozenset({STUDENT})),
    "PATCH /api/v1/joining": Access(frozenset({STUDENT}), sent={"aims": "A straighter ball."}),
    "PUT /api/v1/joining/guardian": Access(
        frozenset({STUDENT}), sent={"name": "Jo", "email": "jo@example.org"}
    ),
    "GET /api/v1/people/{membership_id}/profile": Access(
        frozenset({COACH, ADMIN}), "people:read", foreign=_no_student_of_ours
    ),
    "POST /api/v1/guardian-acceptances": Access(roles=None, sent={"token": "x"}),
    "GET /api/v1/children": Access(frozenset({GUARDIAN})),
    "POST /api/v1/people/{membership_id}/guardian/remind": Access(
        frozenset({STUDENT, ADMIN}), foreign=_no_student_of_ours
    ),
    "PUT /api/v1/people/{membership_id}/guardian": Access(
        frozenset({ADMIN}),
        "people:write",
        sent={"name": "Jo", "email": "jo@example.org"},
        foreign=_no_student_of_ours,
    ),
    "PUT /api/v1/people/{membership_id}/child": Access(
        frozenset({ADMIN}), "people:write", sent={"child": True}, foreign=_no_student_of_ours
    ),
    "GET /api/v1/people/{membership_id}/consents": Access(
        frozenset({STUDENT, GUARDIAN, ADMIN}), foreign=_nobody_to_look_after
    ),
    "POST /api/v1/people/{membership_id}/consents": Access(
        frozenset({STUDENT, GUARDIAN}),
        sent={"text_id": str(factories.unknown_id()), "decision": "given"},
        foreign=_not_in_ones_care,
    ),
    "POST /api/v1/people/{membership_id}/consents/withdraw": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "GET /api/v1/academy": Access(frozenset({ADMIN}), "people:read"),
    "PATCH /api/v1/academy": Access(frozenset({ADMIN}), "people:write", sent={"age_limit": 16}),
    "GET /api/v1/consent-texts": Access(frozenset({ADMIN}), "people:read"),
    "POST /api/v1/consent-texts": Access(
        frozenset({ADMIN}),
        "people:write",
        sent={"audience": "adult", "bodies": {"en": "What we ask. " * 20}, "asks_again": True},
    ),
    # One's own data
    "POST /api/v1/people/{membership_id}/exports": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "GET /api/v1/people/{membership_id}/exports": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "POST /api/v1/people/{membership_id}/erasure": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "GET /api/v1/people/{membership_id}/erasure": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "DELETE /api/v1/people/{membership_id}/erasure": Access(
        frozenset({STUDENT, GUARDIAN}), foreign=_not_in_ones_care
    ),
    "POST /api/v1/erasure-confirmations": Access(roles=None, sent={"token": "x"}),
    # Clubs
    "GET /api/v1/clubs": Access(_FOR_STUDENTS, "clips:read"),
    "POST /api/v1/clubs": Access(
        _FOR_STUDENTS, "clips:write", sent={"name": "7 iron", "length_m": 0.94}
    ),
    "DELETE /api/v1/clubs/{club_id}": Access(
        frozenset({STUDENT}), "clips:write", foreign=_foreign_club
    ),
    # Sending clips
    "POST /api/v1/submissions": Access(_FOR_STUDENTS, "clips:write", sent={"handed": "right"}),
    "GET /api/v1/clips/sent-before": Access(_FOR_STUDENTS, "clips:read"),
    "GET /api/v1/submissions": Access(EVERYBODY, "clips:read"),
    "GET /api/v1/submissions/{submission_id}": Access(
        EVERYBODY, "clips:read", foreign=_submission_elsewhere
    ),
    "GET /api/v1/submissions/{submission_id}/events": Access(
        EVERYBODY, "clips:read", foreign=_submission_elsewhere
    ),
    "GET /api/v1/submissions/{submission_id}/answers/{number}/sheet.pdf": Access(
        frozenset({STUDENT, GUARDIAN, COACH}), "clips:read", foreign=_foreign_answer
    ),
    "POST /api/v1/submissions/{submission_id}/withdraw": Access(
        _FOR_STUDENTS, "clips:write", foreign=_foreign_submission
    ),
    "GET /api/v1/submissions/{submission_id}/question": Access(
        EVERYBODY, "clips:read", foreign=_submission_elsewhere
    ),
    "POST /api/v1/submissions/{submission_id}/question": Access(
        _FOR_STUDENTS, "clips:write", sent={"text": "Why?"}, foreign=_foreign_submission
    ),
    "GET /api/v1/questions": Access(frozenset({COACH}), "reviews:read"),
    "POST /api/v1/questions/{question_id}/reply": Access(
        frozenset({COACH}), "reviews:write", sent={"text": "So."}, foreign=_foreign_question
    ),
    "OPTIONS /api/v1/uploads": _PUBLIC,
    "POST /api/v1/uploads": Access(
        _FOR_STUDENTS, "clips:write", headers={**_TUS, "Upload-Length": "10"}
    ),
    "HEAD /api/v1/uploads/{upload_id}": Access(
        _FOR_STUDENTS, "clips:write", headers=_TUS, foreign=_foreign_upload
    ),
    "PATCH /api/v1/uploads/{upload_id}": Access(
        _FOR_STUDENTS, "clips:write", headers=_PIECE, foreign=_foreign_upload
    ),
    "DELETE /api/v1/uploads/{upload_id}": Access(
        _FOR_STUDENTS, "clips:write", headers=_TUS, foreign=_foreign_upload
    ),
    # The desk
    "GET /api/v1/reviews": Access(frozenset({COACH, ADMIN}), "reviews:read"),
    "GET /api/v1/reviews/filters": Access(frozenset({COACH, ADMIN}), "reviews:read"),
    "GET /api/v1/reviews/events": Access(frozenset({COACH, ADMIN}), "reviews:read"),
    "GET /api/v1/queue-views": Access(frozenset({COACH}), "reviews:read"),
    "POST /api/v1/queue-views": Access(
        frozenset({COACH}),
        "reviews:write",
        sent={"name": "Late", "queue": "waiting", "filters": {}},
    ),
    "PATCH /api/v1/queue-views/{view_id}": Access(
        frozenset({COACH}), "reviews:write", sent={"name": "Late ones"}, foreign=_foreign_view
    ),
    "DELETE /api/v1/queue-views/{view_id}": Access(
        frozenset({COACH}), "reviews:write", foreign=_foreign_view
    ),
    "POST /api/v1/reviews/claim-next": Access(frozenset({COACH}), "reviews:write"),
    f"GET {_REVIEW}": _of_a_review("reviews:read"),
    f"GET {_REVIEW}/own-words": _of_a_review("reviews:read"),
    f"GET {_REVIEW}/last-clips": _of_a_review("reviews:read"),
    f"POST {_REVIEW}/claim": _of_a_review(),
    f"POST {_REVIEW}/renew": _of_a_review(),
    f"POST {_REVIEW}/release": _of_a_review(),
    f"GET {_REVIEW}/trends": _of_a_review("reviews:read"),
    f"PUT {_REVIEW}/marks/{_PLACE}": _of_a_review(sent={"frame": 1}),
    f"DELETE {_REVIEW}/marks/{_PLACE}": _of_a_review(),
    f"PUT {_REVIEW}/points/{_PLACE}/{{point}}": _of_a_review(sent={"x": 1, "y": 1}),
    f"DELETE {_REVIEW}/points/{_PLACE}/{{point}}": _of_a_review(),
    f"PATCH {_REVIEW}/draft": _of_a_review(sent={"text": "x"}),
    f"POST {_REVIEW}/send": _of_a_review(),
    f"POST {_REVIEW}/recall": _of_a_review(),
    f"POST {_REVIEW}/correct": _of_a_review(),
    f"POST {_REVIEW}/ask-refilm": _of_a_review(sent={"causes": ["other"], "message": "x"}),
    # Reads beside an answer
    "GET /api/v1/colleagues": Access(frozenset({COACH}), "reviews:read"),
    f"GET {_REVIEW}/opinions": _of_a_review("reviews:read"),
    f"POST {_REVIEW}/opinions": _of_a_review(sent={"words": "Set too early?"}),
    f"DELETE {_REVIEW}/opinions/{{opinion_id}}": Access(
        frozenset({COACH}), "reviews:write", foreign=_foreign_opinion
    ),
    f"POST {_REVIEW}/commit": _of_a_review(),
    # The academy's own
    "GET /api/v1/agreement": Access(frozenset({ADMIN}), "reviews:read"),
    "GET /api/v1/corrections": Access(frozenset({COACH, ADMIN}), "reviews:read"),
    # Words to reuse
    "GET /api/v1/phrases": Access(frozenset({COACH}), "reviews:read"),
    "POST /api/v1/phrases": Access(
        frozenset({COACH}), "reviews:write", sent={"name": "Stop", "body": "Stop and look."}
    ),
    "PUT /api/v1/phrases/{phrase_id}": Access(
        frozenset({COACH}),
        "reviews:write",
        sent={"name": "Stop", "body": "Stop and look."},
        headers={"If-Match": '"1"'},
        foreign=_foreign_phrase,
    ),
    "DELETE /api/v1/phrases/{phrase_id}": Access(
        frozenset({COACH}), "reviews:write", foreign=_foreign_phrase
    ),
    # How their numbers went
    "GET /api/v1/people/{membership_id}/progress": Access(
        EVERYBODY, "clips:read", foreign=_not_a_student_of_ours
    ),
    # What they practised
    "GET /api/v1/people/{membership_id}/practice": Access(
        EVERYBODY, "clips:read", foreign=_not_a_student_of_ours
    ),
    f"PUT {_DAY}": Access(
        _FOR_STUDENTS, "clips:write", sent={"sets_done": 1}, foreign=_foreign_drill
    ),
    f"DELETE {_DAY}": Access(_FOR_STUDENTS, "clips:write", foreign=_foreign_drill),
    # Targets of a student's own
    "GET /api/v1/people/{membership_id}/bands": Access(
        frozenset({COACH, ADMIN}), "reviews:read", foreign=_not_a_student_of_ours
    ),
    "POST /api/v1/people/{membership_id}/bands": Access(
        frozenset({COACH}),
        "reviews:write",
        sent={
            "checkpoint": "lead_arm_shaft_angle",
            "watch_low": 78,
            "good_low": 85,
            "good_high": 95,
            "watch_high": 105,
        },
        foreign=_not_a_student_of_ours,
    ),
    "DELETE /api/v1/people/{membership_id}/bands/{bands_id}": Access(
        frozenset({COACH}), "reviews:write", foreign=_foreign_bands
    ),
    # What anybody may look up
    "GET /api/v1/drills": Access(EVERYBODY, "clips:read"),
    "GET /api/v1/checkpoints": Access(EVERYBODY, "clips:read"),
    "GET /api/v1/findings": Access(EVERYBODY, "clips:read"),
    # Whoever holds a signed link; forged, altered and ended ones: test_media.py
    "GET /api/v1/media/{key}": Access(roles=None, foreign=nothing_foreign),
    # For anybody
    "GET /api/v1/outbox-mails": _PUBLIC,
    "GET /api/v1/notices": Access(_FOR_STUDENTS),
    "PATCH /api/v1/notices": Access(_FOR_STUDENTS, sent={"mail_off": []}),
    "PUT /api/v1/push-subscriptions": Access(
        _FOR_STUDENTS,
        sent={
            "endpoint": "https://push.example.org/send/abc",
            "keys": {"p256dh": "B" + "A" * 86, "auth": "A" * 22},
        },
    ),
    "POST /api/v1/push-subscriptions/removals": Access(
        _FOR_STUDENTS, sent={"endpoint": "https://push.example.org/send/abc"}
    ),
    "GET /api/v1/unsubscriptions/{token}": Access(roles=None, foreign=nothing_foreign),
    "PUT /api/v1/unsubscriptions/{token}": Access(
        roles=None, sent={"off": True}, foreign=nothing_foreign
    ),
    "GET /api/v1/problems/{code}": Access(roles=None, foreign=nothing_foreign),
}

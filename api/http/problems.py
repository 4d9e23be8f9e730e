"""Problem bodies (RFC 9457): the catalogue of codes, and how one is put on the wire."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import Request
from fastapi.responses import JSONResponse
from pydantic import BaseModel, ConfigDict, Field

MEDIA_TYPE = "application/problem+json"
TYPES_PATH = "/api/v1/problems"

TITLES: dict[str, str] = {
    "age_fixed": "A child stays a child here",
    "age_unknown": "Say first whether you are of age",
    "always_sent": "These mails are always sent",
    "already_answered": "Already answered",
    "already_asked": "A colleague has been asked already",
    "already_claimed": "Somebody else has it",
    "already_committed": "It stands already",
    "already_invited": "Already invited",
    "already_member": "Already a member",
    "already_received": "The clip has arrived already",
    "asked_already": "Asked already",
    "bad_upload_request": "The upload request cannot be read",
    "bands_not_finite": "A limit is not a number",
    "bands_out_of_order": "The limits do not rise",
    "bands_out_of_range": "No such value",
    "being_erased": "The data is about to be erased",
    "body_too_slow": "Nothing came for too long",
    "busy": "Busy for a moment",
    "call_it_back": "Call it back instead",
    "checksum_mismatch": "Damaged on the way",
    "clip_refused": "The clip cannot be measured",
    "closed": "The review has ended",
    "conflict": "Not possible in this state",
    "consent_missing": "Consent comes first",
    "consent_outdated": "The text has changed",
    "consent_refused": "Consent was refused",
    "consent_withdrawn": "Consent was withdrawn",
    "csrf": "The request did not come from our page",
    "deactivated": "The place at the academy is closed",
    "empty_file": "The file is empty",
    "guardian_consent_missing": "A guardian must agree first",
    "guardian_decides": "The guardian decides",
    "guardian_fixed": "The guardian is named already",
    "guardian_has_account": "The guardian has come in already",
    "guardian_is_you": "A guardian has an address of their own",
    "guardian_missing": "Name a guardian first",
    "idempotency_key_reused": "The key belongs to a different request",
    "internal": "Something went wrong on our side",
    "interrupted": "The connection broke off",
    "invalid": "A value cannot be accepted",
    "last_admin": "The academy needs an admin",
    "lease_lapsed": "The claim has lapsed",
    "link_spent": "The link no longer works",
    "method_not_allowed": "Not possible at this address",
    "no_child": "Not a child",
    "no_clip_wanted": "No clip is wanted",
    "no_colleague": "There is nobody to ask",
    "no_frame": "The frame comes first",
    "no_push": "No notices on devices here",
    "no_push_address": "This browser cannot be reached",
    "not_allowed": "Not allowed",
    "not_answered": "Not answered yet",
    "not_blind": "No longer read blindly",
    "not_born_then": "Nobody was born then",
    "not_claimed": "Take it first",
    "not_found": "Not found",
    "not_measured": "Not measured",
    "not_signed_in": "Not signed in",
    "not_the_students": "Not the student's own review",
    "not_yours_to_correct": "Another coach's answer",
    "nothing_to_correct": "There is no answer to correct",
    "nothing_to_send": "Nothing to send",
    "nothing_to_withdraw": "There is no consent to withdraw",
    "nothing_waiting": "Nothing is waiting",
    "offset_mismatch": "Go on from where we are",
    "own_words_over": "Not kept for copying any more",
    "precondition_missing": "Say which version you changed",
    "quiet_all_day": "A whole day is too long",
    "replied_already": "Replied already",
    "review_erased": "The student's data is erased",
    "review_stopped": "It cannot be worked on at the moment",
    "say_what_changed": "Say what changed",
    "scope_missing": "The token does not reach this far",
    "stale": "Changed elsewhere since you read it",
    "still_guardian": "A child's clips rest on your consent",
    "still_measuring": "A clip is being measured",
    "storage_full": "No room",
    "students_review": "This answer goes to the student",
    "text_replaced": "Another text is in force",
    "too_large": "Too large",
    "too_late_to_recall": "Too late to call back",
    "too_many_requests": "Too many requests",
    "too_many_streams": "Too many pages look on",
    "too_many_views": "Too many views",
    "try_again": "Changed just now",
    "unknown_club": "No clip with this club",
    "unknown_colleague": "No such colleague",
    "unknown_time_zone": "There is no such time zone",
    "unsupported_upload_protocol": "Another version of the upload protocol",
    "upload_gone": "The upload is over",
    "upload_locked": "Being sent by another connection",
    "view_already_sent": "This view has arrived already",
    "view_name_taken": "There is a view of this name",
    "which_child": "Say for which child",
    "wrong_upload_type": "Not labelled as a piece of an upload",
}
"""Every code a program may meet, with its title. Codes are stable; words may change."""


class InvalidField(BaseModel):
    """One value that was not accepted."""

    where: str = Field(examples=["body.email"])
    message: str = Field(examples=["Field required"])


class Problem(BaseModel):
    """An error, after RFC 9457. ``code`` is for programs, ``detail`` for the person."""

    model_config = ConfigDict(extra="allow")

    type: str = Field(examples=["https://fairlead.example/api/v1/problems/not_found"])
    title: str = Field(examples=["Not found"])
    status: int = Field(examples=[404])
    code: str = Field(examples=["not_found"])
    detail: str = Field(examples=["There is no such thing, or it is not yours."])
    instance: str | None = Field(
        default=None, examples=["urn:uuid:019abf5e-7d3e-7c53-8000-000000000000"]
    )
    fields: list[InvalidField] | None = None


def problem_response(
    request: Request,
    status: int,
    code: str,
    detail: str,
    *,
    extra: Mapping[str, Any] | None = None,
    headers: Mapping[str, str] | None = None,
) -> JSONResponse:
    """One problem on the wire. ``extra`` members never replace the standard ones."""
    body: dict[str, Any] = dict(extra or {})
    base_url = request.app.state.settings.base_url.rstrip("/")
    body.update(
        type=f"{base_url}{TYPES_PATH}/{code}",
        title=TITLES.get(code) or HTTPStatus(status).phrase,
        status=status,
        code=code,
        detail=detail,
    )
    request_id = getattr(request.state, "request_id", None)
    if request_id is not None:
        body["instance"] = f"urn:uuid:{request_id}"
    return JSONResponse(body, status, headers=dict(headers or {}), media_type=MEDIA_TYPE)


def problems(*statuses: int) -> dict[int | str, dict[str, Any]]:
    """The ``responses=`` of a route: which problems it answers with, for the OpenAPI document."""
    return {
        status: {
            "model": Problem,
            "description": HTTPStatus(status).phrase,
            "content": {MEDIA_TYPE: {}},
        }
        for status in statuses
    }

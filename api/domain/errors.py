"""What can go wrong, by who must act. No HTTP here: ``api.http.errors`` maps class to status."""

from collections.abc import Mapping


class FairleadError(Exception):
    """An expected refusal. ``code`` is stable for programs, ``message`` is for the person."""

    code = "error"

    def __init__(
        self, message: str, *, code: str | None = None, details: Mapping[str, object] | None = None
    ) -> None:
        super().__init__(message)
        self.message = message
        if code is not None:
            self.code = code
        self.details: dict[str, object] = dict(details or {})


class NotFound(FairleadError):
    """Not there, or not yours: the two are never told apart."""

    code = "not_found"


class NotAllowed(FairleadError):
    """You can see it, but your role may not do this."""

    code = "not_allowed"


class NotSignedIn(FairleadError):
    """No valid session or token came with the request."""

    code = "not_signed_in"


class Invalid(FairleadError):
    """A value that cannot be accepted; the message says which and why."""

    code = "invalid"


class Conflict(FairleadError):
    """The thing is not in a state where this is possible, or somebody else holds it."""

    code = "conflict"


class Stale(FairleadError):
    """The draft changed since it was read (another tab or device); nothing was overwritten."""

    code = "stale"


class PreconditionMissing(FairleadError):
    """The request must say which version of the draft it was made from."""

    code = "precondition_missing"


class TooLarge(FairleadError):
    """More bytes than are taken here; the message says how many are."""

    code = "too_large"


class TooManyRequests(FairleadError):
    """Asked too often; ``retry_after_s`` in the details says when to try again."""

    code = "too_many_requests"


class LinkSpent(FairleadError):
    """A one-time link that is expired, used already, or was never valid."""

    code = "link_spent"


class ClipRefused(FairleadError):
    """The clip cannot be measured; the student is told what to film again. Never retried.

    ``code`` is a member of ``api.domain.refusals.RefusalCode``.
    """

    code = "clip_refused"


class PipelineFault(Exception):
    """Our own failure while measuring. Retried; after the attempts limit a person sees it."""

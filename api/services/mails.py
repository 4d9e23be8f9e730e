"""The words of every mail the service writes. Plain text; a link is confirmed by a button.

A mail prints no date and nothing that was measured: how those are written is the reader's own
(``Membership.language``), and the pages do it. How long a link works is a whole number.
"""

from dataclasses import dataclass
from datetime import timedelta

from api.domain.names import Role

_ROLE_WORDS = {
    Role.STUDENT: "a student",
    Role.COACH: "a coach",
    Role.ADMIN: "an admin",
    Role.GUARDIAN: "a guardian",
}


@dataclass(frozen=True, slots=True)
class Letter:
    """Subject and body of one mail."""

    subject: str
    body: str


def sign_in_letter(base_url: str, token: str, name: str, lasts: timedelta) -> Letter:
    """The mail that brings a sign-in link."""
    minutes = int(lasts.total_seconds() // 60)
    return Letter(
        "Your link to sign in to Fairlead",
        f"Hello {name},\n\n"
        "open this link and press the button on the page:\n\n"
        f"{base_url.rstrip('/')}/sign-in#token={token}\n\n"
        f"It works once, within {minutes} minutes. If you did not ask for it, do nothing: "
        "nobody gets in without this mail.\n",
    )


def invitation_letter(
    base_url: str, token: str, *, name: str, academy: str, role: Role, lasts: timedelta
) -> Letter:
    """The mail that brings an invitation."""
    return Letter(
        f"You are invited to {academy}",
        f"Hello {name},\n\n"
        f"{academy} invites you to join as {_ROLE_WORDS[role]}.\n"
        "Open this link and press the button on the page:\n\n"
        f"{base_url.rstrip('/')}/sign-in#invitation={token}\n\n"
        f"It works once, within {_span(lasts)} of this mail. "
        "If you did not expect it, do nothing: you are not signed up.\n",
    )


def _span(lasts: timedelta) -> str:
    """Whole days where it is at least one, else whole hours."""
    days, hours = lasts.days, int(lasts.total_seconds() // 3600)
    count, name = (days, "day") if days else (hours, "hour")
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def answered_letter(base_url: str, name: str) -> Letter:
    """The mail that says an answer is there. What it says stays behind the sign-in."""
    return Letter(
        "Your coach has answered",
        f"Hello {name},\n\n"
        "your coach has answered. Sign in to read it:\n\n"
        f"{base_url.rstrip('/')}/student/\n",
    )


def corrected_letter(base_url: str, name: str) -> Letter:
    """The mail that says an answer was corrected. What changed stays behind the sign-in."""
    return Letter(
        "Your coach has corrected an answer",
        f"Hello {name},\n\n"
        "your coach has corrected an answer that you had. Sign in to read what has changed:\n\n"
        f"{base_url.rstrip('/')}/student/\n",
    )


def film_again_letter(base_url: str, name: str) -> Letter:
    """The mail that asks for a new clip. The reason stays behind the sign-in."""
    return Letter(
        "Please film your swing again",
        f"Hello {name},\n\n"
        "your coach asks for a new clip. Sign in to see why, and what to change:\n\n"
        f"{base_url.rstrip('/')}/student/\n",
    )


def replied_letter(base_url: str, name: str) -> Letter:
    """The mail that says a question was answered. What it says stays behind the sign-in."""
    return Letter(
        "Your coach has replied to your question",
        f"Hello {name},\n\n"
        "your coach has replied to your question. Sign in to read it:\n\n"
        f"{base_url.rstrip('/')}/student/\n",
    )

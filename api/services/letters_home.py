"""The words of mails about joining, consent and one's own data. No name of a child in a subject."""

from datetime import datetime

from api.services.mails import Letter

_NOT_YOURS = "If you did not expect it, do nothing"


def guardian_letter(
    base_url: str, token: str, *, guardian: str, child: str, academy: str, until: datetime
) -> Letter:
    """Asks a guardian to read the text and to decide."""
    return Letter(
        f"{academy} asks for your consent",
        f"Hello {guardian},\n\n"
        f"{child} would like to be coached by {academy}, with films of the swing, and has named you as "
        "parent or guardian. Nothing is filmed, measured or shown to a coach before you agree.\n"
        "Open this link and press the button on the page. You can read everything there, and agree or "
        "refuse:\n\n"
        f"{base_url.rstrip('/')}/sign-in#guardian={token}\n\n"
        f"It works once, until {until:%d %B %Y, %H:%M} UTC. {_NOT_YOURS}: nothing is agreed to.\n",
    )


def copy_for_guardian(base_url: str, guardian: str, child: str, what: str) -> Letter:
    """Tells a guardian that a coach wrote to the child. What it says stays behind the sign-in."""
    return Letter(
        "A coach wrote to your child",
        f"Hello {guardian},\n\n"
        f"{what}, to {child}. You can read it too:\n\n"
        f"{base_url.rstrip('/')}/guardian/\n",
    )


def consent_decided_letter(base_url: str, name: str, *, given: bool) -> Letter:
    """Tells a child what the guardian decided."""
    words = (
        "your guardian has agreed. You can send your first clip"
        if given
        else "your guardian has not agreed, or does not agree any more, so no clip is taken"
    )
    return Letter(
        "Your guardian has decided",
        f"Hello {name},\n\n{words}:\n\n{base_url.rstrip('/')}/student/\n",
    )


def erasure_letter(base_url: str, token: str, *, name: str, whose: str, days: int) -> Letter:
    """Asks whether everything is really to be erased. ``whose``: "your data", or whose else's."""
    return Letter(
        "Confirm: erase data",
        f"Hello {name},\n\n"
        f"somebody signed in asked to erase {whose}: films, pictures, numbers, answers, name and address. "
        "Open this link and press the button on the page if that is right:\n\n"
        f"{base_url.rstrip('/')}/sign-in#erase={token}\n\n"
        f"From then on everything is hidden, and it is erased {days_in_words(days)}; until then it can be "
        "called back on the page About me. The link works once, for one day. If nobody asked for this, do "
        "nothing: nothing is erased.\n",
    )


def days_in_words(days: int) -> str:
    """When, counted from a confirmation."""
    if days == 0:
        return "at once"
    return "after one day" if days == 1 else f"after {days} days"

"""Consent: what stands, what it allows, and the words for whom it stops."""

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum

from api.domain.ages import Age

ASK_AGAIN_WITHIN = timedelta(days=30)
"""From the day on which a text with other content is in force: until then the consent to the one before holds."""


class Audience(StrEnum):
    """Whom a text speaks to."""

    ADULT = "adult"
    GUARDIAN = "guardian"


class Decision(StrEnum):
    """What was said to a text."""

    GIVEN = "given"
    REFUSED = "refused"


class Consent(StrEnum):
    """Where a student's consent stands."""

    AGE_UNKNOWN = "age_unknown"
    GUARDIAN_MISSING = "guardian_missing"
    """A child who has named nobody."""

    GUARDIAN_ASKED = "guardian_asked"
    """Mailed; nothing was decided yet."""

    NOT_ASKED = "not_asked"
    """An adult who has not read the text yet."""

    REFUSED = "refused"
    WITHDRAWN = "withdrawn"
    OUTDATED = "outdated"
    """To a text whose successor was in force for ``ASK_AGAIN_WITHIN``."""

    VALID = "valid"


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why something is not done: a stable code, and what to do about it."""

    code: str
    to_student: str
    to_coach: str


BEING_ERASED = Refusal(
    "being_erased",
    "Your data here is about to be erased, so nothing new is taken. If that is a mistake, stop it on the "
    "page About me.",
    "This student's data is about to be erased: nothing is shown or sent any more.",
)

_CHILD_WAITS = (
    "This student is a child and no guardian's consent is in force, so nothing is sent. The student's page "
    "and the guardian's mail say what is missing; the office can name another guardian."
)

REFUSALS: dict[Consent, Refusal] = {
    Consent.AGE_UNKNOWN: Refusal(
        "age_unknown",
        "Say first whether you are of age: it decides who must agree. It takes a minute, on the page About me.",
        "This student has not said yet whether they are of age.",
    ),
    Consent.GUARDIAN_MISSING: Refusal(
        "guardian_missing",
        "You are not of age here, so a guardian must agree first. Name yours on the page About me.",
        _CHILD_WAITS,
    ),
    Consent.GUARDIAN_ASKED: Refusal(
        "guardian_consent_missing",
        "Your guardian has a mail from us and has not agreed yet. Ask them to open its link; you can send it "
        "again on the page About me.",
        _CHILD_WAITS,
    ),
    Consent.NOT_ASKED: Refusal(
        "consent_missing",
        "Before your first clip, read what happens with it and say that you agree, on the page About me.",
        "This student has not agreed to anything yet.",
    ),
    Consent.REFUSED: Refusal(
        "consent_refused",
        "Consent was refused, so no clip is taken. Whoever refused can think again, on their page.",
        "Consent was refused for this student, so nothing is sent.",
    ),
    Consent.WITHDRAWN: Refusal(
        "consent_withdrawn",
        "Consent was withdrawn, so no clip is taken. Whoever withdrew it can give it again, on their page.",
        "Consent was withdrawn for this student, so nothing is sent.",
    ),
    Consent.OUTDATED: Refusal(
        "consent_outdated",
        "The text that was agreed to has changed. Read the new one and say whether you agree; a guardian does "
        "so for a child.",
        "The text that was agreed to has changed.",
    ),
}


def may_send_clips(consent: Consent) -> bool:
    """Whether clips are taken: with a consent that is in force, and nothing less."""
    return consent is Consent.VALID


def may_be_answered(consent: Consent, age: Age) -> bool:
    """Whether a coach's words go out about clips that are here.

    What was sent under a text is answered under it, so an outdated consent does not stop an answer. An adult
    who was never asked sent their clips before there was anything to ask. A child is never answered without.
    """
    if consent in {Consent.VALID, Consent.OUTDATED}:
        return True
    return age is not Age.CHILD and consent in {Consent.AGE_UNKNOWN, Consent.NOT_ASKED}

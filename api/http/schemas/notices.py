"""Bodies about notices: what comes by mail, quiet hours, and links to unsubscribe."""

from typing import Literal

from pydantic import Field

from api.domain.notices import MailKind
from api.http.schemas.common import OneLine, Read, Sent

_CLOCK = r"^([01]\d|2[0-3]):[0-5]\d$"
_CLOCK_WORDS = "By the clock on the wall in the person's own time zone."


class NoticeKindRead(Read):
    """One kind of notice. ``why_always``: why it cannot be switched off; null for one that can."""

    kind: MailKind
    mail: bool = Field(description="Whether it comes by mail.")
    push: bool = Field(description="Whether browsers show it that show notices.")
    why_always: str | None


class QuietHoursRead(Read):
    """When notices wait. Past midnight where ``to`` is the earlier."""

    from_: str = Field(alias="from", examples=["22:00"], description=_CLOCK_WORDS)
    to: str = Field(examples=["07:30"], description=_CLOCK_WORDS)


class NoticesRead(Read):
    """What somebody chose at one academy."""

    kinds: list[NoticeKindRead]
    quiet_hours: QuietHoursRead | None
    time_zone: str = Field(examples=["Europe/Zagreb"])
    push_public_key: str | None = Field(
        description="What a browser subscribes with (VAPID); null where the service shows no notices on devices."
    )
    devices: int = Field(description="How many browsers show them.")


class QuietHoursSent(Sent):
    """When notices are to wait."""

    from_: str = Field(alias="from", pattern=_CLOCK, examples=["22:00"], description=_CLOCK_WORDS)
    to: str = Field(pattern=_CLOCK, examples=["07:30"], description=_CLOCK_WORDS)


class NoticesChanged(Sent):
    """What is to be otherwise; what is left out stays. ``quiet_hours`` null: none."""

    mail_off: list[MailKind] | None = Field(
        default=None, max_length=20, description="Every kind that is not to come by mail."
    )
    push_off: list[MailKind] | None = Field(
        default=None, max_length=20, description="Every kind that no browser is to show."
    )
    quiet_hours: QuietHoursSent | None = None
    time_zone: OneLine | None = Field(
        default=None, min_length=1, max_length=64, examples=["Europe/Vienna"]
    )


class UnsubscriptionRead(Read):
    """What a mailed link stops. ``off``: this kind comes no more; ``all_off``: no notice does, by mail."""

    kind: MailKind
    academy: str
    off: bool
    all_off: bool


class UnsubscriptionSent(Sent):
    """Whether these mails are to stop. ``scope``: this kind alone, or every notice by mail."""

    off: bool
    scope: Literal["kind", "every"] = "kind"


class PushKeysSent(Sent):
    """The browser's own keys (RFC 8291), in base64url."""

    p256dh: OneLine = Field(max_length=120)
    auth: OneLine = Field(max_length=60)


class PushSubscriptionSent(Sent):
    """What a browser says when it subscribes."""

    endpoint: OneLine = Field(max_length=1500, examples=["https://push.example/send/abc"])
    keys: PushKeysSent


class PushEndpointSent(Sent):
    """Which browser is meant."""

    endpoint: OneLine = Field(max_length=1500, examples=["https://push.example/send/abc"])


class DevicesRead(Read):
    """How many browsers show the person's notices now."""

    devices: int

"""Telling people that something happened, in the ways and at the hours that they chose."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy.orm import Session

from api.db import notices as notices_db
from api.db.audit import record
from api.db.mails import Matter, is_held, leave_out_held, queue_mail
from api.db.models import Academy, Membership, NoticeChoices
from api.db.notices import Notice
from api.db.profiles import profile_of, profile_to_change
from api.db.push import (
    forget_subscription,
    keep_subscription,
    leave_out_held_messages,
    queue_messages,
    subscription_at,
    subscriptions_of,
)
from api.domain.actors import Actor
from api.domain.errors import Conflict, Invalid, NotFound
from api.domain.names import Role
from api.domain.notices import (
    NOTICES,
    NOTICES_OF_ROLE,
    WHY_ALWAYS,
    LeftOut,
    MailKind,
    WayOut,
    read_way_out,
)
from api.domain.push import checked_endpoint, checked_keys
from api.services.mails import Letter
from api.settings import Settings


def tell(session: Session, notice: Notice, letter: Letter, now: datetime) -> None:
    """Queue a notice by mail and for whoever's browsers show notices, unless that kind is not wanted there.

    One still held about the same thing, that its reader may do without, says it already: a night of corrections is
    one mail in the morning.
    """
    if notices_db.comes_by_push(session, notice.to_id, notice.kind):
        queue_messages(
            session,
            notice.to_id,
            notice.kind,
            submission_id=notice.submission_id,
            child_id=notice.child_id,
            now=now,
        )
    if not notices_db.comes_by_mail(session, notice.to_id, notice.kind):
        return
    matter = Matter(notice.kind, notice.child_id, notice.to_id, notice.submission_id)
    if notice.kind in NOTICES and is_held(session, matter, now):
        return
    address = session.get_one(Membership, notice.to_id).person.email
    queue_mail(session, address, letter.subject, letter.body, matter)


def take_back(session: Session, submission_id: UUID, now: datetime) -> None:
    """What is still held about a submission is not so any more: nobody is told of it."""
    leave_out_held(session, submission_id, LeftOut.OVERTAKEN, now)
    leave_out_held_messages(session, submission_id, LeftOut.OVERTAKEN, now)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of notice as somebody chose it. ``why_always``: why its mail cannot be switched off, where that is so."""

    kind: MailKind
    mail: bool
    push: bool
    why_always: str | None


@dataclass(frozen=True, slots=True)
class Chosen:
    """Everything somebody chose. ``quiet_from`` and ``quiet_to`` by the clock in ``time_zone``, "22:00".

    ``devices``: how many browsers show notices.
    """

    kinds: tuple[Kind, ...]
    quiet_from: str | None
    quiet_to: str | None
    time_zone: str
    devices: int


@dataclass(frozen=True, slots=True)
class Changes:
    """What is to be otherwise; ``None`` leaves it as it is.

    ``mail_off`` and ``push_off``: every kind that is not to come by mail, or not to be shown by browsers. ``quiet``: both times, or ``()`` for no quiet hours.
    """

    mail_off: Collection[MailKind] | None = None
    push_off: Collection[MailKind] | None = None
    quiet: tuple[str, str] | tuple[()] | None = None
    time_zone: str | None = None


def chosen(session: Session, actor: Actor) -> Chosen:
    """What the actor chose at this academy."""
    member = session.get_one(Membership, actor.membership_id)
    choices = notices_db.choices_of(session, member.id)
    return Chosen(
        tuple(
            Kind(
                kind,
                notices_db.comes_by_mail(session, member.id, kind),
                notices_db.comes_by_push(session, member.id, kind),
                WHY_ALWAYS.get(kind),
            )
            for kind in _kinds_for(session, member)
        ),
        None if choices is None else choices.quiet_from,
        None if choices is None else choices.quiet_to,
        notices_db.zone_of(session, member),
        len(subscriptions_of(session, member.id)),
    )


def _kinds_for(session: Session, member: Membership) -> list[MailKind]:
    """What may ever be told to somebody: nobody decides for who is of age."""
    profile = profile_of(session, member.id)
    child = profile is not None and profile.child
    kinds = NOTICES_OF_ROLE[Role(member.role)]
    return [kind for kind in kinds if child or kind is not MailKind.CONSENT_DECIDED]


def choose(session: Session, actor: Actor, changes: Changes) -> Chosen:
    """Change one's choices. What was held is looked at again at once.

    Raises ``Invalid``: ``always_sent`` for a kind that cannot be switched off, ``quiet_all_day`` when quiet
    hours begin when they end, ``unknown_time_zone``.
    """
    row = notices_db.choices_to_change(session, actor.membership_id)
    if changes.mail_off is not None:
        _refuse_always_sent(changes.mail_off)
        _set_off(row, changes.mail_off)
    if changes.push_off is not None:
        row.push_off = sorted(kind.value for kind in set(changes.push_off))
    if changes.quiet is not None:
        _set_quiet(row, changes.quiet)
    if changes.time_zone is not None:
        _set_zone(session, actor, row, changes.time_zone)
    session.flush()
    notices_db.look_again(session, actor.membership_id)
    _record(session, row, actor=actor)
    return chosen(session, actor)


def _refuse_always_sent(kinds: Collection[MailKind]) -> None:
    for kind in kinds:
        if kind not in NOTICES:
            raise Invalid(
                f"These mails cannot be switched off, because {WHY_ALWAYS[kind]}.",
                code="always_sent",
            )


def _set_off(row: NoticeChoices, kinds: Collection[MailKind]) -> None:
    row.mail_off = [kind.value for kind in NOTICES if kind in kinds]


def _set_quiet(row: NoticeChoices, quiet: tuple[str, str] | tuple[()]) -> None:
    begins, ends = quiet or (None, None)
    if begins is not None and begins == ends:
        raise Invalid(
            "Quiet hours must end at another time than they begin. To get no notices at all, switch them off.",
            code="quiet_all_day",
        )
    row.quiet_from, row.quiet_to = begins, ends


def _set_zone(session: Session, actor: Actor, row: NoticeChoices, name: str) -> None:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise Invalid(
            f"There is no time zone {name!r}. Examples: Europe/Zagreb, America/New_York.",
            code="unknown_time_zone",
        ) from None
    if actor.role is Role.STUDENT:
        profile_to_change(session, actor.membership_id).time_zone = name
    else:
        row.time_zone = name


def _record(session: Session, row: NoticeChoices, *, actor: Actor | None = None) -> None:
    member = session.get_one(Membership, row.membership_id)
    record(
        session,
        "notices.chosen",
        "membership",
        member.id,
        actor=actor,
        academy_id=member.academy_id,
        after={
            "mail_off": list(row.mail_off),
            "push_off": list(row.push_off),
            "quiet": row.quiet_from is not None,
        },
    )


def show_here(
    session: Session, settings: Settings, actor: Actor, *, endpoint: str, p256dh: str, auth: str
) -> int:
    """Show the actor's notices in this browser from now on; again is harmless. Returns how many browsers do.

    Raises ``Conflict`` (``no_push``) where the service is not set up for it, ``Invalid`` (``no_push_address``).
    """
    if not settings.push_public_key:
        raise Conflict(
            "This service is not set up to show notices on devices. They come by mail.",
            code="no_push",
        )
    keys = checked_keys(p256dh, auth)
    address = checked_endpoint(endpoint, this_machine=settings.push_to_this_machine)
    member_id = actor.membership_id
    keep_subscription(session, member_id, endpoint=address, p256dh=keys[0], auth=keys[1])
    record(session, "notices.device_added", "membership", member_id, actor=actor)
    return len(subscriptions_of(session, member_id))


def hide_here(session: Session, actor: Actor, endpoint: str) -> int:
    """Show nothing in this browser any more; again is harmless. Returns how many still do."""
    row = subscription_at(session, actor.membership_id, endpoint)
    if row is not None:
        forget_subscription(session, row.id)
        record(session, "notices.device_removed", "membership", actor.membership_id, actor=actor)
    return len(subscriptions_of(session, actor.membership_id))


@dataclass(frozen=True, slots=True)
class Mails:
    """What a link to unsubscribe is for. ``off``: this kind comes no more. ``all_off``: no notice does, by mail."""

    kind: MailKind
    academy: str
    off: bool
    all_off: bool


def mails_of(session: Session, secret: bytes, token: str) -> Mails:
    """What a mailed link stops, and whether it is stopped. Raises ``NotFound`` for one that is not ours."""
    way_out = _way_out(secret, token)
    member = session.get(Membership, way_out.membership_id)
    if member is None:
        raise NotFound(_NO_LINK)
    off = notices_db.kinds_off(session, member.id)
    academy = session.get_one(Academy, member.academy_id)
    return Mails(way_out.kind, academy.name, way_out.kind in off, len(off) == len(NOTICES))


def switch(session: Session, secret: bytes, token: str, *, off: bool, every: bool = False) -> Mails:
    """Stop the mails that a link is for, or have them come again. Again is harmless.

    ``every``: all notices by mail. Whoever holds the link may do that and nothing else. Raises ``NotFound``.
    """
    before = mails_of(session, secret, token)
    way_out = _way_out(secret, token)
    kinds = set(NOTICES) if every else {way_out.kind}
    row = notices_db.choices_to_change(session, way_out.membership_id)
    already = {kind for kind in NOTICES if kind.value in row.mail_off}
    now_off = already | kinds if off else already - kinds
    if now_off == already:
        return before
    _set_off(row, now_off)
    session.flush()
    _record(session, row)
    return mails_of(session, secret, token)


_NO_LINK = "This link is not complete. Open the one in a newer mail, or choose under Notices on your own page."


def _way_out(secret: bytes, token: str) -> WayOut:
    way_out = read_way_out(secret, token)
    if way_out is None:
        raise NotFound(_NO_LINK)
    return way_out

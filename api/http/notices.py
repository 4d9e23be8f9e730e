"""Which notices come by mail and when, as somebody chooses on their own page or by a mailed link."""

from email.message import EmailMessage
from email.parser import BytesParser
from email.policy import HTTP
from typing import Annotated
from urllib.parse import parse_qs

from fastapi import APIRouter, Depends, Request
from fastapi.responses import PlainTextResponse
from starlette.concurrency import run_in_threadpool

from api.db.session import transaction
from api.domain.actors import Actor
from api.domain.errors import Invalid
from api.domain.names import Role
from api.http.deps import (
    AppSettings,
    CurrentMember,
    DbSession,
    SessionFactory,
    check_origin,
    require_role,
)
from api.http.problems import problems
from api.http.schemas.notices import (
    DevicesRead,
    NoticeKindRead,
    NoticesChanged,
    NoticesRead,
    PushEndpointSent,
    PushSubscriptionSent,
    QuietHoursRead,
    UnsubscriptionRead,
    UnsubscriptionSent,
)
from api.services import notices as notices_service
from api.settings import Settings

router = APIRouter(tags=["notices"])
one_click = APIRouter(include_in_schema=False)
"""Outside the API's own paths: the address that mails name is a page for people too (``api.http.pages``)."""

_ONE_CLICK = ("List-Unsubscribe", "One-Click")
_MOST_BYTES = 4096


def _told(actor: CurrentMember) -> Actor:
    return require_role(actor, Role.STUDENT, Role.GUARDIAN)


WhoIsTold = Annotated[Actor, Depends(_told)]


def _read(found: notices_service.Chosen, settings: Settings) -> NoticesRead:
    quiet = None
    if found.quiet_from is not None and found.quiet_to is not None:
        quiet = QuietHoursRead.model_validate({"from": found.quiet_from, "to": found.quiet_to})
    return NoticesRead(
        kinds=[NoticeKindRead.model_validate(one) for one in found.kinds],
        quiet_hours=quiet,
        time_zone=found.time_zone,
        push_public_key=settings.push_public_key or None,
        devices=found.devices,
    )


@router.get("/notices")
def read_notices(session: DbSession, actor: WhoIsTold, settings: AppSettings) -> NoticesRead:
    """Which notices come by mail, and when they wait. Coaches and the office get none: they have the queue."""
    return _read(notices_service.chosen(session, actor), settings)


@router.patch("/notices", responses=problems(422))
def change_notices(
    session: DbSession, actor: WhoIsTold, settings: AppSettings, sent: NoticesChanged
) -> NoticesRead:
    """Choose. What waits for the end of quiet hours is looked at again at once."""
    quiet: tuple[str, str] | tuple[()] | None = None
    if "quiet_hours" in sent.model_fields_set:
        hours = sent.quiet_hours
        quiet = () if hours is None else (hours.from_, hours.to)
    changes = notices_service.Changes(sent.mail_off, sent.push_off, quiet, sent.time_zone)
    return _read(notices_service.choose(session, actor, changes), settings)


@router.put("/push-subscriptions", responses=problems(409, 422))
def show_notices_here(
    session: DbSession, actor: WhoIsTold, settings: AppSettings, sent: PushSubscriptionSent
) -> DevicesRead:
    """Show notices in a browser that has subscribed. It shows nobody else's from then on; again is harmless."""
    devices = notices_service.show_here(
        session,
        settings,
        actor,
        endpoint=sent.endpoint,
        p256dh=sent.keys.p256dh,
        auth=sent.keys.auth,
    )
    return DevicesRead(devices=devices)


@router.post("/push-subscriptions/removals")
def hide_notices_here(session: DbSession, actor: WhoIsTold, sent: PushEndpointSent) -> DevicesRead:
    """Show nothing in a browser any more; again is harmless. Its address is long and secret: it is in no path."""
    return DevicesRead(devices=notices_service.hide_here(session, actor, sent.endpoint))


def _secret(settings: Settings) -> bytes:
    return settings.secret.get_secret_value().encode()


@router.get("/unsubscriptions/{token}", responses=problems(404))
def read_unsubscription(
    token: str, session: DbSession, settings: AppSettings
) -> UnsubscriptionRead:
    """What a mailed link stops. Opening it changes nothing: mail scanners follow links."""
    found = notices_service.mails_of(session, _secret(settings), token)
    return UnsubscriptionRead.model_validate(found)


@router.put(
    "/unsubscriptions/{token}",
    responses=problems(403, 404),
    dependencies=[Depends(check_origin)],
)
def change_unsubscription(
    token: str, session: DbSession, settings: AppSettings, sent: UnsubscriptionSent
) -> UnsubscriptionRead:
    """Stop the mails that a link is for, or have them come again. Needs no sign-in; again is harmless."""
    every = sent.scope == "every"
    found = notices_service.switch(session, _secret(settings), token, off=sent.off, every=every)
    return UnsubscriptionRead.model_validate(found)


@one_click.post("/unsubscribe/{token}")
async def unsubscribe_at_once(
    token: str, request: Request, factory: SessionFactory, settings: AppSettings
) -> PlainTextResponse:
    """Where a mail program posts when its user presses its own button (RFC 8058, section 3.2).

    It sends no cookie and follows no redirect; whoever posts is known by the token alone. Not counted against
    callers, since one mail provider posts for all its users. Raises ``NotFound`` for a token that is not ours, and
    ``Invalid`` without the one pair that tells this from a program that posts to every link it finds.
    """
    body = await _small_body(request)
    if not _asks_for_one_click(request.headers.get("content-type", ""), body):
        raise Invalid(
            "Post the form List-Unsubscribe=One-Click to stop these mails, or open this address in a browser."
        )

    def stop() -> None:
        with transaction(factory) as session:
            session.info["request_id"] = request.state.request_id
            notices_service.switch(session, _secret(settings), token, off=True)

    await run_in_threadpool(stop)
    return PlainTextResponse("These mails come no more.\n")


async def _small_body(request: Request) -> bytes:
    body = b""
    async for chunk in request.stream():
        body += chunk
        if len(body) > _MOST_BYTES:
            raise Invalid("This form is too long.")
    return body


def _asks_for_one_click(content_type: str, body: bytes) -> bool:
    """Whether a form holds the pair that RFC 8058 asks for, in either of the two forms that it allows."""
    name, value = _ONE_CLICK
    kind = content_type.partition(";")[0].strip().lower()
    if kind == "application/x-www-form-urlencoded":
        found = parse_qs(body.decode("utf-8", "replace"), max_num_fields=None)
        return found.get(name) == [value]
    if kind != "multipart/form-data" or not content_type.isprintable():
        return False
    head = f"Content-Type: {content_type}\r\n\r\n".encode("utf-8", "replace")
    form = BytesParser(policy=HTTP).parsebytes(head + body)
    parts = [part for part in form.walk() if not part.is_multipart()]
    return any(_field(part) == (name, value) for part in parts)


def _field(part: EmailMessage) -> tuple[object, object]:
    content = part.get_payload(decode=True)
    text = content.decode("utf-8", "replace").strip() if isinstance(content, bytes) else None
    return part.get_param("name", header="content-disposition"), text

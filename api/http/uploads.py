"""Uploads over tus 1.0.0: creation (with or without a first piece), termination, checksum, expiry.

No database transaction is open while bytes come in: on SQLite it would keep every other writer
waiting for the slowest phone.
"""

from datetime import UTC, datetime
from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response
from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect

from api.db.models import Upload
from api.db.session import transaction
from api.db.uploads import finish_upload
from api.domain.actors import Actor, Scope
from api.domain.names import Role
from api.domain.states import UploadState
from api.domain.upload_errors import BadTusRequest, UploadGone
from api.http import tus
from api.http.deps import (
    AppSettings,
    SessionFactory,
    authenticate,
    authenticates,
    needs,
    require_role,
)
from api.http.problems import problems
from api.http.rate_limits import UPLOADS_PER_SENDER, RateLimits
from api.services import uploads
from api.services.upload_body import Incoming, receive
from api.storage.uploads import UploadShelf

router = APIRouter(tags=["uploads"], route_class=tus.TusRoute)

CLIP_HEADER = "Fairlead-Clip-Id"
_UPLOAD = "/uploads/{upload_id}"
_UNLIMITED = 2**62  # the length declared at creation is the limit; see ``upload_body.receive``
_Needs = [needs(Scope.CLIPS_WRITE)]


def get_shelf(request: Request, settings: AppSettings) -> UploadShelf:
    """Where uploads grow."""
    return UploadShelf(settings.uploads_dir, request.app.state.storage)


Shelf = Annotated[UploadShelf, Depends(get_shelf)]


def get_rate_limits(request: Request) -> RateLimits:
    """How often one student may open an upload."""
    limits: RateLimits = request.app.state.rate_limits
    return limits


Limits = Annotated[RateLimits, Depends(get_rate_limits)]


@authenticates
def sender(request: Request, factory: SessionFactory, settings: AppSettings) -> Actor:
    """The student who sends, or a guardian for a child, authenticated in a transaction of its own that ends here."""
    tus.check_version(request)
    with transaction(factory) as session:
        return require_role(authenticate(request, session, settings), Role.STUDENT, Role.GUARDIAN)


Sender = Annotated[Actor, Depends(sender)]


@router.options("/uploads", status_code=204, summary="What the upload server can do")
@router.options(_UPLOAD, status_code=204, include_in_schema=False)
def describe(settings: AppSettings) -> Response:
    """Core Protocol, OPTIONS. Public, and without regard to the version asked with."""
    return Response(
        status_code=204,
        headers={
            "Tus-Version": tus.VERSION,
            "Tus-Extension": tus.EXTENSIONS,
            "Tus-Max-Size": str(settings.upload_max_bytes),
            "Tus-Checksum-Algorithm": ",".join(tus.CHECKSUM_ALGORITHMS),
        },
    )


@router.post(
    "/uploads",
    status_code=201,
    summary="Open an upload",
    dependencies=_Needs,
    max_body_size=_UNLIMITED,
    responses=problems(400, 401, 403, 404, 409, 412, 413, 415, 422, 429, 507),
)
async def create(
    request: Request,
    actor: Sender,
    factory: SessionFactory,
    settings: AppSettings,
    shelf: Shelf,
    limits: Limits,
) -> Response:
    """Open an upload for one view of a submission.

    Headers: ``Upload-Length``, and ``Upload-Metadata`` with ``submission_id``, ``view`` and
    optionally ``filename`` and ``filetype``. A body, if any, is the first piece.
    """
    new = _new_upload(request)
    announced = tus.natural(request, "Content-Length")
    brings_bytes = bool(announced) or "transfer-encoding" in request.headers
    if brings_bytes:
        tus.check_body_type(request)
    await run_in_threadpool(limits.spend, UPLOADS_PER_SENDER, "upload", str(actor.membership_id))
    upload = await run_in_threadpool(_open, factory, actor, shelf, new, settings)
    headers = {
        # Relative, which tus allows: the phone may know this machine by another name than we do.
        "Location": f"{request.url.path}/{upload.id}",
        "Upload-Expires": tus.http_date(upload.expires_at),
    }
    if brings_bytes:
        headers |= await _take_in(request, factory, settings, shelf, upload, offset=0)
    return Response(status_code=201, headers=headers)


def _new_upload(request: Request) -> uploads.NewUpload:
    if "upload-defer-length" in request.headers:
        raise BadTusRequest("The length must be known at the start: send Upload-Length.")
    header = request.headers.get("upload-metadata", "")
    metadata = tus.parse_metadata(header)
    return uploads.NewUpload(
        submission_id=metadata.get("submission_id"),
        view=metadata.get("view"),
        filename=metadata.get("filename", ""),
        metadata_header=header,
        length=tus.required(request, "Upload-Length"),
    )


def _open(
    factory: SessionFactory,
    actor: Actor,
    shelf: UploadShelf,
    new: uploads.NewUpload,
    settings: AppSettings,
) -> Upload:
    rules = uploads.UploadRules(settings.upload_max_bytes, settings.upload_expires_after)
    with transaction(factory) as session:
        return uploads.create_upload(session, actor, shelf, new, rules, now=datetime.now(UTC))


@router.head(
    _UPLOAD,
    summary="How much has arrived",
    dependencies=_Needs,
    responses=problems(401, 403, 404, 410, 412),
)
def offset(upload_id: UUID, actor: Sender, factory: SessionFactory, shelf: Shelf) -> Response:
    """Core Protocol, HEAD. A whole upload that a crash left behind is finished here."""
    upload = _live(factory, actor, upload_id)
    arrived = _arrived(shelf, upload)
    headers = {
        "Upload-Offset": str(arrived),
        "Upload-Length": str(upload.length),
        "Cache-Control": "no-store",
    }
    if upload.metadata_header:
        headers["Upload-Metadata"] = upload.metadata_header
    if arrived == upload.length:
        return Response(headers=headers | _finished(factory, shelf, upload.id))
    return Response(headers=headers | {"Upload-Expires": tus.http_date(upload.expires_at)})


@router.patch(
    _UPLOAD,
    status_code=204,
    summary="Send a piece",
    dependencies=_Needs,
    max_body_size=_UNLIMITED,
    responses=problems(400, 401, 403, 404, 408, 409, 410, 412, 413, 415, 423, 507),
)
async def append(
    upload_id: UUID,
    request: Request,
    actor: Sender,
    factory: SessionFactory,
    settings: AppSettings,
    shelf: Shelf,
) -> Response:
    """Core Protocol, PATCH: bytes at ``Upload-Offset``. Acknowledged once they are on the disk."""
    tus.check_body_type(request)
    at = tus.required(request, "Upload-Offset")
    upload = await run_in_threadpool(_live, factory, actor, upload_id)
    headers = await _take_in(request, factory, settings, shelf, upload, offset=at)
    return Response(status_code=204, headers=headers)


@router.delete(
    _UPLOAD,
    status_code=204,
    summary="Give an upload up",
    dependencies=_Needs,
    responses=problems(401, 403, 404, 409, 410, 412),
)
def terminate(upload_id: UUID, actor: Sender, factory: SessionFactory, shelf: Shelf) -> Response:
    """Termination. An upload that has become a clip is not lost by a late tap: 409."""
    with transaction(factory) as session:
        uploads.terminate_upload(session, actor, upload_id)
    shelf.remove(upload_id)
    return Response(status_code=204)


def _live(factory: SessionFactory, actor: Actor, upload_id: UUID) -> Upload:
    with transaction(factory) as session:
        return uploads.live_upload(session, actor, upload_id, now=datetime.now(UTC))


def _arrived(shelf: UploadShelf, upload: Upload) -> int:
    if upload.state == UploadState.COMPLETE:
        return upload.length
    try:
        return shelf.offset(upload.id)
    except FileNotFoundError:
        raise UploadGone("This upload is over. Choose the clip again.") from None


async def _take_in(
    request: Request,
    factory: SessionFactory,
    settings: AppSettings,
    shelf: UploadShelf,
    upload: Upload,
    *,
    offset: int,
) -> dict[str, str]:
    """Receive this request's bytes; the headers that say what that came to."""
    arrived = await run_in_threadpool(_arrived, shelf, upload)
    if upload.state == UploadState.RECEIVING and arrived < upload.length:
        incoming = Incoming(
            offset=offset,
            announced=tus.natural(request, "Content-Length"),
            body=request.stream(),
            checksum=tus.parse_checksum(request.headers.get("upload-checksum")),
            read_timeout=settings.upload_read_timeout,
        )
        try:
            arrived = await receive(shelf, upload.id, upload.length, incoming)
        except ClientDisconnect:  # nobody is listening any more; what arrived is kept
            raise BadTusRequest("The connection broke off.", code="interrupted") from None
    else:
        tus.check_nothing_more(request, offset, arrived)
    headers = {"Upload-Offset": str(arrived)}
    if arrived == upload.length:
        return headers | await run_in_threadpool(_finished, factory, shelf, upload.id)
    until = datetime.now(UTC) + settings.upload_expires_after
    await run_in_threadpool(_prolong, factory, upload.id, until)
    return headers | {"Upload-Expires": tus.http_date(until)}


def _finished(factory: SessionFactory, shelf: UploadShelf, upload_id: UUID) -> dict[str, str]:
    clip_id = finish_upload(factory, shelf, upload_id, now=datetime.now(UTC))
    if clip_id is None:
        raise UploadGone(
            "This upload was ended while it arrived: it was cancelled, or a coach has begun with the "
            "submission. Send the clip in a new submission."
        )
    return {CLIP_HEADER: str(clip_id)}


def _prolong(factory: SessionFactory, upload_id: UUID, until: datetime) -> None:
    with transaction(factory) as session:
        uploads.prolong_upload(session, upload_id, until)

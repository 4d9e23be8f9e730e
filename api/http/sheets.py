"""An answer as a PDF sheet."""

from typing import Annotated
from uuid import UUID

from fastapi import APIRouter, Depends, Header, Path, Request, Response

from api.db.looks import note_look
from api.db.session import transaction
from api.domain.actors import Actor, Scope
from api.domain.names import Role
from api.http.deps import (
    AppSettings,
    SessionFactory,
    authenticate,
    authenticates,
    needs,
    require_role,
)
from api.http.problems import problems
from api.services.sheets import sheet_of
from api.sheet.render import render

router = APIRouter(tags=["submissions"])

_MEDIA_TYPE = "application/pdf"


@authenticates
def reader(request: Request, factory: SessionFactory, settings: AppSettings) -> Actor:
    """Who reads, authenticated in a transaction that ends before the sheet is set."""
    with transaction(factory) as session:
        actor = authenticate(request, session, settings)
    return require_role(actor, Role.STUDENT, Role.GUARDIAN, Role.COACH)


Reader = Annotated[Actor, Depends(reader)]


@router.get(
    "/submissions/{submission_id}/answers/{number}/sheet.pdf",
    dependencies=[needs(Scope.CLIPS_READ)],
    response_class=Response,
    responses={
        200: {"content": {_MEDIA_TYPE: {}}, "description": "The sheet, A4."},
        304: {"description": "It is as it was."},
        **problems(404, 429),
    },
)
def fetch_sheet(
    submission_id: UUID,
    number: Annotated[int, Path(ge=1, le=1_000_000)],
    request: Request,
    factory: SessionFactory,
    actor: Reader,
    if_none_match: Annotated[str | None, Header(alias="If-None-Match")] = None,
) -> Response:
    """An answer to print or keep: as it was sent, with its pictures, numbers and drills.

    For the student, a child's guardian and the coaches, who may read it. An answer that was called back has none; one whose place a corrected
    answer took says so. The same answer gives the same bytes, which `ETag` names.
    """
    with transaction(factory) as session:
        sheet = sheet_of(session, actor, submission_id, number, request.app.state.storage)
        note_look(session, actor, submission_id)
    # Called back, it must be gone: a browser asks each time before it shows what it kept.
    headers = {"ETag": f'"{sheet.mark}"', "Cache-Control": "private, no-cache"}
    if if_none_match is not None and headers["ETag"] in if_none_match:
        return Response(status_code=304, headers=headers)
    headers["Content-Disposition"] = f'attachment; filename="{sheet.name}"'
    return Response(render(sheet.page, sheet.files), headers=headers, media_type=_MEDIA_TYPE)

"""The built pages, as plain files. The API does not depend on them being there."""

import mimetypes
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse, Response

from api.domain.errors import NotFound

router = APIRouter(include_in_schema=False)

PAGES = ("sign-in", "student", "desk", "office", "guardian", "outbox")
_REVALIDATE = {"Cache-Control": "no-cache"}
_FOREVER = {"Cache-Control": "public, max-age=31536000, immutable"}
_COMPILES = {
    **_FOREVER,
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'"
    ),
}
"""For the web workers alone: what they load may be compiled from WebAssembly, and from this server only. The pages
themselves may not, and a worker has no page to change."""
_WORKERS = "workers/"
_KINDS = {".wasm": "application/wasm", ".js": "text/javascript"}
"""Browsers compile WebAssembly while it arrives only under this name, which not every system's table knows."""
_ROOT_FILES = frozenset(
    {
        "favicon.ico",
        "favicon.svg",
        "icon-192.png",
        "icon-512.png",
        "manifest.webmanifest",
        "offline.js",
        "robots.txt",
    }
)
NOT_BUILT = (
    "The pages have not been built yet. Run 'make demo' or 'make up' in the project's folder; "
    "both build them. The API itself is running.\n"
)


def _page(request: Request, name: str) -> Response:
    path: Path = request.app.state.settings.web_dist / name / "index.html"
    if not path.is_file():
        return PlainTextResponse(NOT_BUILT, 503)
    return FileResponse(path, headers=_REVALIDATE)


@router.api_route("/", methods=["GET", "HEAD"])
def start_page(request: Request) -> Response:
    """The chooser."""
    return _page(request, "")


def _add_page(name: str) -> None:
    @router.api_route(f"/{name}/", methods=["GET", "HEAD"], name=f"{name}_page")
    def show(request: Request) -> Response:
        if name == "outbox" and not request.app.state.settings.demo_outbox:
            raise NotFound("There is nothing at this address.")
        return _page(request, name)

    @router.api_route(f"/{name}", methods=["GET", "HEAD"], name=f"{name}_page_bare")
    def show_bare(request: Request) -> Response:
        # A redirect would be followed with the fragment kept, but costs a round trip on a phone.
        return show(request)


for _name in PAGES:
    _add_page(_name)


@router.api_route("/unsubscribe/{token}", methods=["GET", "HEAD"])
def unsubscribe_page(request: Request, token: str) -> Response:  # noqa: ARG001 - the page reads its own address
    """Asks whether mails are to stop, and stops none by being opened: mail scanners follow links."""
    return _page(request, "unsubscribe")


@router.post("/student/share")
def share_without_worker() -> Response:
    """Where a phone hands over a clip that another app shares.

    The pages' service worker takes it before it is sent. Only a browser that has none comes here: the student then
    chooses the clip by hand, and nothing of what was sent is kept.
    """
    return RedirectResponse("/student/#/new/not-shared", 303)


@router.api_route("/assets/{name:path}", methods=["GET", "HEAD"])
def asset(request: Request, name: str) -> Response:
    """Scripts, styles and networks. Their names hold a hash of their content, so they never change."""
    headers = _COMPILES if name.startswith(_WORKERS) else _FOREVER
    return _file(request.app.state.settings.web_dist / "assets", name, headers, request)


@router.api_route("/{name}", methods=["GET", "HEAD"])
def root_file(request: Request, name: str) -> Response:
    """The few files browsers look for at the root."""
    if name not in _ROOT_FILES:
        raise NotFound("There is nothing at this address.")
    return _file(request.app.state.settings.web_dist, name, _REVALIDATE)


def _file(
    folder: Path, name: str, headers: dict[str, str], request: Request | None = None
) -> Response:
    """The file, or its gzip beside it (``web/build_hook.py``) where ``request`` says that it is understood."""
    root = folder.resolve()
    try:
        path = (root / name).resolve()
        if path.is_relative_to(root) and path.is_file():
            return _whole(path, headers, request)
    except (OSError, ValueError):  # no file has such a name: too long, or with a zero in it
        pass
    raise NotFound("There is nothing at this address.")


def _whole(path: Path, headers: dict[str, str], request: Request | None) -> Response:
    kind = _KINDS.get(path.suffix) or mimetypes.guess_type(path.name)[0]
    packed = path.with_name(f"{path.name}.gz")
    if request is None or not packed.is_file():
        return FileResponse(path, headers=headers, media_type=kind)
    headers = {**headers, "Vary": "Accept-Encoding"}
    if not _takes_gzip(request):
        return FileResponse(path, headers=headers, media_type=kind)
    return FileResponse(packed, headers={**headers, "Content-Encoding": "gzip"}, media_type=kind)


def _takes_gzip(request: Request) -> bool:
    """By ``Accept-Encoding``; ``gzip;q=0`` refuses it."""
    for each in request.headers.get("accept-encoding", "").lower().split(","):
        name, *parameters = (part.strip() for part in each.split(";"))
        if name == "gzip":
            return not any(
                part.startswith("q=") and part[2:].strip("0.") == "" for part in parameters
            )
    return False

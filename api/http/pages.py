"""The built pages, as plain files. The API does not depend on them being there."""

from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, PlainTextResponse, RedirectResponse, Response

from api.domain.errors import NotFound

router = APIRouter(include_in_schema=False)

PAGES = ("sign-in", "student", "desk", "office", "guardian", "outbox")
_REVALIDATE = {"Cache-Control": "no-cache"}
_FOREVER = {"Cache-Control": "public, max-age=31536000, immutable"}
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


@router.post("/student/share")
def share_without_worker() -> Response:
    """Where a phone hands over a clip that another app shares.

    The pages' service worker takes it before it is sent. Only a browser that has none comes here: the student then
    chooses the clip by hand, and nothing of what was sent is kept.
    """
    return RedirectResponse("/student/#/new/not-shared", 303)


@router.api_route("/assets/{name:path}", methods=["GET", "HEAD"])
def asset(request: Request, name: str) -> Response:
    """Scripts and styles. Their names hold a hash of their content, so they never change."""
    return _file(request.app.state.settings.web_dist / "assets", name, _FOREVER)


@router.api_route("/{name}", methods=["GET", "HEAD"])
def root_file(request: Request, name: str) -> Response:
    """The few files browsers look for at the root."""
    if name not in _ROOT_FILES:
        raise NotFound("There is nothing at this address.")
    return _file(request.app.state.settings.web_dist, name, _REVALIDATE)


def _file(folder: Path, name: str, headers: dict[str, str]) -> Response:
    root = folder.resolve()
    try:
        path = (root / name).resolve()
        if path.is_relative_to(root) and path.is_file():
            return FileResponse(path, headers=headers)
    except (OSError, ValueError):  # no file has such a name: too long, or with a zero in it
        pass
    raise NotFound("There is nothing at this address.")

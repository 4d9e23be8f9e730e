"""The line between a phone and the service, which a test can cut."""

import re

from playwright.sync_api import Page, Route

_PIECE = re.compile(r"/api/v1/uploads/[^/?]+$")


class Line:
    """Lets ``pieces`` of an upload through, then nothing of it until mended.

    ``offsets`` are the places (bytes) at which pieces began, in the order they were sent.
    """

    def __init__(self, page: Page, *, pieces: int) -> None:
        self._left = pieces
        self._whole = False
        self.offsets: list[int] = []
        self.broken = 0
        page.route(_PIECE, self._pass)

    def let(self, pieces: int) -> None:
        """So many pieces more get through before it breaks again."""
        self._left = pieces

    def mend(self) -> None:
        """From now on everything gets through."""
        self._whole = True

    def _pass(self, route: Route) -> None:
        is_piece = route.request.method == "PATCH"
        if not self._whole and self._left == 0:
            self.broken += 1
            route.abort("connectionreset")
            return
        if is_piece:
            self._left -= 1
            self.offsets.append(int(route.request.headers["upload-offset"]))
        route.continue_()

"""ETag and If-Match on drafts (RFC 9110, sections 8.8.3 and 13.1.1)."""

import re
from typing import Annotated

from fastapi import Depends, Header

from api.domain.errors import PreconditionMissing

_TAG = re.compile(r'"(\d{1,9})"')


def etag(version: int) -> str:
    """A strong tag: the version counts every change of the draft."""
    return f'"{version}"'


def versions_named(
    if_match: Annotated[
        str | None,
        Header(
            alias="If-Match",
            description="The ETag of the draft this change was made from.",
            examples=['"7"'],
        ),
    ] = None,
) -> list[int] | None:
    """The versions that If-Match allows; None for ``*``, whichever it is.

    Raises ``PreconditionMissing`` without the header. A tag that is not ours matches nothing.
    """
    if if_match is None or not if_match.strip():
        raise PreconditionMissing(
            "Send If-Match with the ETag of the draft you changed, so that no other tab's work is "
            "overwritten."
        )
    if if_match.strip() == "*":
        return None
    tags = (tag.strip() for tag in if_match.split(","))
    return [int(match[1]) for tag in tags if (match := _TAG.fullmatch(tag))]


MadeFrom = Annotated[list[int] | None, Depends(versions_named)]

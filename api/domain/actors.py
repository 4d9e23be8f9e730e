"""Who is asking: one membership of one academy, perhaps narrowed to the scopes of a token."""

from dataclasses import dataclass
from enum import StrEnum
from uuid import UUID

from api.domain.names import Role


class Scope(StrEnum):
    """What a program's token may be used for. A page's session is not narrowed."""

    CLIPS_READ = "clips:read"
    CLIPS_WRITE = "clips:write"
    REVIEWS_READ = "reviews:read"
    REVIEWS_WRITE = "reviews:write"
    PEOPLE_READ = "people:read"
    PEOPLE_WRITE = "people:write"


SCOPES_OF_ROLE: dict[Role, frozenset[Scope]] = {
    Role.STUDENT: frozenset({Scope.CLIPS_READ, Scope.CLIPS_WRITE}),
    Role.COACH: frozenset(
        {Scope.CLIPS_READ, Scope.REVIEWS_READ, Scope.REVIEWS_WRITE, Scope.PEOPLE_READ}
    ),
    Role.ADMIN: frozenset(
        {Scope.CLIPS_READ, Scope.REVIEWS_READ, Scope.PEOPLE_READ, Scope.PEOPLE_WRITE}
    ),
    Role.GUARDIAN: frozenset({Scope.CLIPS_READ, Scope.CLIPS_WRITE}),
}
"""A token with a scope its owner's role cannot use would only mislead: it is refused when made."""


@dataclass(frozen=True, slots=True)
class Actor:
    """The membership a request acts in. ``scopes`` is None for a signed-in browser: all of them.

    ``session_id`` is the browser's session, None for a token.
    """

    membership_id: UUID
    academy_id: UUID
    person_id: UUID
    role: Role
    scopes: frozenset[Scope] | None = None
    session_id: UUID | None = None

    def may_use(self, scope: Scope | None) -> bool:
        """Whether this caller's token reaches as far as ``scope``.

        A route that names no scope (None) is for signed-in people only.
        """
        if self.scopes is None:
            return True
        return scope is not None and scope in self.scopes

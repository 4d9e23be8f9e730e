"""Everything that is stored about one place at an academy, found along the foreign keys.

Copies and erasures both read this one table of whose each row is: a new table that points to people is named
here, or a test fails.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from uuid import UUID

from sqlalchemy import Table, delete, select
from sqlalchemy.orm import Session

from api.db.base import Base

THEIRS = frozenset(
    {
        ("api_tokens", "membership_id"),
        ("data_exports", "about_id"),
        ("drill_assignments", "student_id"),
        ("idempotency_keys", "membership_id"),
        ("mails", "about_id"),
        ("mails", "to_id"),
        ("notice_choices", "membership_id"),
        ("practice_days", "student_id"),
        ("push_messages", "child_id"),
        ("push_subscriptions", "membership_id"),
        ("queue_views", "membership_id"),
        ("sign_in_sessions", "membership_id"),
        ("student_bands", "student_id"),
        ("student_profiles", "membership_id"),
        ("submissions", "student_id"),
        ("uploads", "owner_id"),
    }
)
"""References to a membership whose rows are that person's own, with everything that hangs on them."""

OF_THE_PERSON = frozenset(
    {
        ("clubs", "person_id"),
        ("sign_in_links", "person_id"),
        ("sign_in_sessions", "person_id"),
    }
)
"""References to a person whose rows go with their last place anywhere."""

KEPT = frozenset(
    {
        # Proof of what was agreed to, and that it was erased: without a name or an address.
        ("consents", "given_by"),
        ("consents", "student_id"),
        ("consents", "withdrawn_by"),
        ("erasures", "about_id"),
        ("erasures", "asked_by"),
        ("guardianships", "child_id"),
        ("guardianships", "guardian_id"),
        ("guardianships", "named_by"),
        ("memberships", "person_id"),
        # What somebody did: the row is another's, or the academy's.
        ("answers", "sent_by"),
        ("audit_events", "actor_id"),
        ("consent_texts", "made_by"),
        ("data_exports", "asked_by"),
        ("invitations", "invited_by"),
        ("marks", "made_by"),
        ("overlay_points", "made_by"),
        ("phrases", "made_by"),
        ("phrases", "owner_id"),
        ("questions", "replied_by"),
        ("readings", "made_by"),
        ("refilm_requests", "asked_by"),
        ("reviews", "asked_by"),
        ("reviews", "asked_of"),
        ("reviews", "claimed_by"),
        ("reviews", "drafted_by"),
        ("student_bands", "made_by"),
    }
)
"""References that stay: they lead to a place that nobody's name is at any more."""

Rows = dict[str, set[UUID]]
_IDS_AT_ONCE = 500
"""Databases limit how many values one question may hold."""


def table_of(name: str) -> Table:
    """A table by name."""
    return Base.metadata.tables[name]


def references_to(name: str) -> list[tuple[str, str]]:
    """Every column that refers to a table, as (table, column)."""
    return [
        (table.name, key.parent.name)
        for table in Base.metadata.tables.values()
        for key in table.foreign_keys
        if key.column.table.name == name
    ]


def rows_of_place(session: Session, membership_id: UUID) -> Rows:
    """Ids of all rows that belong to a membership, and of all that hang on those, by table."""
    found: Rows = defaultdict(set)
    for table, column in sorted(THEIRS):
        _add(session, found, table, column, {membership_id})
    return found


def rows_of_person(session: Session, person_id: UUID) -> Rows:
    """Ids of the rows that a person has whatever the academy."""
    found: Rows = defaultdict(set)
    for table, column in sorted(OF_THE_PERSON):
        _add(session, found, table, column, {person_id})
    return found


def _add(session: Session, found: Rows, name: str, column: str, ids: Collection[UUID]) -> None:
    table = table_of(name)
    new: set[UUID] = set()
    for some in _portions(ids):
        new |= set(session.scalars(select(table.c.id).where(table.c[column].in_(some))))
    new -= found[name]
    if not new:
        return
    found[name] |= new
    for further, by in references_to(name):
        _add(session, found, further, by, new)


def _portions(ids: Iterable[UUID]) -> Iterable[list[UUID]]:
    ordered = sorted(ids)
    for start in range(0, len(ordered), _IDS_AT_ONCE):
        yield ordered[start : start + _IDS_AT_ONCE]


def delete_rows(session: Session, rows: Rows) -> int:
    """Delete them, what refers before what is referred to; returns how many were there.

    Within a table the newest first: a row that refers to one of its own kind is younger than that one.
    """
    gone = 0
    for table in reversed(Base.metadata.sorted_tables):
        for some in reversed(list(_portions(rows.get(table.name, ())))):
            deleted = session.execute(
                delete(table).where(table.c.id.in_(some)).returning(table.c.id)
            )
            gone += len(deleted.all())
    return gone

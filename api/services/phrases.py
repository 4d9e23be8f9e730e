"""Phrases that coaches keep for their answers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from sqlalchemy.orm import Session

from api.db import phrases as phrases_db
from api.db.audit import record
from api.db.models import Phrase
from api.domain.actors import Actor
from api.domain.errors import Invalid, Stale
from api.domain.phrases import check_body, check_room


@dataclass(frozen=True, slots=True)
class PhraseWords:
    """What a phrase says. ``shared``: every coach of the academy has it, and may change it."""

    name: str
    body: str
    shared: bool


def list_phrases(session: Session, actor: Actor) -> Sequence[Phrase]:
    """One's own, then the academy's."""
    return phrases_db.phrases_of(session, actor)


def add_phrase(session: Session, actor: Actor, words: PhraseWords) -> Phrase:
    """Keep a phrase. Raises ``Invalid`` for a field that nothing fills, ``Conflict`` where the shelf is full."""
    check_body(words.body)
    check_room(phrases_db.count_on_shelf(session, actor, shared=words.shared))
    row = Phrase(
        academy_id=actor.academy_id,
        owner_id=None if words.shared else actor.membership_id,
        name=words.name,
        body=words.body,
        made_by=actor.membership_id,
    )
    session.add(row)
    session.flush()
    record(session, "phrase.added", "phrase", row.id, actor=actor, after={"shared": words.shared})
    return row


def change_phrase(
    session: Session,
    actor: Actor,
    phrase_id: UUID,
    versions: Sequence[int] | None,
    words: PhraseWords,
) -> Phrase:
    """Put other words in a phrase's place. Raises ``Stale`` when another coach did so meanwhile."""
    check_body(words.body)
    row = phrases_db.phrase_for(session, actor, phrase_id)
    if words.shared != (row.owner_id is None):
        if row.owner_id is None and row.made_by != actor.membership_id:
            raise Invalid("Only the coach who made this phrase can take it back from the academy.")
        check_room(phrases_db.count_on_shelf(session, actor, shared=words.shared))
    seen = [row.version] if versions is None else versions
    if not phrases_db.hold_phrase(session, phrase_id, seen):
        raise Stale(
            "This phrase was changed meanwhile. Nothing was overwritten: load it again.",
            details={"version": row.version},
        )
    row = phrases_db.phrase_for(session, actor, phrase_id)
    before = {"name": row.name, "body": row.body, "shared": row.owner_id is None}
    row.name, row.body = words.name, words.body
    row.owner_id = None if words.shared else actor.membership_id
    session.flush()
    record(session, "phrase.changed", "phrase", row.id, actor=actor, before=before)
    return row


def remove_phrase(session: Session, actor: Actor, phrase_id: UUID, now: datetime) -> None:
    """Take a phrase away. Answers that used it keep their words."""
    row = phrases_db.phrase_for(session, actor, phrase_id)
    if phrases_db.retire_phrase(session, row.id, now):
        record(session, "phrase.removed", "phrase", row.id, actor=actor)

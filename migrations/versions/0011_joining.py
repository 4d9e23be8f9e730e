"""Joining: what students tell, guardians, consents and their texts, copies and erasures of data.

Revision ID: 0011
Revises: 0010
"""

import hashlib
import uuid
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")
_THREE = "role IN ('student', 'coach', 'admin')"
_FOUR = "role IN ('student', 'coach', 'admin', 'guardian')"
_NOT_ENDED = sa.text("ended_at IS NULL")
_UNDER_WAY = sa.text("done_at IS NULL AND called_back_at IS NULL")
_TABLES = (
    "student_profiles",
    "guardianships",
    "consent_texts",
    "consents",
    "data_exports",
    "erasures",
)

# The first version of each text, word for word as it was agreed to: never edited. A new one is a new row.
_FOR_ADULTS = """\
What we ask you to agree to

Your academy coaches you with the help of short films of your swing. For that it keeps and uses the following.

What is kept. Your name and mail address; what you tell about yourself here (side, stature, clubs, aims, what a coach should know); the films you send, with their sound; the pictures, points and numbers that a computer makes of them; what your coach writes to you.

What for. To measure your swing and to answer you. For nothing else: not for advertising, not for teaching others, not to train any software. Each of those would need a yes of its own.

Who sees it. You, and the coaches of your academy. The office sees that you sent something and when, not the films. Nobody outside the academy, and no other student. A link to a film works for a short while only.

How long. Until you have it erased, or the academy does because you have left.

Your rights. You can ask for a copy of everything, correct what you told, and have everything erased, all on the page About me. You can withdraw this consent there at any time, without a reason. Then nothing more is measured or shown to a coach; what was done before stays lawful.

Safety. Film where nobody can be hit. A film and a number are no medical advice: with pain or dizziness, stop and see somebody qualified."""

_FOR_GUARDIANS = """\
What we ask you to agree to, for your child

Your child's academy coaches with the help of short films of the swing. A child's films are taken only with the consent of somebody who may give it: a parent or another legal guardian. By agreeing you say that you are that.

What is kept. Your child's name, mail address and date of birth; what the child tells here (side, stature, clubs, aims, what a coach should know); the films that are sent, with their sound; the pictures, points and numbers that a computer makes of them; what a coach writes. Of you: your name, your mail address, what you agreed to and when.

What for. To measure the swing and to answer the child. For nothing else: not for advertising, not for teaching others, not to train any software. Each of those would need a yes of its own.

Who sees it. Your child, you, and the coaches of the academy. The office sees that something was sent and when, not the films. Nobody outside the academy, and no other student. A link to a film works for a short while only.

You read along. You see every film and every answer. You get a mail whenever a coach writes to your child. There is no private channel between a coach and a child here, and coaches are not to call or meet a child in private.

Please. Be there when your child films. Suitable clothes, nobody else in the picture, no names on it, room all around.

How long. Until you or your child have it erased, or the academy does because the child has left.

Your rights. You can ask for a copy of everything, have it corrected, and have it erased. You can withdraw this consent at any time, without a reason. Then nothing more is measured or shown to a coach, and answers that are being written are given up; what was done before stays lawful. When your child comes of age, this consent ends and the child decides.

If something worries you, turn to the academy's contact for the safety of children, whose name is on your page, or to the authorities where you live."""


def upgrade() -> None:
    _set_roles(_FOUR, _THREE)
    _widen_academies_and_mails()
    _make_profiles()
    _make_guardianships()
    _make_consents()
    _make_copies_and_erasures()
    _write_first_texts()
    _keep_texts()


def _set_roles(new: str, old: str) -> None:
    """Other roles may be stored. SQLite cannot change a check and has a way for it: the schema's own text."""
    connection = op.get_bind()
    if connection.dialect.name == "postgresql":
        op.execute("ALTER TABLE memberships DROP CONSTRAINT ck_memberships_role")
        op.execute(f"ALTER TABLE memberships ADD CONSTRAINT ck_memberships_role CHECK ({new})")
        return
    # https://www.sqlite.org/lang_altertable.html, "changes that do not affect the on-disk content".
    # Making the table anew would mean to drop one that half of the database refers to.
    version = connection.exec_driver_sql("PRAGMA schema_version").scalar_one()
    connection.exec_driver_sql("PRAGMA writable_schema = ON")
    changed = connection.exec_driver_sql(
        "UPDATE sqlite_master SET sql = replace(sql, ?, ?) "
        "WHERE type = 'table' AND name = 'memberships' AND instr(sql, ?) > 0",
        (old, new, old),
    )
    if changed.rowcount != 1:
        raise RuntimeError("The table memberships has no such check.")
    connection.exec_driver_sql(f"PRAGMA schema_version = {version + 1}")
    connection.exec_driver_sql("PRAGMA writable_schema = OFF")


def _widen_academies_and_mails() -> None:
    op.execute(
        "ALTER TABLE academies ADD COLUMN age_limit INTEGER DEFAULT 18 NOT NULL "
        "CONSTRAINT ck_academies_age_limit CHECK (age_limit BETWEEN 13 AND 21)"
    )
    for name in ("safeguarding_name", "safeguarding_contact"):
        op.add_column("academies", sa.Column(name, sa.String(), nullable=False, server_default=""))
    kind = "UUID" if op.get_bind().dialect.name == "postgresql" else "CHAR(32)"
    op.execute(
        f"ALTER TABLE mails ADD COLUMN about_id {kind} "
        "CONSTRAINT fk_mails_about_id_memberships REFERENCES memberships (id)"
    )
    op.create_index(op.f("ix_mails_about_id"), "mails", ["about_id"])


def _reference(table: str, column: str, other: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint([column], [f"{other}.id"], name=f"fk_{table}_{column}_{other}")


def _id(table: str) -> tuple[sa.Column[uuid.UUID], sa.PrimaryKeyConstraint]:
    return (
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f(f"pk_{table}")),
    )


def _check(table: str, name: str, condition: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(condition, name=op.f(f"ck_{table}_{name}"))


def _make_profiles() -> None:
    table = "student_profiles"
    op.create_table(
        table,
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("born_on", sa.Date(), nullable=True),
        sa.Column("said_adult_at", _TIME, nullable=True),
        sa.Column("called_child_at", _TIME, nullable=True),
        sa.Column("child", sa.Boolean(), nullable=False),
        sa.Column("stature_band", sa.String(), nullable=True),
        sa.Column("aims", sa.String(), nullable=False),
        sa.Column("to_know", sa.String(), nullable=False),
        sa.Column("time_zone", sa.String(), nullable=True),
        sa.Column("seen_steps", _JSON, nullable=False),
        sa.Column("stopped_at", _TIME, nullable=True),
        sa.Column("stopped_because", sa.String(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        *_id(table),
        _check(
            table, "stature_band", "stature_band IN ('under_150', '150_165', '165_180', 'over_180')"
        ),
        _check(table, "stopped_says_why", "(stopped_at IS NULL) = (stopped_because = '')"),
        _check(table, "stopped_because", "stopped_because IN ('', 'consent', 'erasure')"),
        _reference(table, "membership_id", "memberships"),
        sa.UniqueConstraint("membership_id", name=op.f(f"uq_{table}_membership_id")),
    )


def _make_guardianships() -> None:
    table = "guardianships"
    op.create_table(
        table,
        sa.Column("child_id", sa.Uuid(), nullable=False),
        sa.Column("guardian_id", sa.Uuid(), nullable=True),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("named_by", sa.Uuid(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=True),
        sa.Column("expires_at", _TIME, nullable=True),
        sa.Column("accepted_at", _TIME, nullable=True),
        sa.Column("ended_at", _TIME, nullable=True),
        sa.Column("created_at", _TIME, nullable=False),
        *_id(table),
        _check(table, "email_lower", "email = lower(email)"),
        _check(table, "accepted_by", "(guardian_id IS NULL) = (accepted_at IS NULL)"),
        *(_reference(table, name, "memberships") for name in ("child_id", "guardian_id")),
        _reference(table, "named_by", "memberships"),
        sa.UniqueConstraint("token_sha256", name=op.f(f"uq_{table}_token_sha256")),
    )
    for name in ("child_id", "guardian_id"):
        op.create_index(op.f(f"ix_{table}_{name}"), table, [name])
    op.create_index(
        f"uq_{table}_current",
        table,
        ["child_id"],
        unique=True,
        sqlite_where=_NOT_ENDED,
        postgresql_where=_NOT_ENDED,
    )


def _make_consents() -> None:
    op.create_table(
        "consent_texts",
        sa.Column("academy_id", sa.Uuid(), nullable=True),
        sa.Column("audience", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("locale", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("asks_again", sa.Boolean(), nullable=False),
        sa.Column("valid_from", _TIME, nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=True),
        sa.Column("created_at", _TIME, nullable=False),
        *_id("consent_texts"),
        _check("consent_texts", "audience", "audience IN ('adult', 'guardian')"),
        _check("consent_texts", "version_positive", "version > 0"),
        _reference("consent_texts", "academy_id", "academies"),
        _reference("consent_texts", "made_by", "memberships"),
    )
    op.create_index(
        "uq_consent_texts_version",
        "consent_texts",
        ["academy_id", "audience", "version", "locale"],
        unique=True,
    )
    op.create_table(
        "consents",
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("given_by", sa.Uuid(), nullable=False),
        sa.Column("guardianship_id", sa.Uuid(), nullable=True),
        sa.Column("text_id", sa.Uuid(), nullable=False),
        sa.Column("decision", sa.String(), nullable=False),
        sa.Column("decided_at", _TIME, nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("withdrawn_at", _TIME, nullable=True),
        sa.Column("withdrawn_by", sa.Uuid(), nullable=True),
        *_id("consents"),
        _check("consents", "decision", "decision IN ('given', 'refused')"),
        _check("consents", "withdrawn_by", "(withdrawn_at IS NULL) = (withdrawn_by IS NULL)"),
        _check("consents", "only_given_is_withdrawn", "withdrawn_at IS NULL OR decision = 'given'"),
        *(
            _reference("consents", name, "memberships")
            for name in ("student_id", "given_by", "withdrawn_by")
        ),
        _reference("consents", "guardianship_id", "guardianships"),
        _reference("consents", "text_id", "consent_texts"),
    )
    op.create_index(op.f("ix_consents_student_id"), "consents", ["student_id"])


def _make_copies_and_erasures() -> None:
    op.create_table(
        "data_exports",
        sa.Column("about_id", sa.Uuid(), nullable=False),
        sa.Column("asked_by", sa.Uuid(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("ready_at", _TIME, nullable=True),
        sa.Column("expires_at", _TIME, nullable=True),
        sa.Column("bytes", sa.BigInteger(), nullable=True),
        sa.Column("created_at", _TIME, nullable=False),
        *_id("data_exports"),
        _check("data_exports", "state", "state IN ('asked', 'ready', 'failed', 'gone')"),
        _check("data_exports", "ready_expires", "state <> 'ready' OR expires_at IS NOT NULL"),
        *(_reference("data_exports", name, "memberships") for name in ("about_id", "asked_by")),
    )
    op.create_index(op.f("ix_data_exports_about_id"), "data_exports", ["about_id"])
    op.create_table(
        "erasures",
        sa.Column("about_id", sa.Uuid(), nullable=False),
        sa.Column("asked_by", sa.Uuid(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=True),
        sa.Column("link_expires_at", _TIME, nullable=False),
        sa.Column("confirmed_at", _TIME, nullable=True),
        sa.Column("due_at", _TIME, nullable=True),
        sa.Column("called_back_at", _TIME, nullable=True),
        sa.Column("done_at", _TIME, nullable=True),
        sa.Column("created_at", _TIME, nullable=False),
        *_id("erasures"),
        _check("erasures", "confirmed_is_due", "(confirmed_at IS NULL) = (due_at IS NULL)"),
        _check("erasures", "done_was_confirmed", "done_at IS NULL OR confirmed_at IS NOT NULL"),
        *(_reference("erasures", name, "memberships") for name in ("about_id", "asked_by")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_erasures_token_sha256")),
    )
    op.create_index(op.f("ix_erasures_about_id"), "erasures", ["about_id"])
    op.create_index(
        "uq_erasures_under_way",
        "erasures",
        ["about_id"],
        unique=True,
        sqlite_where=_UNDER_WAY,
        postgresql_where=_UNDER_WAY,
    )


def _write_first_texts() -> None:
    texts = sa.table(
        "consent_texts",
        sa.column("id", sa.Uuid()),
        sa.column("audience", sa.String()),
        sa.column("version", sa.Integer()),
        sa.column("locale", sa.String()),
        sa.column("body", sa.String()),
        sa.column("sha256", sa.String()),
        sa.column("asks_again", sa.Boolean()),
        sa.column("valid_from", _TIME),
        sa.column("created_at", _TIME),
    )
    since = datetime(2026, 11, 30, tzinfo=UTC)
    op.bulk_insert(
        texts,
        [
            {
                "id": uuid.UUID(int=0x0193_0000_0000_7000_8000_0000_0000_0000 + number),
                "audience": audience,
                "version": 1,
                "locale": "en",
                "body": body,
                "sha256": hashlib.sha256(body.encode()).hexdigest(),
                "asks_again": True,
                "valid_from": since,
                "created_at": since,
            }
            for number, (audience, body) in enumerate(
                (("adult", _FOR_ADULTS), ("guardian", _FOR_GUARDIANS)), start=1
            )
        ],
    )


def _keep_texts() -> None:
    """What somebody agreed to is never another text afterwards."""
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            """
            CREATE FUNCTION refuse_change_of_consent_texts() RETURNS trigger LANGUAGE plpgsql AS $$
            BEGIN
                RAISE EXCEPTION 'consent texts are never changed' USING ERRCODE = 'restrict_violation';
            END $$
            """
        )
        op.execute(
            "CREATE TRIGGER consent_texts_kept BEFORE UPDATE OR DELETE OR TRUNCATE ON consent_texts "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change_of_consent_texts()"
        )
        return
    for act in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER consent_texts_no_{act.lower()} BEFORE {act} ON consent_texts "
            "BEGIN SELECT RAISE(ABORT, 'consent texts are never changed'); END"
        )


def downgrade() -> None:
    # Who was a guardian has no role any more: the place stays, closed, since acts name it.
    op.execute(
        "UPDATE memberships SET deactivated_at = coalesce(deactivated_at, created_at), role = 'student' "
        "WHERE role = 'guardian'"
    )
    for table in reversed(_TABLES):
        op.drop_table(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_change_of_consent_texts()")
    op.drop_index(op.f("ix_mails_about_id"), "mails")
    op.drop_column("mails", "about_id")
    for name in ("safeguarding_contact", "safeguarding_name", "age_limit"):
        op.drop_column("academies", name)
    _set_roles(_THREE, _FOUR)

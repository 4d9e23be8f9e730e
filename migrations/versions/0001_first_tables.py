"""First tables.

Partial unique indexes hold the promises (one open review, one current clip a view, one standing
answer); triggers keep ``audit_events`` append-only.

Revision ID: 0001
Revises:
"""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON().with_variant(postgresql.JSONB(), "postgresql")

_TABLES = (
    "academies",
    "people",
    "clubs",
    "memberships",
    "invitations",
    "sign_in_links",
    "sign_in_sessions",
    "api_tokens",
    "submissions",
    "uploads",
    "clips",
    "analyses",
    "reviews",
    "marks",
    "overlay_points",
    "answers",
    "drill_assignments",
    "readings",
    "jobs",
    "mails",
    "audit_events",
    "idempotency_keys",
)

_APPEND_ONLY = "audit events are append-only"

_SQLITE_TRIGGERS = tuple(
    f"CREATE TRIGGER audit_events_no_{act.lower()} BEFORE {act} ON audit_events "
    f"BEGIN SELECT RAISE(ABORT, '{_APPEND_ONLY}'); END"
    for act in ("UPDATE", "DELETE")
)

_POSTGRESQL_TRIGGERS = (
    f"""
    CREATE FUNCTION refuse_change_of_audit_events() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        RAISE EXCEPTION '{_APPEND_ONLY}' USING ERRCODE = 'restrict_violation';
    END $$
    """,
    """
    CREATE TRIGGER audit_events_append_only BEFORE UPDATE OR DELETE OR TRUNCATE ON audit_events
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change_of_audit_events()
    """,
)


def upgrade() -> None:
    _make_people()
    _make_submissions()
    _make_reviews()
    _make_work_and_records()
    _keep_audit_events()


def downgrade() -> None:
    # Indexes and triggers go with their tables.
    for table in reversed(_TABLES):
        op.drop_table(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION refuse_change_of_audit_events()")


def _keep_audit_events() -> None:
    on_postgresql = op.get_bind().dialect.name == "postgresql"
    for statement in _POSTGRESQL_TRIGGERS if on_postgresql else _SQLITE_TRIGGERS:
        op.execute(statement)


def _make_people() -> None:
    """Academies, people, and how they get in."""
    op.create_table(
        "academies",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("time_zone", sa.String(), nullable=False),
        sa.Column("promise_hours", sa.Integer(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint("promise_hours > 0", name=op.f("ck_academies_promise_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_academies")),
    )
    op.create_table(
        "people",
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("handed", sa.String(), nullable=False),
        sa.Column("stature_m", sa.Double(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint("handed IN ('right', 'left')", name=op.f("ck_people_handed")),
        sa.CheckConstraint("email = lower(email)", name=op.f("ck_people_email_lower")),
        sa.CheckConstraint(
            "stature_m IS NULL OR stature_m BETWEEN 0.8 AND 2.5", name=op.f("ck_people_stature")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("email", name=op.f("uq_people_email")),
    )
    op.create_table(
        "clubs",
        sa.Column("person_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("length_m", sa.Double(), nullable=False),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint("length_m BETWEEN 0.457 AND 1.22", name=op.f("ck_clubs_length")),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_clubs_person_id_people")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clubs")),
    )
    op.create_index(op.f("ix_clubs_person_id"), "clubs", ["person_id"], unique=False)
    op.create_table(
        "memberships",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("person_id", sa.Uuid(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("deactivated_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "role IN ('student', 'coach', 'admin')", name=op.f("ck_memberships_role")
        ),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_memberships_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_memberships_person_id_people")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_memberships")),
        sa.UniqueConstraint(
            "academy_id", "person_id", "role", name=op.f("uq_memberships_academy_id_person_id_role")
        ),
    )
    op.create_index(op.f("ix_memberships_academy_id"), "memberships", ["academy_id"], unique=False)
    op.create_index(op.f("ix_memberships_person_id"), "memberships", ["person_id"], unique=False)
    op.create_table(
        "invitations",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("invited_by", sa.Uuid(), nullable=True),
        sa.Column("expires_at", _TIME, nullable=False),
        sa.Column("accepted_at", _TIME, nullable=True),
        sa.Column("revoked_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "role IN ('student', 'coach', 'admin')", name=op.f("ck_invitations_role")
        ),
        sa.CheckConstraint("email = lower(email)", name=op.f("ck_invitations_email_lower")),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_invitations_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["invited_by"], ["memberships.id"], name=op.f("fk_invitations_invited_by_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitations")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_invitations_token_sha256")),
    )
    op.create_index(op.f("ix_invitations_academy_id"), "invitations", ["academy_id"], unique=False)
    op.create_index(
        "uq_invitations_open",
        "invitations",
        ["academy_id", "email", "role"],
        unique=True,
        sqlite_where=sa.text("accepted_at IS NULL AND revoked_at IS NULL"),
        postgresql_where=sa.text("accepted_at IS NULL AND revoked_at IS NULL"),
    )
    op.create_table(
        "sign_in_links",
        sa.Column("person_id", sa.Uuid(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("expires_at", _TIME, nullable=False),
        sa.Column("used_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_sign_in_links_person_id_people")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_links")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_sign_in_links_token_sha256")),
    )
    op.create_index(
        op.f("ix_sign_in_links_person_id"), "sign_in_links", ["person_id"], unique=False
    )
    op.create_table(
        "sign_in_sessions",
        sa.Column("person_id", sa.Uuid(), nullable=False),
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("csrf_token", sa.String(), nullable=False),
        sa.Column("expires_at", _TIME, nullable=False),
        sa.Column("ended_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name=op.f("fk_sign_in_sessions_membership_id_memberships"),
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["people.id"], name=op.f("fk_sign_in_sessions_person_id_people")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_sessions")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_sign_in_sessions_token_sha256")),
    )
    op.create_index(
        op.f("ix_sign_in_sessions_membership_id"),
        "sign_in_sessions",
        ["membership_id"],
        unique=False,
    )
    op.create_index(
        op.f("ix_sign_in_sessions_person_id"), "sign_in_sessions", ["person_id"], unique=False
    )
    op.create_table(
        "api_tokens",
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("token_sha256", sa.String(), nullable=False),
        sa.Column("scopes", _JSON, nullable=False),
        sa.Column("expires_at", _TIME, nullable=True),
        sa.Column("revoked_at", _TIME, nullable=True),
        sa.Column("last_used_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name=op.f("fk_api_tokens_membership_id_memberships"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_tokens")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_api_tokens_token_sha256")),
    )
    op.create_index(
        op.f("ix_api_tokens_membership_id"), "api_tokens", ["membership_id"], unique=False
    )


def _make_submissions() -> None:
    """What a student sends and what the machine makes of it."""
    op.create_table(
        "submissions",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("club_name", sa.String(), nullable=True),
        sa.Column("club_length_m", sa.Double(), nullable=True),
        sa.Column("purpose", sa.String(), nullable=False),
        sa.Column("with_ball", sa.Boolean(), nullable=False),
        sa.Column("handed", sa.String(), nullable=False),
        sa.Column("stature_m", sa.Double(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("state_reason", sa.String(), nullable=False),
        sa.Column("received_at", _TIME, nullable=True),
        sa.Column("due_at", _TIME, nullable=True),
        sa.Column("refilm_asked_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint("handed IN ('right', 'left')", name=op.f("ck_submissions_handed")),
        sa.CheckConstraint(
            "purpose IN ('full', 'rehearsal', 'pause', 'slow')", name=op.f("ck_submissions_purpose")
        ),
        sa.CheckConstraint(
            "state IN ('receiving', 'analysing', 'waiting', 'with_coach', 'answered', 'refilm_asked', 'withdrawn', 'unreadable')",
            name=op.f("ck_submissions_state"),
        ),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_submissions_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["student_id"], ["memberships.id"], name=op.f("fk_submissions_student_id_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_submissions")),
    )
    op.create_index(
        "ix_submissions_academy_state",
        "submissions",
        ["academy_id", "state", "created_at"],
        unique=False,
    )
    op.create_index(op.f("ix_submissions_student_id"), "submissions", ["student_id"], unique=False)
    op.create_table(
        "uploads",
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("owner_id", sa.Uuid(), nullable=False),
        sa.Column("view", sa.String(), nullable=False),
        sa.Column("filename", sa.String(), nullable=False),
        sa.Column("metadata_header", sa.String(), nullable=False),
        sa.Column("length", sa.BigInteger(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("expires_at", _TIME, nullable=False),
        sa.Column("heard_at", _TIME, nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "state IN ('receiving', 'complete', 'expired', 'cancelled')",
            name=op.f("ck_uploads_state"),
        ),
        sa.CheckConstraint("view IN ('face-on', 'down-the-line')", name=op.f("ck_uploads_view")),
        sa.CheckConstraint("length >= 0", name=op.f("ck_uploads_length")),
        sa.ForeignKeyConstraint(
            ["owner_id"], ["memberships.id"], name=op.f("fk_uploads_owner_id_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name=op.f("fk_uploads_submission_id_submissions")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_uploads")),
    )
    op.create_index(op.f("ix_uploads_owner_id"), "uploads", ["owner_id"], unique=False)
    op.create_index(op.f("ix_uploads_submission_id"), "uploads", ["submission_id"], unique=False)
    op.create_table(
        "clips",
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("upload_id", sa.Uuid(), nullable=False),
        sa.Column("view", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("bytes", sa.BigInteger(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("filename", sa.String(), nullable=False),
        sa.Column("refusal_code", sa.String(), nullable=True),
        sa.Column("refusal_message", sa.String(), nullable=True),
        sa.Column("progress_stage", sa.String(), nullable=True),
        sa.Column("progress_share", sa.Double(), nullable=True),
        sa.Column("received_at", _TIME, nullable=False),
        sa.Column("replaced_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.CheckConstraint(
            "state IN ('received', 'measured', 'refused', 'failed')", name=op.f("ck_clips_state")
        ),
        sa.CheckConstraint("view IN ('face-on', 'down-the-line')", name=op.f("ck_clips_view")),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name=op.f("fk_clips_submission_id_submissions")
        ),
        sa.ForeignKeyConstraint(
            ["upload_id"], ["uploads.id"], name=op.f("fk_clips_upload_id_uploads")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clips")),
        sa.UniqueConstraint("upload_id", name=op.f("uq_clips_upload_id")),
    )
    op.create_index(op.f("ix_clips_submission_id"), "clips", ["submission_id"], unique=False)
    op.create_index(
        "uq_clips_current_view",
        "clips",
        ["submission_id", "view"],
        unique=True,
        sqlite_where=sa.text("replaced_at IS NULL"),
        postgresql_where=sa.text("replaced_at IS NULL"),
    )
    op.create_table(
        "analyses",
        sa.Column("clip_id", sa.Uuid(), nullable=False),
        sa.Column("pipeline_version", sa.String(), nullable=False),
        sa.Column("measurement", _JSON, nullable=False),
        sa.Column("frames", sa.Integer(), nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_analyses_clip_id_clips")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_analyses")),
        sa.UniqueConstraint(
            "clip_id", "pipeline_version", name=op.f("uq_analyses_clip_id_pipeline_version")
        ),
    )


def _make_reviews() -> None:
    """The coach's side."""
    op.create_table(
        "reviews",
        sa.Column("academy_id", sa.Uuid(), nullable=False),
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("due_at", _TIME, nullable=False),
        sa.Column("claimed_by", sa.Uuid(), nullable=True),
        sa.Column("lease_ends_at", _TIME, nullable=True),
        sa.Column("draft_text", sa.String(), nullable=False),
        sa.Column("draft_drills", _JSON, nullable=False),
        sa.Column("answered_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "(state = 'claimed') = (lease_ends_at IS NOT NULL)",
            name=op.f("ck_reviews_claim_has_lease"),
        ),
        sa.CheckConstraint(
            "state <> 'claimed' OR claimed_by IS NOT NULL", name=op.f("ck_reviews_claim_has_coach")
        ),
        sa.CheckConstraint(
            "state IN ('waiting', 'claimed', 'answered', 'closed')", name=op.f("ck_reviews_state")
        ),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_reviews_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["claimed_by"], ["memberships.id"], name=op.f("fk_reviews_claimed_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name=op.f("fk_reviews_submission_id_submissions")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reviews")),
    )
    op.create_index("ix_reviews_queue", "reviews", ["academy_id", "state", "due_at"], unique=False)
    op.create_index(op.f("ix_reviews_submission_id"), "reviews", ["submission_id"], unique=False)
    op.create_index(
        "uq_reviews_open",
        "reviews",
        ["submission_id"],
        unique=True,
        sqlite_where=sa.text("state IN ('waiting', 'claimed')"),
        postgresql_where=sa.text("state IN ('waiting', 'claimed')"),
    )
    op.create_table(
        "marks",
        sa.Column("review_id", sa.Uuid(), nullable=False),
        sa.Column("clip_id", sa.Uuid(), nullable=False),
        sa.Column("swing", sa.Integer(), nullable=False),
        sa.Column("keyframe", sa.String(), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("time_s", sa.Double(), nullable=False),
        sa.Column("machine_frame", sa.Integer(), nullable=True),
        sa.Column("made_by", sa.Uuid(), nullable=False),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_marks_clip_id_clips")),
        sa.ForeignKeyConstraint(
            ["made_by"], ["memberships.id"], name=op.f("fk_marks_made_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["review_id"], ["reviews.id"], name=op.f("fk_marks_review_id_reviews")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_marks")),
    )
    op.create_index(op.f("ix_marks_clip_id"), "marks", ["clip_id"], unique=False)
    op.create_index(
        "uq_marks_current",
        "marks",
        ["review_id", "clip_id", "swing", "keyframe"],
        unique=True,
        sqlite_where=sa.text("retired_at IS NULL"),
        postgresql_where=sa.text("retired_at IS NULL"),
    )
    op.create_table(
        "overlay_points",
        sa.Column("review_id", sa.Uuid(), nullable=False),
        sa.Column("clip_id", sa.Uuid(), nullable=False),
        sa.Column("swing", sa.Integer(), nullable=False),
        sa.Column("keyframe", sa.String(), nullable=False),
        sa.Column("frame", sa.Integer(), nullable=False),
        sa.Column("point", sa.String(), nullable=False),
        sa.Column("x", sa.Double(), nullable=False),
        sa.Column("y", sa.Double(), nullable=False),
        sa.Column("machine_x", sa.Double(), nullable=True),
        sa.Column("machine_y", sa.Double(), nullable=True),
        sa.Column("made_by", sa.Uuid(), nullable=False),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["clip_id"], ["clips.id"], name=op.f("fk_overlay_points_clip_id_clips")
        ),
        sa.ForeignKeyConstraint(
            ["made_by"], ["memberships.id"], name=op.f("fk_overlay_points_made_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["review_id"], ["reviews.id"], name=op.f("fk_overlay_points_review_id_reviews")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_overlay_points")),
    )
    op.create_index(op.f("ix_overlay_points_clip_id"), "overlay_points", ["clip_id"], unique=False)
    op.create_index(
        "uq_overlay_points_current",
        "overlay_points",
        ["review_id", "clip_id", "swing", "keyframe", "point"],
        unique=True,
        sqlite_where=sa.text("retired_at IS NULL"),
        postgresql_where=sa.text("retired_at IS NULL"),
    )
    op.create_table(
        "answers",
        sa.Column("review_id", sa.Uuid(), nullable=False),
        sa.Column("submission_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("content", _JSON, nullable=False),
        sa.Column("sent_by", sa.Uuid(), nullable=False),
        sa.Column("sent_at", _TIME, nullable=False),
        sa.Column("recalled_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["review_id"], ["reviews.id"], name=op.f("fk_answers_review_id_reviews")
        ),
        sa.ForeignKeyConstraint(
            ["sent_by"], ["memberships.id"], name=op.f("fk_answers_sent_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["submission_id"], ["submissions.id"], name=op.f("fk_answers_submission_id_submissions")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answers")),
        sa.UniqueConstraint("review_id", "number", name=op.f("uq_answers_review_id_number")),
    )
    op.create_index(op.f("ix_answers_submission_id"), "answers", ["submission_id"], unique=False)
    op.create_index(
        "uq_answers_standing",
        "answers",
        ["review_id"],
        unique=True,
        sqlite_where=sa.text("recalled_at IS NULL"),
        postgresql_where=sa.text("recalled_at IS NULL"),
    )
    op.create_table(
        "drill_assignments",
        sa.Column("answer_id", sa.Uuid(), nullable=False),
        sa.Column("student_id", sa.Uuid(), nullable=False),
        sa.Column("drill", sa.String(), nullable=False),
        sa.Column("dose", _JSON, nullable=False),
        sa.Column("withdrawn_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["answer_id"], ["answers.id"], name=op.f("fk_drill_assignments_answer_id_answers")
        ),
        sa.ForeignKeyConstraint(
            ["student_id"],
            ["memberships.id"],
            name=op.f("fk_drill_assignments_student_id_memberships"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drill_assignments")),
        sa.UniqueConstraint(
            "answer_id", "drill", name=op.f("uq_drill_assignments_answer_id_drill")
        ),
    )
    op.create_index(
        op.f("ix_drill_assignments_student_id"), "drill_assignments", ["student_id"], unique=False
    )
    op.create_table(
        "readings",
        sa.Column("clip_id", sa.Uuid(), nullable=False),
        sa.Column("analysis_id", sa.Uuid(), nullable=False),
        sa.Column("review_id", sa.Uuid(), nullable=True),
        sa.Column("supersedes_id", sa.Uuid(), nullable=True),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("swing", sa.Integer(), nullable=False),
        sa.Column("checkpoint", sa.String(), nullable=False),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("sigma", sa.Double(), nullable=True),
        sa.Column("low", sa.Double(), nullable=True),
        sa.Column("high", sa.Double(), nullable=True),
        sa.Column("unit", sa.String(), nullable=True),
        sa.Column("band", sa.String(), nullable=True),
        sa.Column("missing", sa.String(), nullable=True),
        sa.Column("frame", sa.Integer(), nullable=True),
        sa.Column("points", _JSON, nullable=False),
        sa.Column("inputs", _JSON, nullable=False),
        sa.Column("made_by", sa.Uuid(), nullable=True),
        sa.Column("retired_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "(source = 'coach') = (review_id IS NOT NULL)",
            name=op.f("ck_readings_coach_has_review"),
        ),
        sa.CheckConstraint("source IN ('machine', 'coach')", name=op.f("ck_readings_source")),
        sa.CheckConstraint(
            "(missing IS NULL AND value IS NOT NULL AND sigma IS NOT NULL AND low IS NOT NULL AND high IS NOT NULL) OR (missing IS NOT NULL AND value IS NULL)",
            name=op.f("ck_readings_value_or_reason"),
        ),
        sa.CheckConstraint("sigma IS NULL OR sigma >= 0", name=op.f("ck_readings_sigma")),
        sa.ForeignKeyConstraint(
            ["analysis_id"], ["analyses.id"], name=op.f("fk_readings_analysis_id_analyses")
        ),
        sa.ForeignKeyConstraint(["clip_id"], ["clips.id"], name=op.f("fk_readings_clip_id_clips")),
        sa.ForeignKeyConstraint(
            ["made_by"], ["memberships.id"], name=op.f("fk_readings_made_by_memberships")
        ),
        sa.ForeignKeyConstraint(
            ["review_id"], ["reviews.id"], name=op.f("fk_readings_review_id_reviews")
        ),
        sa.ForeignKeyConstraint(
            ["supersedes_id"], ["readings.id"], name=op.f("fk_readings_supersedes_id_readings")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_readings")),
    )
    op.create_index(op.f("ix_readings_clip_id"), "readings", ["clip_id"], unique=False)
    op.create_index(op.f("ix_readings_review_id"), "readings", ["review_id"], unique=False)
    op.create_index(
        "uq_readings_coach",
        "readings",
        ["review_id", "clip_id", "swing", "checkpoint"],
        unique=True,
        sqlite_where=sa.text("source = 'coach' AND retired_at IS NULL"),
        postgresql_where=sa.text("source = 'coach' AND retired_at IS NULL"),
    )
    op.create_index(
        "uq_readings_machine",
        "readings",
        ["analysis_id", "swing", "checkpoint"],
        unique=True,
        sqlite_where=sa.text("source = 'machine'"),
        postgresql_where=sa.text("source = 'machine'"),
    )


def _make_work_and_records() -> None:
    """Jobs, mails, who did what, and answers kept for repeats."""
    op.create_table(
        "jobs",
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("fence", sa.Integer(), nullable=False),
        sa.Column("lease_ends_at", _TIME, nullable=True),
        sa.Column("worker", sa.String(), nullable=True),
        sa.Column("available_at", _TIME, nullable=False),
        sa.Column("announced_at", _TIME, nullable=True),
        sa.Column("finished_at", _TIME, nullable=True),
        sa.Column("last_error", sa.String(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.CheckConstraint(
            "(state = 'running') = (lease_ends_at IS NOT NULL)", name=op.f("ck_jobs_running_lease")
        ),
        sa.CheckConstraint(
            "state IN ('queued', 'running', 'done', 'refused', 'failed')",
            name=op.f("ck_jobs_state"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        sa.UniqueConstraint("name", "subject_id", name=op.f("uq_jobs_name_subject_id")),
    )
    op.create_index("ix_jobs_due", "jobs", ["state", "available_at"], unique=False)
    op.create_table(
        "mails",
        sa.Column("to_address", sa.String(), nullable=False),
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column("body", sa.String(), nullable=False),
        sa.Column("sent_at", _TIME, nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mails")),
    )
    op.create_index(op.f("ix_mails_to_address"), "mails", ["to_address"], unique=False)
    op.create_table(
        "audit_events",
        sa.Column("at", _TIME, nullable=False),
        sa.Column("academy_id", sa.Uuid(), nullable=True),
        sa.Column("actor_id", sa.Uuid(), nullable=True),
        sa.Column("act", sa.String(), nullable=False),
        sa.Column("subject_type", sa.String(), nullable=False),
        sa.Column("subject_id", sa.Uuid(), nullable=False),
        sa.Column("before", _JSON, nullable=True),
        sa.Column("after", _JSON, nullable=True),
        sa.Column("request_id", sa.String(), nullable=True),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.ForeignKeyConstraint(
            ["academy_id"], ["academies.id"], name=op.f("fk_audit_events_academy_id_academies")
        ),
        sa.ForeignKeyConstraint(
            ["actor_id"], ["memberships.id"], name=op.f("fk_audit_events_actor_id_memberships")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit_events")),
    )
    op.create_index(
        op.f("ix_audit_events_academy_id"), "audit_events", ["academy_id"], unique=False
    )
    op.create_index(
        "ix_audit_events_subject", "audit_events", ["subject_type", "subject_id"], unique=False
    )
    op.create_table(
        "idempotency_keys",
        sa.Column("membership_id", sa.Uuid(), nullable=False),
        sa.Column("route", sa.String(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("request_sha256", sa.String(), nullable=False),
        sa.Column("status", sa.Integer(), nullable=False),
        sa.Column("response", _JSON, nullable=False),
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.ForeignKeyConstraint(
            ["membership_id"],
            ["memberships.id"],
            name=op.f("fk_idempotency_keys_membership_id_memberships"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_idempotency_keys")),
        sa.UniqueConstraint(
            "membership_id",
            "route",
            "key",
            name=op.f("uq_idempotency_keys_membership_id_route_key"),
        ),
    )

"""The first tables: learners, attempts, entries, marks, drafts, evidence, web sessions."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "learner",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("decimal_sign", sa.String(), nullable=False),
        sa.Column("temperature_unit", sa.String(), nullable=False),
        sa.Column("language", sa.String(), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_learner")),
    )
    op.create_table(
        "attempt",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("source_kind", sa.String(), nullable=False),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("worksheet", sa.String(), nullable=False),
        sa.Column("worksheet_version", sa.Integer(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("mode", sa.String(), nullable=False),
        sa.Column("skill", sa.String(), nullable=False),
        sa.Column("started", sa.DateTime(timezone=True), nullable=False),
        sa.Column("finished", sa.DateTime(timezone=True), nullable=True),
        sa.Column("aided", sa.Boolean(), nullable=False),
        sa.Column("solution_opened", sa.DateTime(timezone=True), nullable=True),
        sa.Column("value", sa.Double(), nullable=True),
        sa.Column("evidence", sa.Boolean(), nullable=False),
        sa.Column("snapshot", sa.JSON(), nullable=False),
        sa.CheckConstraint("value BETWEEN 0 AND 1", name=op.f("ck_attempt_value_is_a_fraction")),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_attempt_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempt")),
    )
    op.create_index(op.f("ix_attempt_learner_id_started_id"), "attempt", ["learner_id", "started", "id"])
    op.create_index(
        op.f("ix_attempt_source_kind_source_learner_id_evidence_value"),
        "attempt",
        ["source_kind", "source", "learner_id", "evidence", "value"],
    )

    op.create_table(
        "web_session",
        sa.Column("token_hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=True),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("last_seen", sa.DateTime(timezone=True), nullable=False),
        sa.Column("idle_until", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_web_session_learner_id_learner"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_web_session")),
    )
    op.create_index(op.f("ix_web_session_idle_until"), "web_session", ["idle_until"])
    op.create_index(op.f("ix_web_session_learner_id"), "web_session", ["learner_id"])

    op.create_table(
        "draft",
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("step", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("kept", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_draft_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("attempt_id", "step", name=op.f("pk_draft")),
    )
    op.create_table(
        "entry",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("step", sa.String(), nullable=False),
        sa.Column("step_skill", sa.String(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("first", sa.Boolean(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("form_token", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_entry_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sa.UniqueConstraint("attempt_id", "step", "form_token", name=op.f("uq_entry_attempt_id_step_form_token")),
    )
    op.create_table(
        "evidence",
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("skill", sa.String(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("counts", sa.Boolean(), nullable=False),
        sa.CheckConstraint("value BETWEEN 0 AND 1", name=op.f("ck_evidence_value_is_a_fraction")),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_evidence_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_evidence_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("attempt_id", "skill", name=op.f("pk_evidence")),
    )
    op.create_index(op.f("ix_evidence_learner_id_skill_made"), "evidence", ["learner_id", "skill", "made"])

    op.create_table(
        "mark",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("entry_id", sa.Uuid(), nullable=False),
        sa.Column("verdict", sa.String(), nullable=False),
        sa.Column("mark", sa.Double(), nullable=True),
        sa.Column("slip", sa.String(), nullable=True),
        sa.Column("message", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("basis", sa.JSON(), nullable=False),
        sa.CheckConstraint("mark BETWEEN 0 AND 1", name=op.f("ck_mark_mark_is_a_fraction")),
        sa.ForeignKeyConstraint(["entry_id"], ["entry.id"], name=op.f("fk_mark_entry_id_entry"), ondelete="CASCADE"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mark")),
    )
    op.create_index(op.f("ix_mark_entry_id_made_id"), "mark", ["entry_id", "made", "id"])

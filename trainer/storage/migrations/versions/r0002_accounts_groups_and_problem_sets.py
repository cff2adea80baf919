"""Accounts, groups, problem sets with their tries, and what instructors add to work."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sign_in_failure",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("who", sa.LargeBinary(length=32), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_failure")),
    )
    with op.batch_alter_table("sign_in_failure", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_failure_who_at"), ["who", "at"], unique=False)

    op.create_table(
        "study_group",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("join_code", sa.String(), nullable=False),
        sa.Column("archived", sa.Boolean(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_study_group")),
        sa.UniqueConstraint("join_code", name=op.f("uq_study_group_join_code")),
        sa.UniqueConstraint("name_key", name=op.f("uq_study_group_name_key")),
    )
    op.create_table(
        "account",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("name_key", sa.String(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.Column("passphrase_hash", sa.String(), nullable=True),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("role IN ('learner', 'instructor')", name=op.f("ck_account_role_is_known")),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_account_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_account")),
        sa.UniqueConstraint("learner_id", name=op.f("uq_account_learner_id")),
        sa.UniqueConstraint("name_key", name=op.f("uq_account_name_key")),
    )
    op.create_table(
        "membership",
        sa.Column("group_id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("joined", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["group_id"], ["study_group.id"], name=op.f("fk_membership_group_id_study_group"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_membership_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("group_id", "learner_id", name=op.f("pk_membership")),
    )
    with op.batch_alter_table("membership", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_membership_learner_id"), ["learner_id"], unique=False)

    op.create_table(
        "problem_set",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("group_id", sa.Uuid(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("numbers", sa.String(), nullable=False),
        sa.Column("due", sa.DateTime(timezone=True), nullable=True),
        sa.Column("pass_mark", sa.Double(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("solutions_released", sa.Boolean(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed", sa.DateTime(timezone=True), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("kind IN ('practice', 'assessed')", name=op.f("ck_problem_set_kind_is_known")),
        sa.CheckConstraint("numbers IN ('same', 'own')", name=op.f("ck_problem_set_numbers_is_known")),
        sa.CheckConstraint("state IN ('draft', 'open', 'closed')", name=op.f("ck_problem_set_state_is_known")),
        sa.CheckConstraint("pass_mark BETWEEN 0 AND 1", name=op.f("ck_problem_set_pass_mark_is_a_fraction")),
        sa.ForeignKeyConstraint(
            ["group_id"], ["study_group.id"], name=op.f("fk_problem_set_group_id_study_group"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_problem_set")),
    )
    with op.batch_alter_table("problem_set", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_problem_set_group_id"), ["group_id"], unique=False)

    op.create_table(
        "sign_off",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("skill", sa.String(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("remark", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn", sa.DateTime(timezone=True), nullable=True),
        sa.Column("withdrawn_by", sa.String(), nullable=True),
        sa.Column("withdrawn_reason", sa.String(), nullable=True),
        sa.Column("evidence", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_sign_off_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_off")),
    )
    with op.batch_alter_table("sign_off", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_off_learner_id_skill"), ["learner_id", "skill"], unique=False)

    op.create_table(
        "witnessed",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("skill", sa.String(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("equipment", sa.String(), nullable=False),
        sa.Column("seen_by", sa.String(), nullable=False),
        sa.Column("seen_on", sa.Date(), nullable=False),
        sa.Column("entered_by", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_witnessed_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_witnessed")),
    )
    with op.batch_alter_table("witnessed", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_witnessed_learner_id_skill"), ["learner_id", "skill"], unique=False)

    op.create_table(
        "extension",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("due", sa.DateTime(timezone=True), nullable=True),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_extension_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["set_id"], ["problem_set.id"], name=op.f("fk_extension_set_id_problem_set"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_extension")),
    )
    with op.batch_alter_table("extension", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_extension_set_id"), ["set_id"], unique=False)

    op.create_table(
        "set_problem",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("problem", sa.String(), nullable=False),
        sa.Column("mode", sa.String(), nullable=False),
        sa.Column("weight", sa.Double(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("weight > 0", name=op.f("ck_set_problem_weight_counts")),
        sa.ForeignKeyConstraint(
            ["set_id"], ["problem_set.id"], name=op.f("fk_set_problem_set_id_problem_set"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_set_problem")),
    )
    with op.batch_alter_table("set_problem", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_set_problem_set_id"), ["set_id"], unique=False)

    op.create_table(
        "set_edit",
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("plan", sa.JSON(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["set_id"], ["problem_set.id"], name=op.f("fk_set_edit_set_id_problem_set"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("set_id", "version", name=op.f("pk_set_edit")),
    )
    op.create_table(
        "set_try",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("set_id", sa.Uuid(), nullable=False),
        sa.Column("learner_id", sa.Uuid(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("started", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends", sa.DateTime(timezone=True), nullable=True),
        sa.Column("handed_in", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["learner_id"], ["learner.id"], name=op.f("fk_set_try_learner_id_learner"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["set_id"], ["problem_set.id"], name=op.f("fk_set_try_set_id_problem_set"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_set_try")),
        sa.UniqueConstraint("set_id", "learner_id", "number", name=op.f("uq_set_try_set_id_learner_id_number")),
    )
    with op.batch_alter_table("set_try", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_set_try_learner_id"), ["learner_id"], unique=False)

    op.create_table(
        "sign_in_code",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("code_hash", sa.LargeBinary(length=32), nullable=False),
        sa.Column("account_id", sa.Uuid(), nullable=True),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["account_id"], ["account.id"], name=op.f("fk_sign_in_code_account_id_account"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_code")),
        sa.UniqueConstraint("code_hash", name=op.f("uq_sign_in_code_code_hash")),
    )
    with op.batch_alter_table("sign_in_code", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_code_account_id"), ["account_id"], unique=False)

    op.create_table(
        "complaint",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("answer", sa.String(), nullable=True),
        sa.Column("answered_by", sa.String(), nullable=True),
        sa.Column("settled", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_complaint_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_complaint")),
    )
    with op.batch_alter_table("complaint", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_complaint_attempt_id"), ["attempt_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_complaint_settled"), ["settled"], unique=False)

    op.create_table(
        "override",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("value", sa.Double(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("value BETWEEN 0 AND 1", name=op.f("ck_override_value_is_a_fraction")),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_override_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_override")),
    )
    with op.batch_alter_table("override", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_override_attempt_id"), ["attempt_id"], unique=False)

    op.create_table(
        "remark",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_remark_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_remark")),
    )
    with op.batch_alter_table("remark", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_remark_attempt_id"), ["attempt_id"], unique=False)

    op.create_table(
        "remarking",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("attempt_id", sa.Uuid(), nullable=False),
        sa.Column("value_before", sa.Double(), nullable=True),
        sa.Column("value_after", sa.Double(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("by_name", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.Column("snapshot", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["attempt_id"], ["attempt.id"], name=op.f("fk_remarking_attempt_id_attempt"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_remarking")),
    )
    with op.batch_alter_table("remarking", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_remarking_attempt_id"), ["attempt_id"], unique=False)

    with op.batch_alter_table("attempt", schema=None) as batch_op:
        batch_op.add_column(sa.Column("set_try_id", sa.Uuid(), nullable=True))
        batch_op.add_column(sa.Column("set_problem_id", sa.Uuid(), nullable=True))
        batch_op.create_index(batch_op.f("ix_attempt_set_problem_id"), ["set_problem_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_attempt_set_try_id"), ["set_try_id"], unique=False)
        batch_op.create_foreign_key(
            batch_op.f("fk_attempt_set_problem_id_set_problem"),
            "set_problem",
            ["set_problem_id"],
            ["id"],
            ondelete="RESTRICT",
        )
        batch_op.create_foreign_key(
            batch_op.f("fk_attempt_set_try_id_set_try"), "set_try", ["set_try_id"], ["id"], ondelete="RESTRICT"
        )

    with op.batch_alter_table("web_session", schema=None) as batch_op:
        batch_op.add_column(sa.Column("account_id", sa.Uuid(), nullable=True))
        batch_op.create_index(batch_op.f("ix_web_session_account_id"), ["account_id"], unique=False)
        batch_op.create_foreign_key(
            batch_op.f("fk_web_session_account_id_account"), "account", ["account_id"], ["id"], ondelete="CASCADE"
        )

"""Papers: which problems were printed with which seed."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "paper",
        sa.Column("id", sa.Uuid(), nullable=False),
        sa.Column("seed", sa.BigInteger(), nullable=False),
        sa.Column("problems", sa.JSON(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("made", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
    )
    with op.batch_alter_table("paper", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_paper_seed"), ["seed"], unique=False)
